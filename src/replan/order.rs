//! Of the times that clocks and calendars allow, those that go forward along the course.

use crate::time::Elapsed;

use super::instant::apart;
use super::sighting::{AgainstPlan, Sighting};

/// One time for each sighting: of all choices that go forward in time, the one nearest to the
/// plan in sum; the nearest of each where none goes forward.
pub(super) fn in_order(against: &AgainstPlan<'_>, sightings: &[Sighting<'_>]) -> Vec<Elapsed> {
    // per time of the sighting: least sum of distances so far, and which time came before
    let mut rows: Vec<Vec<Option<(i64, usize)>>> = Vec::new();
    for (index, sighting) in sightings.iter().enumerate() {
        let planned = against.planned(sighting.station(), sighting.observation.kind);
        let row = sighting
            .times()
            .iter()
            .map(|at| {
                let own = apart(*at, planned).as_secs();
                let Some(before) = index.checked_sub(1) else {
                    return (*at >= Elapsed::ZERO).then_some((own, 0));
                };
                let times = sightings[before].times();
                rows[before]
                    .iter()
                    .enumerate()
                    .filter_map(|(choice, cell)| {
                        let (sum, _) = (*cell)?;
                        (times[choice] <= *at).then_some((sum + own, choice))
                    })
                    .min()
            })
            .collect();
        rows.push(row);
    }
    let nearest = || {
        sightings
            .iter()
            .map(|s| against.nearest(s.station(), s))
            .collect()
    };
    let Some(mut choice) = rows.last().and_then(|row| {
        let cells = row.iter().enumerate();
        cells
            .filter_map(|(at, cell)| cell.map(|(sum, _)| (sum, at)))
            .min()
            .map(|(_, at)| at)
    }) else {
        return nearest();
    };
    let mut chosen = Vec::with_capacity(sightings.len());
    for (sighting, row) in sightings.iter().zip(&rows).rev() {
        chosen.push(sighting.times()[choice]);
        choice = row[choice].map_or(0, |(_, before)| before);
    }
    chosen.reverse();
    chosen
}
