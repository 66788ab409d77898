//! How much a runner stands, by the length of the run.

use crate::pacing::usual_stop_share;

use super::linear::quantile;
use super::recording::Recording;

/// Stops of the runs that took about so long.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StopGroup {
    /// The least finish, hours.
    pub from_h: f64,
    /// Up to this; infinite in the last group.
    pub to_h: f64,
    /// Runs.
    pub runs: usize,
    /// Their finish times together, hours.
    pub hours: f64,
    /// Share of them stood still.
    pub share: f64,
    /// Usual share.
    pub usual_share: f64,
    /// Stops on ten kilometres.
    pub per_10_km: f64,
    /// Half of the stops are shorter, seconds; `None` where there are none.
    pub median_s: Option<f64>,
    /// Nine of ten are shorter, seconds.
    pub p90_s: Option<f64>,
}

/// Limits between groups, hours.
const LIMITS_H: [f64; 3] = [6.0, 12.0, 24.0];

/// Groups that have a run, shortest first.
pub(super) fn groups(recordings: &[&Recording]) -> Vec<StopGroup> {
    let mut from_h = 0.0;
    let mut groups = Vec::new();
    for to_h in LIMITS_H.into_iter().chain([f64::INFINITY]) {
        let within: Vec<&Recording> = (recordings.iter().copied())
            .filter(|r| (from_h..to_h).contains(&r.hours()))
            .collect();
        if !within.is_empty() {
            groups.push(group(&within, from_h, to_h));
        }
        from_h = to_h;
    }
    groups
}

fn group(within: &[&Recording], from_h: f64, to_h: f64) -> StopGroup {
    let finish_s: f64 = within.iter().map(|r| r.finish_s).sum();
    let length_m: f64 = within.iter().map(|r| r.course.profile.length_m()).sum();
    let usual_s: f64 = (within.iter())
        .map(|r| usual_stop_share(r.hours()) * r.finish_s)
        .sum();
    let stops: Vec<f64> = (within.iter())
        .flat_map(|r| r.stops.iter().map(|stop| stop.length_s))
        .collect();
    StopGroup {
        from_h,
        to_h,
        runs: within.len(),
        hours: finish_s / crate::time::S_PER_HOUR,
        share: within.iter().map(|r| r.stopped_s()).sum::<f64>() / finish_s,
        usual_share: usual_s / finish_s,
        per_10_km: stops.len() as f64 / (length_m / 10_000.0),
        median_s: quantile(&stops, 0.5),
        p90_s: quantile(&stops, 0.9),
    }
}
