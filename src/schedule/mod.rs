//! Splits on the clock, margins against cutoffs, and the latest safe departures.

mod cutoff;
mod latest;

use crate::course::Course;
use crate::inputs::stations_csv::CutoffOn;
use crate::pacing::Pacing;
use crate::time::{Elapsed, RaceClock};

pub use cutoff::resolve_cutoffs;

/// One plan's times at every station.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Schedule {
    /// The clock on the wall, where date and zone are known.
    pub clock: Option<RaceClock>,
    /// One per station, in course order.
    pub splits: Vec<Split>,
    /// One per segment, in course order.
    pub legs: Vec<Leg>,
}

/// Arrival at and departure from one station. Race time counts from the runner's own start.
#[derive(Clone, Debug, PartialEq)]
pub struct Split {
    /// Index of the station.
    pub station: usize,
    /// Arrival, own stop left out.
    pub arrival: Elapsed,
    /// Departure, own stop included; the arrival at the finish.
    pub departure: Elapsed,
    /// Arrival that one race in ten beats, by pacing shape.
    pub early: Elapsed,
    /// Arrival that nine races in ten beat, by pacing shape.
    pub late: Elapsed,
    /// The time limit.
    pub cutoff: Option<Limit>,
    /// Time in hand against this station's own cutoff; `None` where there is none.
    pub margin: Option<Elapsed>,
    /// The latest departure that still meets every later cutoff at the planned effort.
    pub latest_departure: Option<Elapsed>,
    /// The station whose cutoff decides [`Split::latest_departure`].
    pub binding: Option<usize>,
}

/// A cutoff in race time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limit {
    /// Race time from the runner's own start.
    pub elapsed: Elapsed,
    /// What must have happened by then.
    pub on: CutoffOn,
}

/// Times over one segment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leg {
    /// Departure to next arrival, as printed arrivals differ.
    pub moving: Elapsed,
    /// Seconds per metre of the organiser's distance.
    pub pace_s_per_m: f64,
    /// Share of the moving time in the dark.
    pub dark_share: f64,
    /// Share of the moving time that is walked.
    pub walk_share: f64,
}

impl Schedule {
    /// The stop planned at a station.
    #[must_use]
    pub fn stop(&self, station: usize) -> Elapsed {
        self.splits[station].departure - self.splits[station].arrival
    }

    /// Lays out the splits of a solved pacing.
    #[must_use]
    pub fn lay_out(_course: &Course, _pacing: &Pacing, clock: Option<RaceClock>) -> Schedule {
        Schedule {
            clock,
            splits: Vec::new(),
            legs: Vec::new(),
        }
    }
}
