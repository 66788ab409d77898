//! Observations become arrivals and departures in course order, each at one race time.

use crate::arrivals::Passage;
use crate::diagnostics::{Diagnostic, Notes, Sources};
use crate::plan::{Plan, Race};
use crate::time::Elapsed;

use super::check;
use super::instant::apart;
use super::observe::Observation;
use super::order::in_order;
use super::sighting::{AgainstPlan, Sighting};

/// Places every observation; `None`, with errors in `notes`, where that cannot be done.
pub(super) fn place_all(
    race: &Race,
    plan: &Plan,
    observations: &[Observation],
    sources: &Sources,
    notes: &mut Notes,
) -> Option<Vec<Passage>> {
    let against = AgainstPlan {
        race,
        plan,
        sources,
    };
    let mut said = Notes::new();
    let mut sightings: Vec<Sighting<'_>> = observations
        .iter()
        .filter_map(|observation| against.sighting(observation, &mut said))
        .collect();
    against.choose_visits(&mut sightings, &mut said);
    sightings.sort_by_key(|sighting| (sighting.station(), sighting.observation.kind));
    let chosen = in_order(&against, &sightings);
    let events: Vec<Passage> = sightings
        .iter()
        .zip(&chosen)
        .map(|(sighting, at)| against.event(sighting, *at))
        .collect();
    check::all(&against, &sightings, &events, &mut said);
    let failed = said.has_errors();
    for (sighting, at) in sightings.iter().zip(&chosen) {
        if let Some(taken) = hour_taken(&against, sighting, *at).filter(|_| !failed) {
            said.push(taken);
        }
    }
    notes.extend(said);
    (!failed).then_some(events)
}

/// Clocks go back by no more than this.
const LONGEST_HOUR: Elapsed = Elapsed::from_secs(2 * 3600);

/// Which of the two, where the clocks show a time twice and nothing is said.
fn hour_taken(
    against: &AgainstPlan<'_>,
    sighting: &Sighting<'_>,
    at: Elapsed,
) -> Option<Diagnostic> {
    let mut times = sighting.times().iter();
    let other = times.find(|other| **other != at && apart(**other, at) <= LONGEST_HOUR)?;
    let show = |at| against.plan.schedule.show(at);
    let says = format!(
        "the clocks show `{}` twice; {} is taken",
        sighting.time,
        show(at)
    );
    Some(
        Diagnostic::warning(says)
            .at(sighting.span(), "the one nearer to the plan")
            .hint(format!("write `{}` if it was the other", show(*other))),
    )
}
