//! Observations become arrivals and departures in course order, each at one race time.

use crate::arrivals::Passage;
use crate::diagnostics::{Notes, Sources};
use crate::plan::{Plan, Race};

use super::check;
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
    notes.extend(said);
    (!failed).then_some(events)
}
