//! How the finish of a recording is foretold from what was seen of it.

use sutler::arrivals::{Draws, Kind, Onward, Passage, Seen, Trials};
use sutler::pacing::{self, Goal};

use super::recordings::Recording;

/// The target over the true finish.
const HOPED: f64 = 0.93;
/// First and last tenth seen.
const SIGHTINGS: [(usize, usize); 6] = [(1, 1), (2, 2), (1, 2), (1, 3), (1, 5), (1, 8)];

/// Prints the table.
pub(crate) fn print(recordings: &[Recording]) {
    println!("\nThe rest of a recording with a target 7 % too fast\n");
    println!("| seen | recordings | error % | bias % | inside | those of 80 km and more |");
    println!("|---|---:|---:|---:|---:|---:|");
    for (first, last) in SIGHTINGS {
        let told = |recording: &Recording| foretold(recording, first, last);
        let all: Vec<(f64, bool)> = recordings.iter().filter_map(told).collect();
        let long = recordings.iter().filter(|r| r.distance_m >= 80e3);
        let long: Vec<(f64, bool)> = long.filter_map(told).collect();
        let mean = |all: &[(f64, bool)], value: fn(&(f64, bool)) -> f64| {
            all.iter().map(value).sum::<f64>() / all.len().max(1) as f64
        };
        let inside: fn(&(f64, bool)) -> f64 = |(_, inside)| 100.0 * f64::from(u8::from(*inside));
        println!(
            "| {first}0 to {last}0 % | {} | {:.1} | {:+.1} | {:.0} % | {:.1}, {:+.1}, {:.0} % |",
            all.len(),
            mean(&all, |(error, _)| error.abs()),
            mean(&all, |(error, _)| *error),
            mean(&all, inside),
            mean(&long, |(error, _)| error.abs()),
            mean(&long, |(error, _)| *error),
            mean(&long, inside),
        );
    }
}

/// Percent that the finish is foretold too late, and true where it lies between early and late.
fn foretold(recording: &Recording, first: usize, last: usize) -> Option<(f64, bool)> {
    let (race, true_s) = (&recording.race, recording.pacing.finish_s);
    let goal = Goal {
        finish_s: HOPED * true_s,
        stops_s: race.stops_s.clone(),
    };
    let hoped = pacing::solve(&race.course, &race.conditions, &race.settings, &goal).ok()?;
    let passages: Vec<Passage> = (first..=last)
        .map(|station| Passage {
            station,
            kind: Kind::Arrival,
            at_s: recording.true_s[station - 1],
        })
        .collect();
    let spread = race.finish(hoped.finish_s);
    let seen = Seen::of(&race.conditions, &hoped, Some(&spread), &passages);
    let onward = Onward {
        passed_s: hoped.arrival_s.clone(),
        stops_s: race.stops_s.clone(),
    };
    let draws = Draws::of(&Trials::default(), race.course.stations.len());
    let arrivals = seen.rest(&[], &draws, &onward);
    let at = arrivals.stations.last()?;
    Some((
        100.0 * (at.likely_s / true_s - 1.0),
        (at.early_s..=at.late_s).contains(&true_s),
    ))
}
