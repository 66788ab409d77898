//! The runner's own sweat rates correct the prediction: by a line on effort and temperature that is
//! drawn through what was measured less what was predicted, from the first long run on.

use super::{
    Body, Effort, HIGHEST_MEASURED_L_PER_H, LOWEST_L_PER_H, SweatRate, predicted, relative_air_mps,
    sun_k,
};
use crate::fueling::SweatSource;
use crate::inputs::runner_toml::SweatMeasured;

/// Scatter of one measured rate around the runner's own line, L/h.
const SCATTER_L_PER_H: f64 = 0.15;
/// Spread of runners around the models: in level (the spread between endurance athletes
/// is 0.57 L/h, Barnes and others 2019), per 100 kcal/h and per 10 °C (where the two models differ
/// by 0.2 L/h).
const PRIOR_L_PER_H: [f64; 3] = [0.5, 0.05, 0.15];
/// Standard deviations either way that hold eight races of ten (normal law).
const EIGHT_OF_TEN: f64 = 1.2816;
/// A fitted slope is followed this far beyond the runs, in 100 kcal/h and 10 °C.
const BEYOND_RUNS: f64 = 1.0;
/// Air on a long run of which only temperature is known: running in light wind.
const RUN_MPS: f64 = 2.5;
const RUN_WIND_KMH: f64 = 5.0;
const RUN_HUMIDITY_PCT: f64 = 50.0;

/// A runner's own sweat beside the prediction.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnSweat {
    body: Body,
    line: Option<RegressionLine>,
}

/// Measured less predicted, by effort and temperature.
#[derive(Clone, Debug, PartialEq)]
struct RegressionLine {
    runs: u32,
    /// Mean energy of the runs, kcal/h, and mean temperature, °C.
    centre: [f64; 2],
    /// Farthest run from the centre, low and high, in 100 kcal/h and 10 °C.
    reach: [(f64, f64); 2],
    /// L/h at the centre, per 100 kcal/h, per 10 °C.
    weights: [f64; 3],
    /// Of the normal equations: what the runs, and what is held of runners at large, say of each.
    matrix: [[f64; 3]; 3],
    /// Root mean square of what the line leaves, at least [`SCATTER_L_PER_H`].
    scatter_l_per_h: f64,
}

impl OwnSweat {
    /// Learns from measured long runs; those outside 0.1 to 4.0 L/h are passed over.
    ///
    /// `usual_kcal_per_h` stands in for the effort of runs that do not say it.
    #[must_use]
    pub fn learn(body: Body, runs: &[SweatMeasured], usual_kcal_per_h: f64) -> OwnSweat {
        let usable: Vec<MeasuredRun> = runs
            .iter()
            .filter(|run| {
                (LOWEST_L_PER_H..=HIGHEST_MEASURED_L_PER_H).contains(&run.rate_l_per_h.value)
            })
            .map(|run| MeasuredRun::seen_by_the_model(body, run, usual_kcal_per_h))
            .collect();
        let line = (!usable.is_empty()).then(|| RegressionLine::through(&usable));
        OwnSweat { body, line }
    }

    /// The basis of the rates.
    #[must_use]
    pub fn source(&self) -> SweatSource {
        match &self.line {
            None => SweatSource::Predicted,
            Some(line) => SweatSource::Corrected(line.runs),
        }
    }

    /// The rate on the move. Between [`LOWEST_L_PER_H`] and [`HIGHEST_MEASURED_L_PER_H`].
    #[must_use]
    pub fn moving(&self, effort: Effort) -> SweatRate {
        let rate = predicted(self.body, effort);
        let Some(line) = &self.line else {
            return rate;
        };
        let (more_l_per_h, off_l_per_h) = line.at(effort);
        SweatRate {
            l_per_h: (rate.l_per_h + more_l_per_h).clamp(LOWEST_L_PER_H, HIGHEST_MEASURED_L_PER_H),
            // one's own runs never make it less sure than none
            either_way_l_per_h: off_l_per_h.min(
                rate.either_way_l_per_h
                    .max(EIGHT_OF_TEN * line.scatter_l_per_h),
            ),
            in_sun_l_per_h: 0.0,
        }
    }

    /// The rate while standing: always the prediction, for it was measured on the move.
    #[must_use]
    pub fn standing(&self, effort: Effort) -> SweatRate {
        predicted(self.body, effort)
    }
}

/// One long run beside what the model says of it.
struct MeasuredRun {
    energy_kcal_per_h: f64,
    temp_c: f64,
    measured: f64,
    predicted: f64,
}

