//! One passage at a station, whenever it comes: what every time of it would say of the finish.

use crate::ability::Spread;
use crate::pacing::Pacing;

use super::figures::Straying;
use super::seen::{Kind, Passage, Paths, Seen, interval, log_likelihood};

/// The finishes of a population with how likely each makes any time of one arrival.
///
/// It is [`Seen`] for a single passage, worked out once for all times: only the logarithm of the
/// time seen differs.
#[derive(Clone, Debug)]
pub struct Passing {
    marks: Vec<TriedFinish>,
    /// The arrival that `off` is counted at, and all before it.
    at: Passage,
    start: Passage,
    stops_s: Vec<f64>,
    /// Moving time to it, seconds.
    moving_s: f64,
}

/// One finish.
#[derive(Clone, Copy, Debug)]
struct TriedFinish {
    finish_s: f64,
    /// Logarithm of its weight before anything is seen.
    log_prior: f64,
    /// Logarithm of the moving time to the arrival, less what this finish expects.
    off: f64,
    variance: f64,
}

/// Finishes looked at.
const MARKS: usize = 128;
/// Finishes of interest lie at least by this factor inside of those looked at.
const BEYOND: f64 = 1.3;
/// Finishes further off than this factor say nothing.
const FAR: f64 = 2.5;
/// Halvings of the time: from a day to seconds.
const HALVINGS: usize = 16;

impl Passing {
    /// Of the arrival at a station, where finishes between these are asked for, seconds.
    #[must_use]
    pub fn of(
        figures: &Straying,
        paths: &Paths,
        pacing: &Pacing,
        spread: &Spread,
        station: usize,
        (soonest_s, latest_s): (f64, f64),
    ) -> Passing {
        let at = Passage {
            station,
            kind: Kind::Arrival,
            at_s: pacing.arrival_s[station],
        };
        let nodes = Seen::at_finishes(figures, paths, pacing, at);
        let from_s = soonest_s.min(spread.quantile_s(0.005)) / BEYOND;
        let to_s = latest_s.max(spread.quantile_s(0.995)) * BEYOND;
        let (from_s, to_s) = (from_s.max(soonest_s / FAR), to_s.min(latest_s * FAR));
        let marks = (0..MARKS).map(|index| {
            let share = index as f64 / (MARKS - 1) as f64;
            let finish_s = from_s * (to_s / from_s).powf(share);
            let (off, variance) = nodes(finish_s);
            TriedFinish {
                finish_s,
                log_prior: spread.density(finish_s).max(1e-300).ln(),
                off,
                variance,
            }
        });
        let start = Passage {
            station: 0,
            kind: Kind::Departure,
            at_s: pacing.departure_s[0],
        };
        let stops_s = pacing.departure_s.iter().zip(&pacing.arrival_s);
        let stops_s: Vec<f64> = (stops_s.map(|(leaves_s, comes_s)| leaves_s - comes_s))
            .take(station)
            .skip(1)
            .collect();
        Passing {
            marks: marks.collect(),
            at,
            start,
            moving_s: interval(&stops_s, start, at).moving_s,
            stops_s,
        }
    }

    /// The chance of a finish by then of who arrives at a time.
    #[must_use]
    pub fn chance_by(&self, at_s: f64, finish_s: f64) -> f64 {
        let at = Passage { at_s, ..self.at };
        let moving_s = interval(&self.stops_s, self.start, at).moving_s;
        let more = (moving_s / self.moving_s).ln();
        let log_weight = |mark: &TriedFinish| {
            let square = (mark.off + more).powi(2) / mark.variance;
            mark.log_prior + log_likelihood(square, mark.variance.ln(), 1.0)
        };
        let logs: Vec<f64> = self.marks.iter().map(log_weight).collect();
        let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let weights: Vec<f64> = logs.iter().map(|log| (log - most).exp()).collect();
        // as many as lie between two finishes on average
        let between = |pair: &[f64]| 0.5 * (pair[0] + pair[1]);
        let all: f64 = weights.windows(2).map(between).sum();
        let pairs = self.marks.windows(2).zip(weights.windows(2));
        let by: f64 = pairs
            .map(|(marks, pair)| {
                let [from, to] = [marks[0].finish_s, marks[1].finish_s];
                let part = (finish_s / from).ln() / (to / from).ln();
                between(pair) * part.clamp(0.0, 1.0)
            })
            .sum();
        by / all
    }

    /// The arrival later than which a finish is less likely than not, between two times; the first
    /// where it is from the outset, the second where it never is.
    #[must_use]
    pub fn latest_s(&self, finish_s: f64, (mut from_s, mut to_s): (f64, f64)) -> f64 {
        let is_likely = |at_s: f64| self.chance_by(at_s, finish_s) >= 0.5;
        if !is_likely(from_s) {
            return from_s;
        }
        if is_likely(to_s) {
            return to_s;
        }
        for _ in 0..HALVINGS {
            let middle_s = 0.5 * (from_s + to_s);
            match is_likely(middle_s) {
                true => from_s = middle_s,
                false => to_s = middle_s,
            }
        }
        from_s
    }
}
