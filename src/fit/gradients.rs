//! Moving pace by gradient: what the two multipliers sum up, to look at.

use super::figures::{Figures, planned};
use super::recording::Recording;

/// How a runner moves where it is about this steep.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bin {
    /// The least gradient, rise over run.
    pub from: f64,
    /// The greatest.
    pub to: f64,
    /// Metres of it in all recordings.
    pub length_m: f64,
    /// Moving time for it, seconds.
    pub moving_s: f64,
    /// Own time over what the model gives at the same effort, on level ground 1; `None` where
    /// there is less than 2 km of it, or of level ground.
    pub over_model: Option<f64>,
}

/// Less than this of a gradient says nothing, metres.
const ENOUGH_M: f64 = 2000.0;
/// Gradients are taken over stretches of about this length, metres: shorter ones are the noise of
/// the heights, longer ones hold both sides of a hill.
const STRETCH_M: f64 = 200.0;
/// Bins are 5 % wide; the middle one is level.
const WIDTH: f64 = 0.05;
/// Bins on either side of the level one; what is steeper belongs to the last.
const EACH_SIDE: i32 = 6;

/// All bins, steepest descent first, whatever is in them.
pub(super) fn bins(recordings: &[&Recording], figures: Figures) -> Vec<Bin> {
    let count = (2 * EACH_SIDE + 1) as usize;
    // metres, own seconds, the model's seconds
    let mut sums = vec![(0.0, 0.0, 0.0); count];
    let usual_slopes = Figures {
        climb_multiplier: 1.0,
        descent_multiplier: 1.0,
        ..figures
    };
    for recording in recordings {
        add(recording, usual_slopes, &mut sums);
    }
    let level = sums[EACH_SIDE as usize];
    sums.iter()
        .zip(-EACH_SIDE..)
        .map(|((length_m, own_s, model_s), number)| {
            let middle = f64::from(number) * WIDTH;
            let enough = *length_m >= ENOUGH_M && level.0 >= ENOUGH_M;
            Bin {
                from: middle - 0.5 * WIDTH,
                to: middle + 0.5 * WIDTH,
                length_m: *length_m,
                moving_s: *own_s,
                over_model: enough.then(|| own_s / model_s / (level.1 / level.2)),
            }
        })
        .collect()
}

fn add(recording: &Recording, figures: Figures, sums: &mut [(f64, f64, f64)]) {
    let Some(pacing) = planned(recording, &figures.moving()) else {
        return;
    };
    let profile = &recording.course.profile;
    let length_m = profile.length_m();
    let count = (length_m / STRETCH_M).ceil().max(1.0) as usize;
    let at = |i: usize| length_m * i as f64 / count as f64;
    let moved_s = recording.finish_s - recording.stopped_s();
    // the model has no stops: the whole time is moved
    let scale = moved_s / recording.finish_s;
    for i in 0..count {
        let (from_m, to_m) = (at(i), at(i + 1));
        let rise_m = profile.elevation_at_m(to_m) - profile.elevation_at_m(from_m);
        let number = (rise_m / (to_m - from_m) / WIDTH).round() as i32;
        let bin = &mut sums[(number.clamp(-EACH_SIDE, EACH_SIDE) + EACH_SIDE) as usize];
        let model_s = pacing.elapsed_at_s(&recording.course, to_m)
            - pacing.elapsed_at_s(&recording.course, from_m);
        bin.0 += to_m - from_m;
        bin.1 += recording.moving_at_s(to_m) - recording.moving_at_s(from_m);
        bin.2 += scale * model_s;
    }
}