impl MeasuredRun {
    fn seen_by_the_model(body: Body, run: &SweatMeasured, usual_kcal_per_h: f64) -> MeasuredRun {
        let energy_kcal_per_h = run.energy_kcal_per_h.unwrap_or(usual_kcal_per_h);
        let effort = Effort {
            energy_kcal_per_h,
            temp_c: run.temp_c,
            humidity_pct: RUN_HUMIDITY_PCT,
            air_mps: relative_air_mps(RUN_MPS, RUN_WIND_KMH),
            // a long run in the heat was one in the sun
            sun_k: sun_k(run.temp_c),
        };
        MeasuredRun {
            energy_kcal_per_h,
            temp_c: run.temp_c,
            measured: run.rate_l_per_h.value,
            predicted: predicted(body, effort).l_per_h,
        }
    }
}

impl RegressionLine {
    /// Ridge regression of measured less predicted: where the runs say little, because they are
    /// few or alike, the slopes stay near zero, which is the model's own. A run on the line that
    /// others drew changes next to nothing.
    fn through(runs: &[MeasuredRun]) -> RegressionLine {
        let n = runs.len() as f64;
        let centre = [
            runs.iter().map(|r| r.energy_kcal_per_h).sum::<f64>() / n,
            runs.iter().map(|r| r.temp_c).sum::<f64>() / n,
        ];
        let mut matrix = [[0.0; 3]; 3];
        let mut right = [0.0; 3];
        for (i, prior) in PRIOR_L_PER_H.iter().enumerate() {
            matrix[i][i] = (SCATTER_L_PER_H / prior).powi(2);
        }
        let mut reach = [(0.0_f64, 0.0_f64); 2];
        for run in runs {
            let x = row(centre, run.energy_kcal_per_h, run.temp_c);
            for i in 0..3 {
                right[i] += x[i] * (run.measured - run.predicted);
                for j in 0..3 {
                    matrix[i][j] += x[i] * x[j];
                }
            }
            for (span, x) in reach.iter_mut().zip(&x[1..]) {
                *span = (span.0.min(*x), span.1.max(*x));
            }
        }
        let mut line = RegressionLine {
            runs: u32::try_from(runs.len()).unwrap_or(u32::MAX),
            centre,
            reach,
            weights: solve(matrix, right),
            matrix,
            scatter_l_per_h: SCATTER_L_PER_H,
        };
        let squares: f64 = runs
            .iter()
            .map(|r| {
                let x = row(centre, r.energy_kcal_per_h, r.temp_c);
                (r.measured - r.predicted - line.value(x)).powi(2)
            })
            .sum();
        line.scatter_l_per_h = (squares / n).sqrt().max(SCATTER_L_PER_H);
        line
    }

    /// The correction for an effort, L/h, not drawn out far beyond the runs, and how far off the
    /// rate may then be in eight races of ten.
    fn at(&self, effort: Effort) -> (f64, f64) {
        let mut x = row(self.centre, effort.energy_kcal_per_h, effort.temp_c);
        for (x, (low, high)) in x[1..].iter_mut().zip(self.reach) {
            *x = x.clamp(low - BEYOND_RUNS, high + BEYOND_RUNS);
        }
        let unsure: f64 = solve(self.matrix, x)
            .iter()
            .zip(x)
            .map(|(s, x)| s * x)
            .sum();
        let off = EIGHT_OF_TEN * self.scatter_l_per_h * (1.0 + unsure).sqrt();
        (self.value(x), off)
    }

    fn value(&self, x: [f64; 3]) -> f64 {
        self.weights.iter().zip(x).map(|(w, x)| w * x).sum()
    }
}

/// One, and the distance from the centre in 100 kcal/h and in 10 °C.
fn row(centre: [f64; 2], energy_kcal_per_h: f64, temp_c: f64) -> [f64; 3] {
    [
        1.0,
        (energy_kcal_per_h - centre[0]) / 100.0,
        (temp_c - centre[1]) / 10.0,
    ]
}

/// Solves three equations whose matrix is symmetric and positive definite (a ridge sees to that),
/// so that elimination needs no search for a pivot.
fn solve(mut a: [[f64; 3]; 3], mut b: [f64; 3]) -> [f64; 3] {
    for k in 0..3 {
        let pivot = a[k];
        for i in k + 1..3 {
            let factor = a[i][k] / pivot[k];
            for (x, p) in a[i].iter_mut().zip(pivot) {
                *x -= factor * p;
            }
            b[i] -= factor * b[k];
        }
    }
    for k in (0..3).rev() {
        for j in k + 1..3 {
            b[k] -= a[k][j] * b[j];
        }
        b[k] /= a[k][k];
    }
    b
}
