//! Evidence of one recording about a runner, and its sureness.
//!
//! The run is cut into equal pieces. The logarithm of each piece's share of the moving time, less
//! that by the usual fade, is all but linear in the fade: so the solver is asked twice for each
//! recording, and the rest is a straight line. It is the logarithm because a runner is as likely to
//! be 10 % faster as 10 % slower on a piece, whatever its length.

use crate::inputs::RunRecord;
use crate::inputs::record_toml::Measured;
use crate::pacing::usual_stop_share;
use crate::time::S_PER_HOUR;

use super::errors::quantile;
use super::figures::{Figures, planned};
use super::recording::Recording;

/// Standard deviation of the fade between one runner's days, by hours, from 25 public recordings.
/// Over a few hours a slow start or one bad patch looks like a large fade.
pub(super) fn day_to_day(hours: f64) -> f64 {
    1.75 / hours.max(1.0).sqrt()
}

/// One run's evidence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunEvidence {
    /// The fade that fits it best, with one standard deviation; `None` where it says nothing of it.
    pub fade: Option<(f64, f64)>,
    /// Start to finish, hours.
    pub hours: f64,
    /// Stood, hours.
    pub stood_h: f64,
    /// Usual stopped time in such a time, hours; 0 where the run says nothing of stops.
    pub usual_h: f64,
}

/// Pieces are about this long, metres: much shorter ones have slopes that are the noise of the
/// heights, and make every hill look easy.
const PIECE_M: f64 = 1000.0;
/// As many pieces at least.
const FEWEST: usize = 20;
/// As many pieces at most: the model was fitted to pieces of about this size.
const MOST: usize = 40;

impl RunEvidence {
    /// The evidence of a recording; `None` where nobody could have run it.
    pub(super) fn of(recording: &Recording) -> Option<RunEvidence> {
        let hours = recording.hours();
        Some(RunEvidence {
            fade: Some(PieceDifferences::of(recording)?.fade()),
            hours,
            stood_h: recording.stopped_s() / S_PER_HOUR,
            usual_h: usual_stop_share(hours) * hours,
        })
    }

    /// Evidence of a run of a record; `None` where it holds no figure.
    #[must_use]
    pub fn noted(run: &RunRecord) -> Option<RunEvidence> {
        let hours = run.hours();
        let all_usual_h = usual_stop_share(hours) * hours;
        let stopped_h = run.stops.map(|_| run.stopped_s / S_PER_HOUR);
        let told = run
            .pacing
            .stop_multiplier
            .map(|own| own.value * all_usual_h);
        let stood_h = told.or(stopped_h);
        // who wrote a figure without its deviation is as sure as days are alike
        let sure = |own: Measured| own.uncertainty.unwrap_or(day_to_day(hours));
        let fade = run.pacing.fade.map(|own| (own.value, sure(own)));
        (fade.is_some() || stood_h.is_some()).then_some(RunEvidence {
            fade,
            hours,
            stood_h: stood_h.unwrap_or(0.0),
            usual_h: stood_h.map_or(0.0, |_| all_usual_h),
        })
    }
}

/// The difference of each piece from the usual, and what the fade would change about that.
struct PieceDifferences {
    over: Vec<f64>,
    by_fade: Vec<f64>,
}

impl PieceDifferences {
    fn of(recording: &Recording) -> Option<PieceDifferences> {
        // far enough to see, near enough to be straight
        const NUDGE: f64 = 0.3;
        let length_m = recording.course.profile.length_m();
        let count = ((length_m / PIECE_M) as usize).clamp(FEWEST, MOST);
        let edges: Vec<f64> = (0..=count)
            .map(|i| length_m * i as f64 / count as f64)
            .collect();
        let shares = |fade: f64| -> Option<Vec<f64>> {
            let usual = Figures::USUAL;
            let pacing = planned(recording, &Figures { fade, ..usual }.moving())?;
            let passed = edges
                .iter()
                .map(|m| pacing.elapsed_at_s(&recording.course, *m));
            Some(log_shares(passed))
        };
        let usual = shares(Figures::USUAL.fade)?;
        let nudged = shares(Figures::USUAL.fade + NUDGE)?;
        let own = log_shares(edges.iter().map(|m| recording.moving_at_s(*m)));
        let less_usual = |all: &[f64], scale: f64| -> Vec<f64> {
            let pairs = all.iter().zip(&usual);
            pairs.map(|(one, usual)| (one - usual) / scale).collect()
        };
        Some(PieceDifferences {
            over: less_usual(&own, 1.0),
            by_fade: less_usual(&nudged, NUDGE),
        })
    }

