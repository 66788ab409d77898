//! Places where a runner stood still.

use super::points::Fix;

/// A stretch of time in which the runner hardly moved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Halt {
    /// Beginning, seconds after the start.
    pub from_s: f64,
    /// Duration, seconds.
    pub length_s: f64,
    /// Place, metres from the start.
    pub distance_m: f64,
}

/// Slower than this is standing, metres per second.
const STANDING_MPS: f64 = 0.3;
/// Over at least this long, seconds: between two points of a second apart a receiver's noise alone
/// is faster.
const WINDOW_S: f64 = 30.0;
/// Shorter than this is no stop, seconds.
const SHORTEST_S: f64 = 60.0;

/// A stop by the points it is made of: indices of the first and the last.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct PointStop {
    pub(super) first: usize,
    pub(super) last: usize,
}

/// Every stretch of more than a minute below 0.3 m/s, in order.
///
/// Speed is taken as the crow flies over half a minute: while someone stands, the points wander
/// and the way along them grows. A recorder that pauses by itself leaves no points, which is the
/// same thing.
pub(super) fn find(fixes: &[Fix]) -> Vec<PointStop> {
    let mut found: Vec<PointStop> = Vec::new();
    let mut first = 0;
    for (last, fix) in fixes.iter().enumerate() {
        while first + 1 < last && fix.time_s - fixes[first + 1].time_s >= WINDOW_S {
            first += 1;
        }
        let window_s = fix.time_s - fixes[first].time_s;
        let slow = window_s >= WINDOW_S && fixes[first].distance_m(fix) < STANDING_MPS * window_s;
        if !slow {
            continue;
        }
        match found.last_mut() {
            Some(before) if first <= before.last => before.last = last,
            _ => found.push(PointStop { first, last }),
        }
    }
    found.retain(|stop| fixes[stop.last].time_s - fixes[stop.first].time_s > SHORTEST_S);
    found
}

/// The points without standing about before the start and after the end, and the stops within.
pub(super) fn trimmed(fixes: &[Fix], mut stops: Vec<PointStop>) -> (&[Fix], Vec<PointStop>) {
    let (mut from, mut to) = (0, fixes.len());
    if let Some(first) = stops.first().copied()
        && first.first == 0
    {
        from = first.last;
        stops.remove(0);
    }
    if let Some(last) = stops.last().copied()
        && last.last + 1 == to
    {
        to = last.first + 1;
        stops.pop();
    }
    if from >= to {
        return (&[], Vec::new());
    }
    for stop in &mut stops {
        stop.first -= from;
        stop.last -= from;
    }
    (&fixes[from..to], stops)
}
