//! The crew's meetings: when to be where, and what to hand over.
//!
//! The crew meets the runner wherever the organiser lets them, and at the finish; at the start only
//! where something is to be done there. They stand there before the early arrival, or as soon as
//! the drive lets them once the runner has left the meeting before.

mod drives;
mod meetings;
mod pacers;

#[cfg(test)]
mod tests;

use crate::course::Course;
use crate::findings::Finding;
use crate::inputs::CrewFile;
use crate::packing::{Losses, Packing};
use crate::schedule::Schedule;
use crate::time::Elapsed;

pub use pacers::Stint;

/// The crew's day.
#[derive(Clone, Debug, Default)]
#[non_exhaustive]
pub struct CrewPlan {
    /// One per meeting, in course order.
    pub meetings: Vec<Meeting>,
    /// Drives that cannot be made in time, pacers at stations that allow none.
    pub findings: Vec<Finding>,
}

/// One meeting of crew and runner.
#[derive(Clone, Debug, PartialEq)]
pub struct Meeting {
    /// The station.
    pub station: usize,
    /// The time to stand there: the early arrival less the crew's buffer, but no sooner than the
    /// drive lets it, where the drive from the meeting before is known.
    pub be_there: Elapsed,
    /// The likely arrival.
    pub likely: Elapsed,
    /// The late arrival.
    pub late: Elapsed,
    /// The planned departure.
    pub departure: Elapsed,
    /// The runner's departure: the likely arrival and the planned stop, and not before the planned
    /// departure.
    pub leaves: Elapsed,
    /// Drive from the meeting before, where known; for the first meeting from the start.
    pub drive_s: Option<f64>,
    /// The time to leave the meeting before: not before the runner has left it.
    pub leave_by: Option<Elapsed>,
    /// Index into [`Packing::handovers`], where something is handed over.
    pub handover: Option<usize>,
    /// Things to bring besides.
    pub bring: Vec<String>,
    /// Pacers who join here.
    pub pacers_on: Vec<String>,
    /// Pacers who stop here.
    pub pacers_off: Vec<String>,
    /// Stretches of those who join here.
    pub stints: Vec<Stint>,
    /// Those of the crew who are in the car on the way here, and not running.
    pub driving: Vec<String>,
    /// The one at the wheel, where that is settled.
    pub driver: Option<String>,
}

/// Assigns the crew to the stations they may meet the runner at; no crew, no meetings.
///
/// At a place that the crew does not get to after all, it meets nobody, drives past, and
/// brings no pacer to it.
///
/// # Panics
/// Where the schedule is not that of this course (one split per station).
#[must_use]
pub fn assign(
    course: &Course,
    schedule: &Schedule,
    packing: &Packing,
    crew: Option<&CrewFile>,
    losses: &Losses,
) -> CrewPlan {
    let Some(crew) = crew else {
        return CrewPlan::default();
    };
    let (stints, mut findings) = pacers::stints(course, crew);
    let is_lost = |station: usize| losses.crew.contains(&course.stations[station].place);
    let (stints, stranded) = pacers::able_to_join(course, stints, &is_lost);
    findings.extend(stranded);
    let mut stations = meetings::stations(course, packing, crew, &stints);
    stations.retain(|station| !is_lost(*station));
    let meetings: Vec<Meeting> = stations
        .iter()
        .map(|station| meetings::meeting(course, schedule, packing, crew, &stints, *station))
        .collect();
    let places = losses.crew.iter();
    let places = places.filter_map(|place| course.places.get(*place));
    let blocked: Vec<&str> = places.map(|place| place.name.as_str()).collect();
    let (meetings, late) = meetings::drive(course, schedule, crew, meetings, &blocked);
    findings.extend(late);
    findings.extend(pacers::without_a_lift(course, &stints, &stations, &is_lost));
    findings.extend(meetings::brought_nowhere(course, crew, &stations));
    CrewPlan { meetings, findings }
}
