//! Evidence of one recording about a runner, and its sureness.
//!
//! The run is cut into equal pieces. The logarithm of each piece's share of the moving time, less
//! that by the usual fade, is all but linear in the fade: so the solver is asked twice for each
//! recording, and the rest is a straight line. It is the logarithm because a runner is as likely to
//! be 10 % faster as 10 % slower on a piece, whatever its length.

use crate::inputs::RunRecord;

use super::errors::mean;
use super::figures::{USUAL_FADE, moving, planned};
use super::recording::Recording;

/// Standard deviation of the fade between one runner's days, by hours, from 25 public recordings.
/// Over a few hours a slow start or one bad patch looks like a large fade.
pub(super) fn day_to_day(hours: f64) -> f64 {
    1.75 / hours.max(1.0).sqrt()
}

/// One run's evidence.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunEvidence {
    /// The fade that fits it best.
    pub fade: f64,
    /// One standard deviation of that.
    pub uncertainty: f64,
    /// Start to finish, hours.
    pub hours: f64,
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
        // far enough to see, near enough to be straight
        const NUDGE: f64 = 0.3;
        // no two pieces of trail are run alike to a percent
        const LEAST: f64 = 0.01;
        // next to nothing against what a run of an hour says
        const LOOSELY: f64 = 1.0 / 9.0;
        let length_m = recording.course.profile.length_m();
        let count = ((length_m / PIECE_M) as usize).clamp(FEWEST, MOST);
        let edges: Vec<f64> = (0..=count)
            .map(|i| length_m * i as f64 / count as f64)
            .collect();
        let shares = |fade: f64| {
            let pacing = planned(recording, &moving(fade))?;
            let passed = (edges.iter()).map(|m| pacing.elapsed_at_s(&recording.course, *m));
            Some(log_shares(passed))
        };
        let usual = shares(USUAL_FADE)?;
        let nudged = shares(USUAL_FADE + NUDGE)?;
        let own = log_shares(edges.iter().map(|m| recording.moving_at_s(*m)));
        // all three have a mean of nothing
        let over: Vec<f64> = own
            .iter()
            .zip(&usual)
            .map(|(own, usual)| own - usual)
            .collect();
        let by_fade = nudged
            .iter()
            .zip(&usual)
            .map(|(nudged, usual)| (nudged - usual) / NUDGE);
        let by_fade: Vec<f64> = by_fade.collect();
        let products: f64 = by_fade.iter().zip(&over).map(|(x, y)| x * y).sum();
        let squares: f64 = by_fade.iter().map(|x| x * x).sum();
        let line = |spread: f64| products / (squares + LOOSELY * spread * spread);
        let spread = |slope: f64| {
            let left = over
                .iter()
                .zip(&by_fade)
                .map(|(y, x)| (y - slope * x).powi(2));
            // the mean and the line have taken one piece each
            (left.sum::<f64>() / (count - 2) as f64).sqrt().max(LEAST)
        };
        let slope = line(spread(0.0));
        let precision = squares / spread(slope).powi(2) + LOOSELY;
        Some(RunEvidence {
            fade: USUAL_FADE + slope,
            uncertainty: precision.sqrt().recip(),
            hours: recording.hours(),
        })
    }

    /// Evidence of a run of a record; `None` where it holds no figure.
    #[must_use]
    pub fn noted(run: &RunRecord) -> Option<RunEvidence> {
        let hours = run.hours();
        Some(RunEvidence {
            fade: run.pacing.fade?,
            // who wrote a figure without its deviation is as sure as days are alike
            uncertainty: run.pacing.fade_uncertainty.unwrap_or(day_to_day(hours)),
            hours,
        })
    }
}

/// Logarithms of the times between neighbours, less their mean.
fn log_shares(passed_s: impl Iterator<Item = f64>) -> Vec<f64> {
    let passed_s: Vec<f64> = passed_s.collect();
    let logs: Vec<f64> = (passed_s.windows(2))
        .map(|pair| (pair[1] - pair[0]).max(1.0).ln())
        .collect();
    let mean = mean(logs.iter().copied());
    logs.iter().map(|l| l - mean).collect()
}
