//! When the crew must be where, and what to hand over.

use crate::course::Course;
use crate::findings::Finding;
use crate::inputs::CrewFile;
use crate::packing::Packing;
use crate::schedule::Schedule;
use crate::time::Elapsed;

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
    /// When to stand there: the early arrival less the crew's buffer.
    pub be_there: Elapsed,
    /// The likely arrival.
    pub likely: Elapsed,
    /// The late arrival.
    pub late: Elapsed,
    /// The planned departure.
    pub departure: Elapsed,
    /// Drive from the meeting before, where known.
    pub drive_s: Option<f64>,
    /// When to leave the meeting before at the latest.
    pub leave_by: Option<Elapsed>,
    /// Index into [`Packing::handovers`], where something is handed over.
    pub handover: Option<usize>,
    /// Things to bring besides.
    pub bring: Vec<String>,
    /// Pacers who join and who stop here.
    pub pacers_on: Vec<String>,
    /// Pacers who stop here.
    pub pacers_off: Vec<String>,
}

/// Assigns the crew to the stations they may meet the runner at.
#[must_use]
pub fn assign(
    _course: &Course,
    _schedule: &Schedule,
    _packing: &Packing,
    _crew: Option<&CrewFile>,
) -> CrewPlan {
    CrewPlan::default()
}