    /// The best fade and its standard deviation, by a line that far pieces hardly bend.
    fn fade(&self) -> (f64, f64) {
        // next to nothing against what a run of an hour says
        const LOOSELY: f64 = 1.0 / 9.0;
        let mut weights = vec![1.0; self.over.len()];
        let mut spread = spread(&self.over);
        let (mut slope, mut squares) = (0.0, 0.0);
        let mut left = Vec::new();
        for _ in 0..12 {
            let all: f64 = weights.iter().sum();
            let mean = |values: &[f64]| {
                let weighted = values.iter().zip(&weights).map(|(v, w)| v * w);
                weighted.sum::<f64>() / all
            };
            let (mean_x, mean_y) = (mean(&self.by_fade), mean(&self.over));
            let rows = || self.by_fade.iter().zip(&self.over).zip(&weights);
            squares = rows().map(|((x, _), w)| w * (x - mean_x).powi(2)).sum();
            let products: f64 = rows()
                .map(|((x, y), w)| w * (x - mean_x) * (y - mean_y))
                .sum();
            slope = products / (squares + LOOSELY * spread * spread);
            left = (self.by_fade.iter().zip(&self.over))
                .map(|(x, y)| y - mean_y - slope * (x - mean_x))
                .collect();
            spread = self::spread(&left);
            weights = left.iter().map(|left| huber(left / spread)).collect();
        }
        let precision = squares / (spread * spread * echo(&left, spread)) + LOOSELY;
        (Figures::USUAL.fade + slope, precision.sqrt().recip())
    }
}

/// The standard deviation of what is left, from its median, as if it were normal.
fn spread(left: &[f64]) -> f64 {
    // no two pieces of trail are run alike to a percent
    const LEAST: f64 = 0.01;
    let sizes: Vec<f64> = left.iter().map(|l| l.abs()).collect();
    quantile(&sizes, 0.5).map_or(LEAST, |median| (median / 0.6745).max(LEAST))
}

/// By how much neighbours that are off together blow the variance up: `(1 + r) / (1 - r)` of their
/// correlation.
fn echo(left: &[f64], spread: f64) -> f64 {
    // a stop or a lost way is one event, not the rule
    let left: Vec<f64> = (left.iter())
        .map(|l| l.clamp(-2.0 * spread, 2.0 * spread))
        .collect();
    let squares: f64 = left.iter().map(|l| l * l).sum();
    let pairs: f64 = left.windows(2).map(|pair| pair[0] * pair[1]).sum();
    let r = (pairs / squares.max(f64::MIN_POSITIVE)).clamp(0.0, 0.7);
    (1.0 + r) / (1.0 - r)
}

/// Full weight up to 1.345 standard deviations, then as much as such a piece would have (Huber
/// 1964, Ann Math Stat 35:73, from memory): 95 % as good as least squares where there are no outliers.
fn huber(deviations: f64) -> f64 {
    (1.345 / deviations.abs().max(f64::MIN_POSITIVE)).min(1.0)
}

/// Logarithms of the times between neighbours, less their mean.
fn log_shares(passed_s: impl Iterator<Item = f64>) -> Vec<f64> {
    let passed_s: Vec<f64> = passed_s.collect();
    let logs: Vec<f64> = passed_s
        .windows(2)
        .map(|pair| (pair[1] - pair[0]).max(1.0).ln())
        .collect();
    let mean = logs.iter().sum::<f64>() / logs.len().max(1) as f64;
    logs.iter().map(|l| l - mean).collect()
}
