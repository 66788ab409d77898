//! The latest safe departures: the whole race run backwards from its cutoffs.

use crate::arrivals::Arrivals;
use crate::conditions::Conditions;
use crate::inputs::stations_csv::CutoffOn;
use crate::pacing::Pacing;
use crate::time::Elapsed;

use super::{Limit, Split};

/// For every station the latest departure, in seconds, that still meets its own departure cutoff
/// and every later one with the planned stops and so many times the planned time on each segment,
/// and the station whose cutoff decides.
///
/// A margin can look comfortable here and be gone two stations on, so limits are carried back
/// through each segment at the speed its hour allows. `None` where no cutoff follows.
pub(super) fn latest_departures(
    limits: &[Option<Limit>],
    conditions: &Conditions,
    pacing: &Pacing,
    times_as_long: &[f64],
) -> Vec<Option<(f64, usize)>> {
    let count = limits.len();
    let mut latest: Vec<Option<(f64, usize)>> = vec![None; count];
    for station in (0..count.saturating_sub(1)).rev() {
        let next = station + 1;
        let stop_s = pacing.departure_s[next] - pacing.arrival_s[next];
        let leave_next = latest[next].map(|(leave_s, binding)| (leave_s - stop_s, binding));
        let own_next = limit_on(limits[next], CutoffOn::Arrival, next);
        let here = tighter(own_next, leave_next).map(|(arrive_s, by)| {
            let slower = times_as_long[station];
            (pacing.leave_by_s(conditions, station, arrive_s, slower), by)
        });
        latest[station] = tighter(
            limit_on(limits[station], CutoffOn::Departure, station),
            here,
        );
    }
    latest
}

/// The likely runner's time over the planned one on each segment; `None` where the likely runner
/// misses a cutoff, so that nothing but the planned effort can meet all.
pub(super) fn expected_times_as_long(
    splits: &[Split],
    pacing: &Pacing,
    arrivals: &Arrivals,
) -> Option<Vec<f64>> {
    let mut in_hand = splits.iter().filter_map(Split::margin_likely);
    in_hand.all(|margin| margin >= Elapsed::ZERO).then(|| {
        let likely_s = |station: usize| arrivals.stations[station].likely_s;
        (pacing.segments.iter().enumerate())
            .map(|(from, segment)| {
                let stop_s = pacing.departure_s[from] - pacing.arrival_s[from];
                let likely_s = likely_s(from + 1) - likely_s(from) - stop_s;
                likely_s / segment.moving_s
            })
            .collect()
    })
}

fn limit_on(limit: Option<Limit>, on: CutoffOn, station: usize) -> Option<(f64, usize)> {
    limit
        .filter(|l| l.on == on)
        .map(|l| (l.elapsed.as_s(), station))
}

/// The earlier of two.
pub(super) fn tighter(a: Option<(f64, usize)>, b: Option<(f64, usize)>) -> Option<(f64, usize)> {
    match (a, b) {
        (Some(a), Some(b)) => Some(if a.0 <= b.0 { a } else { b }),
        (a, b) => a.or(b),
    }
}
