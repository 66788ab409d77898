//! All recordings of a runner together, drawn towards what other runners' recordings show.
//!
//! A runner is one of many, and each of their days one of theirs: figures differ between runners
//! by [`BETWEEN`] and between one runner's days by [`day_to_day`]. What a recording is worth
//! follows from both and from how sure it is by itself: normal theory with three guards. A day
//! that is far off counts for less (Student's t with [`DEGREES`] degrees of freedom), so one bad
//! day cannot pull the figures along; the days' spread is learned from the runner's own once there
//! are several, so twelve days that agree are believed; and a figure nobody could tell from the
//! recordings stays where it was.

use super::evidence::{self, Evidence, Moves};
use super::figures::Figures;
use super::linear::{self, Square};

/// A figure and how sure it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The best guess.
    pub value: f64,
    /// Ends of the range that holds it in two of three cases.
    pub low: f64,
    /// The other end.
    pub high: f64,
    /// Share of the way from the usual to what the recordings show by themselves, 0 to 1.
    pub own_share: f64,
}

/// Standard deviations between runners of the fade and of the logarithms of the multipliers.
///
/// 25 public recordings of six sources cannot tell these from nothing: days of one runner differ as
/// much as sources do. That runners differ is known, on descents most
/// (Townshend 2010, doi 10.1249/mss.0b013e3181af21e2; Björklund 2019, Front Physiol 10:506). Two
/// thirds or four thirds of it changes the error of left-out recordings by less than a
/// hundredth of a percent of the finish time.
const BETWEEN: Moves = [0.15, 0.05, 0.07];

/// Standard deviations between one runner's days, by hours: from the same recordings, what each
/// differs from its source by, less its own doubt. Over a few hours a slow start or one bad patch
/// looks like a large fade; the figure is 1.3 % of the finish time at mid-race at any length.
pub(super) fn day_to_day(hours: f64) -> Moves {
    [1.75 / hours.max(1.0).sqrt(), 0.15, 0.18]
}

/// Of the t distribution that days are drawn from.
const DEGREES: f64 = 4.0;
/// As many days' worth of belief in the spread of [`day_to_day`].
const DAYS_KNOWN: f64 = 3.0;

/// Hours of usual standing that the usual multiplier is worth against a runner's own: between
/// runners it differs by 0.5.
const USUAL_H: f64 = 1.6;
/// Variance of the hours stood over their mean: a recording of 30 h varies by 1.1 h.
const STOPS_VARY_H: f64 = 0.4;

/// The figures of a runner with how sure they are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Combined {
    pub(super) fade: Estimate,
    pub(super) climb: Estimate,
    pub(super) descent: Estimate,
    pub(super) stop: Estimate,
}

impl Combined {
    pub(super) fn figures(&self) -> Figures {
        Figures {
            fade: self.fade.value,
            climb_multiplier: self.climb.value,
            descent_multiplier: self.descent.value,
            stop_multiplier: self.stop.value,
        }
    }
}

/// What some recordings say together; the usual where there are none.
pub(super) fn combined<'a>(evidence: impl Iterator<Item = &'a Evidence> + Clone) -> Combined {
    let days: Vec<RunDay> = evidence.clone().map(RunDay::of).collect();
    let (moves, covariance, _) = settled(&days);
    let estimate = |i: usize, read: fn(f64) -> f64, within: (f64, f64)| {
        let spread = covariance[i][i].sqrt();
        let own_share = 1.0 - covariance[i][i] / (BETWEEN[i] * BETWEEN[i]);
        let kept = |value: f64| read(value).clamp(within.0, within.1);
        Estimate {
            value: kept(moves[i]),
            low: kept(moves[i] - spread),
            high: kept(moves[i] + spread),
            own_share: own_share.clamp(0.0, 1.0),
        }
    };
    Combined {
        fade: estimate(0, |fade| fade, (0.0, 4.0)),
        climb: estimate(1, f64::exp, (0.5, 2.0)),
        descent: estimate(2, f64::exp, (0.5, 2.0)),
        stop: stopping(evidence),
    }
}

/// What each of some recordings counts for beside a usual day: little where it is far from the
/// others.
pub(super) fn weights<'a>(evidence: impl Iterator<Item = &'a Evidence>) -> Vec<f64> {
    settled(&evidence.map(RunDay::of).collect::<Vec<_>>()).2
}

