//! Is it a run, recorded from end to end?

use super::points::Fix;
use super::refusal::{Refusal, clock, km};

/// Shorter runs do not show how someone slows down, metres ...
const SHORTEST_M: f64 = 10_000.0;
/// ... and seconds of moving.
const SHORTEST_S: f64 = 3600.0;
/// Held for a minute, this is a ride or a drive: 1000 m records are run at 7.6 m/s (from memory).
const WHEELS_MPS: f64 = 8.0;
/// The minute.
const WHEELS_S: f64 = 60.0;
/// Less than this over the moving time is no travelling at all.
const CRAWL_MPS: f64 = 0.4;
/// Without a point for longer than this, seconds, and farther than [`GAP_M`], there is a gap.
const GAP_S: f64 = 120.0;
/// See [`GAP_S`], metres.
const GAP_M: f64 = 200.0;
/// A gap longer than both this, seconds ...
const LONG_GAP_S: f64 = 900.0;
/// ... and this, metres, hides too much by itself.
const LONG_GAP_M: f64 = 1000.0;
/// Share of the way that may lie in gaps.
const MOST_GAPS: f64 = 0.05;

/// Checks points with their distance along the way.
pub(super) fn check(fixes: &[Fix], along_m: &[f64], stopped_s: f64) -> Result<(), Refusal> {
    let (Some(first), Some(last), Some(length_m)) = (fixes.first(), fixes.last(), along_m.last())
    else {
        return Err(Refusal::no_course());
    };
    let length_m = *length_m;
    wheels(fixes, along_m, first.time_s)?;
    gaps(fixes, along_m, first.time_s)?;
    let moving_s = last.time_s - first.time_s - stopped_s;
    if length_m < SHORTEST_M || moving_s < SHORTEST_S {
        let (length, moving) = (km(length_m), clock(moving_s.max(0.0)));
        return Err(Refusal::new(
            format!("{length} in {moving} of moving is short"),
            "how a runner slows down shows from 10 km and an hour on",
        ));
    }
    let speed_mps = length_m / moving_s;
    if speed_mps < CRAWL_MPS {
        let kmh = speed_mps * 3.6;
        return Err(Refusal::new(format!("it moves at {kmh:.1} km/h only"), ""));
    }
    Ok(())
}

fn wheels(fixes: &[Fix], along_m: &[f64], start_s: f64) -> Result<(), Refusal> {
    let mut first = 0;
    for (last, fix) in fixes.iter().enumerate() {
        while first + 1 < last && fix.time_s - fixes[first + 1].time_s >= WHEELS_S {
            first += 1;
        }
        let window_s = fix.time_s - fixes[first].time_s;
        let speed_mps = (along_m[last] - along_m[first]) / window_s.max(WHEELS_S);
        if speed_mps > WHEELS_MPS {
            return Err(Refusal::new(
                format!(
                    "after {} it goes {:.0} km/h for a minute, which is not running",
                    clock(fixes[first].time_s - start_s),
                    speed_mps * 3.6
                ),
                "where a drive or a ride belongs to it, cut that out",
            ));
        }
    }
    Ok(())
}

fn gaps(fixes: &[Fix], along_m: &[f64], start_s: f64) -> Result<(), Refusal> {
    let mut hidden_m = 0.0;
    for (i, pair) in fixes.windows(2).enumerate() {
        let gap_s = pair[1].time_s - pair[0].time_s;
        let length_m = along_m[i + 1] - along_m[i];
        if gap_s > LONG_GAP_S && length_m > LONG_GAP_M {
            return Err(Refusal::new(
                format!(
                    "after {} it has no points for {} and {}",
                    clock(pair[0].time_s - start_s),
                    clock(gap_s),
                    km(length_m)
                ),
                "how that stretch was run is lost; give the part before it alone",
            ));
        }
        if gap_s > GAP_S && length_m > GAP_M {
            hidden_m += length_m;
        }
    }
    let share = hidden_m / along_m.last().copied().unwrap_or(0.0).max(1.0);
    if share > MOST_GAPS {
        return Err(Refusal::new(
            format!("{:.0} % of its way has no points", 100.0 * share),
            "how those stretches were run is lost",
        ));
    }
    Ok(())
}

/// Every kilometre takes the same time to this share: nobody runs like that over hills.
const SAME: f64 = 0.005;

/// True where the times were made up by a planner: seconds of pieces of equal length.
pub(super) fn computed(pieces_s: &[f64]) -> bool {
    let mean = pieces_s.iter().sum::<f64>() / pieces_s.len().max(1) as f64;
    pieces_s.len() > 1 && pieces_s.iter().all(|s| (s / mean - 1.0).abs() < SAME)
}
