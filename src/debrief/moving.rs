//! Movement of the run: pace, drift, climbs and descents, stops.

use crate::course::longest_climb_and_descent_m;
use crate::fit::{Halt, Recording};
use crate::fueling::energy::moving_kcal;
use crate::inputs::record_toml::RunGround;
use crate::pacing::PacingSettings;
use crate::pacing::cost::{BUILT_IN, run_cost_j_per_kg_m};
use crate::time::S_PER_HOUR;

/// The movement of a run: stops, slopes and drift.
#[derive(Clone, Debug, PartialEq)]
pub struct Moving {
    /// The way.
    pub ground: RunGround,
    /// Moving time, seconds.
    pub moving_s: f64,
    /// Every stop of more than a minute.
    pub stops: Vec<Halt>,
    /// Descents, level ground and climbs.
    pub slopes: [Slope; 3],
    /// Moving pace of the second half over that of the first, halves of equal effort: 1.05 is 5 %
    /// slower. Slopes are taken out by the usual cost model.
    pub drift: f64,
    /// Joules per kilogram for moving, after Minetti and others 2002, as in
    /// [`run_cost_j_per_kg_m`].
    cost_j_per_kg: f64,
}

/// Ground of about one steepness.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slope {
    /// Metres of it.
    pub length_m: f64,
    /// Moving time on it, seconds.
    pub moving_s: f64,
}

/// Steeper than this is a climb or a descent: half of the level bin of a fit.
const LEVEL: f64 = 0.025;
/// Gradients are taken over stretches of this length, metres: shorter ones are the noise of the
/// heights.
const STRETCH_M: f64 = 200.0;

impl Moving {
    /// Movement that a recording shows.
    pub(super) fn of(recording: &Recording) -> Moving {
        let stretches = stretches(recording);
        let mut slopes = [Slope {
            length_m: 0.0,
            moving_s: 0.0,
        }; 3];
        for stretch in &stretches {
            let class =
                usize::from(stretch.gradient >= -LEVEL) + usize::from(stretch.gradient > LEVEL);
            let slope = &mut slopes[class];
            slope.length_m += stretch.length_m;
            slope.moving_s += stretch.moving_s;
        }
        Moving {
            ground: ground(recording, &stretches),
            moving_s: recording.finish_s - recording.stopped_s(),
            stops: recording.stops.clone(),
            slopes,
            drift: drift(&stretches),
            cost_j_per_kg: stretches
                .iter()
                .map(|s| s.length_m * run_cost_j_per_kg_m(s.gradient))
                .sum(),
        }
    }

    /// Energy burned on the move, for a body of so many kilograms.
    #[must_use]
    pub fn energy_kcal(&self, mass_kg: f64) -> f64 {
        moving_kcal(self.cost_j_per_kg, self.moving_s / S_PER_HOUR, mass_kg)
    }
}

impl Slope {
    /// Moving pace, seconds per metre; `None` where there is hardly any such ground.
    #[must_use]
    pub fn pace_s_per_m(self) -> Option<f64> {
        (self.length_m >= STRETCH_M).then(|| self.moving_s / self.length_m)
    }
}

struct EvenStretch {
    length_m: f64,
    moving_s: f64,
    gradient: f64,
}

fn stretches(recording: &Recording) -> Vec<EvenStretch> {
    let profile = &recording.course.profile;
    let length_m = profile.length_m();
    let count = (length_m / STRETCH_M).round().max(1.0);
    let each_m = length_m / count;
    (0..count as usize)
        .map(|i| {
            let (from_m, to_m) = (i as f64 * each_m, (i + 1) as f64 * each_m);
            let rise_m = profile.elevation_at_m(to_m) - profile.elevation_at_m(from_m);
            EvenStretch {
                length_m: each_m,
                moving_s: recording.moving_at_s(to_m) - recording.moving_at_s(from_m),
                gradient: rise_m / each_m,
            }
        })
        .collect()
}

fn ground(recording: &Recording, stretches: &[EvenStretch]) -> RunGround {
    let profile = &recording.course.profile;
    let (climb_m, descent_m) = recording.course.climb_and_descent_m();
    let (up_m, down_m) = longest_climb_and_descent_m(&profile.elevation_m);
    let steepest = |sign: f64| {
        let gradients = stretches.iter().map(|s| sign * s.gradient * 100.0);
        gradients.fold(0.0, f64::max)
    };
    RunGround {
        distance_m: Some(profile.length_m()),
        climb_m: Some(climb_m),
        descent_m: Some(descent_m),
        longest_climb_m: Some(up_m),
        longest_descent_m: Some(down_m),
        steepest_climb_pct: Some(steepest(1.0)),
        steepest_descent_pct: Some(steepest(-1.0)),
        surface: None,
    }
}

fn drift(stretches: &[EvenStretch]) -> f64 {
    let cap = PacingSettings::default().downhill_cap;
    let effort_m = |s: &EvenStretch| s.length_m * (BUILT_IN[0].ratio)(s.gradient, cap);
    let all_m: f64 = stretches.iter().map(effort_m).sum();
    // effort and moving time of either half
    let mut halves = [(0.0, 0.0); 2];
    let mut done_m = 0.0;
    for stretch in stretches {
        let own_m = effort_m(stretch);
        let first = ((all_m / 2.0 - done_m) / own_m).clamp(0.0, 1.0);
        for (half, share) in halves.iter_mut().zip([first, 1.0 - first]) {
            half.0 += share * own_m;
            half.1 += share * stretch.moving_s;
        }
        done_m += own_m;
    }
    let [first, second] = halves.map(|(effort_m, moving_s)| moving_s / effort_m);
    second / first
}