/// One recording, before others are known.
struct RunDay {
    moves: Moves,
    covariance: Square<3>,
    spread: Moves,
    counts: f64,
}

impl RunDay {
    fn of(evidence: &Evidence) -> RunDay {
        RunDay {
            moves: evidence.moves,
            covariance: evidence.covariance,
            spread: day_to_day(evidence.hours),
            counts: evidence.counts,
        }
    }

    /// Its information about the runner, where days spread `scale` times the usual variance.
    fn information(&self, scale: &Moves) -> Option<Square<3>> {
        let days = [0, 1, 2].map(|i| scale[i] * self.spread[i] * self.spread[i]);
        linear::inverse(&linear::plus(
            &self.covariance,
            1.0,
            &linear::diagonal(days),
        ))
    }

    fn off(&self, moves: &Moves) -> Moves {
        [0, 1, 2].map(|i| self.moves[i] - moves[i])
    }
}

/// The runner's moves, their covariance and the days' weights, after as many rounds as it takes for
/// weights and spread to settle.
fn settled(days: &[RunDay]) -> (Moves, Square<3>, Vec<f64>) {
    const ROUNDS: usize = 50;
    const SETTLED: f64 = 1e-6;
    let before = linear::diagonal(BETWEEN.map(|sd| 1.0 / (sd * sd)));
    let mut scale = [1.0; 3];
    let mut weights = vec![1.0; days.len()];
    let mut answer = (evidence::USUAL, linear::diagonal(BETWEEN.map(|sd| sd * sd)));
    for _ in 0..ROUNDS {
        let informations: Vec<Square<3>> = days
            .iter()
            .map(|day| day.information(&scale).unwrap_or_default())
            .collect();
        let mut precision = before;
        let mut pull = [0.0; 3];
        for ((day, information), weight) in days.iter().zip(&informations).zip(&weights) {
            let weight = weight * day.counts;
            precision = linear::plus(&precision, weight, information);
            let own = linear::times(information, &day.off(&evidence::USUAL));
            for (sum, own) in pull.iter_mut().zip(own) {
                *sum += weight * own;
            }
        }
        let Some(covariance) = linear::inverse(&precision) else {
            break;
        };
        let shift = linear::times(&covariance, &pull);
        let moves = [0, 1, 2].map(|i| evidence::USUAL[i] + shift[i]);
        let moved = (moves.iter().zip(&answer.0)).any(|(now, was)| (now - was).abs() > SETTLED);
        answer = (moves, covariance);
        if !moved {
            break;
        }
        for ((day, information), weight) in days.iter().zip(&informations).zip(&mut weights) {
            let off = day.off(&moves);
            let squared: f64 = (linear::times(information, &off).iter().zip(off))
                .map(|(a, b)| a * b)
                .sum();
            *weight = (DEGREES + 3.0) / (DEGREES + squared);
        }
        scale = spread(days, &weights, &moves);
    }
    (answer.0, answer.1, weights)
}

/// The variance between the runner's days over the usual, for each figure.
fn spread(days: &[RunDay], weights: &[f64], moves: &Moves) -> Moves {
    [0, 1, 2].map(|i| {
        let squares: f64 = (days.iter().zip(weights))
            .map(|(day, weight)| {
                let usual = day.spread[i] * day.spread[i] + day.covariance[i][i];
                day.counts * weight * day.off(moves)[i].powi(2) / usual
            })
            .sum();
        let own = (days.iter().map(|day| day.counts).sum::<f64>() - 1.0).max(0.0);
        (DAYS_KNOWN + squares.min(4.0 * own)) / (DAYS_KNOWN + own)
    })
}

/// Time stood over the usual: counts of rare events with a gamma prior, in hours.
fn stopping<'a>(evidence: impl Iterator<Item = &'a Evidence>) -> Estimate {
    let (mut stood_h, mut usual_h) = (0.0, 0.0);
    for one in evidence {
        // one afternoon in a hut must not count for a season
        stood_h += one.counts * one.stood_h.min(3.0 * one.usual_h + 0.5);
        usual_h += one.counts * one.usual_h;
    }
    let value = (USUAL_H + stood_h) / (USUAL_H + usual_h);
    let spread = (STOPS_VARY_H * value / (USUAL_H + usual_h)).sqrt();
    Estimate {
        value: value.min(4.0),
        low: (value - spread).max(0.0),
        high: (value + spread).min(4.0),
        own_share: usual_h / (USUAL_H + usual_h),
    }
}
