//! Passages that were seen, and what lies between them.

use crate::time::Elapsed;

/// Passages seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// The runner came to a station.
    Arrival,
    /// The runner left it.
    Departure,
}

/// An arrival or a departure that was seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passage {
    /// Index of the station.
    pub station: usize,
    /// The kind of event seen.
    pub kind: Kind,
    /// Seconds after the start.
    pub at_s: f64,
}

impl Passage {
    /// Race time in whole seconds.
    #[must_use]
    pub fn at(&self) -> Elapsed {
        Elapsed::from_s(self.at_s)
    }
}

/// Between two passages that follow each other.
pub(super) struct Interval {
    /// Stations that it leaves and reaches.
    pub(super) from: usize,
    pub(super) to: usize,
    /// Moving time, seconds, planned stops left out.
    pub(super) moving_s: f64,
    /// Variance of the logarithm of that, for stops that nobody saw and times read to the minute.
    pub(super) error: f64,
}

/// Times are read to the minute: the standard deviation of the rounding, seconds.
const READ_S: f64 = 17.0;

/// Lays passages between each other, and writes stops that were seen whole into the known ones.
pub(super) fn intervals(
    stops_s: &mut [f64],
    start: Passage,
    passages: &[Passage],
) -> Vec<Interval> {
    let planned_s = stops_s.to_vec();
    let mut found = Vec::new();
    let mut last = start;
    for passage in passages {
        if passage.station > last.station {
            let first = last.station + usize::from(last.kind == Kind::Departure);
            let end = passage.station + usize::from(passage.kind == Kind::Departure);
            found.push(interval(&planned_s[first..end], last, *passage));
        } else if passage.kind == Kind::Departure && last.kind == Kind::Arrival {
            stops_s[passage.station] = passage.at_s - last.at_s;
        }
        last = *passage;
    }
    found
}

/// The interval between two passages, with the planned stops there.
fn interval(stops_s: &[f64], from: Passage, to: Passage) -> Interval {
    /// The share of the time that stops leave below which they were not made.
    const LEAST_MOVING: f64 = 0.5;
    let took_s = (to.at_s - from.at_s).max(1.0);
    let planned_s: f64 = stops_s.iter().sum();
    let moving_s = (took_s - planned_s).max(LEAST_MOVING * took_s);
    let of_stops_s2: f64 = stops_s.iter().map(|stop_s| (0.45 * stop_s).powi(2)).sum();
    Interval {
        from: from.station,
        to: to.station,
        moving_s,
        error: (of_stops_s2 + 2.0 * READ_S * READ_S) / (moving_s * moving_s),
    }
}
