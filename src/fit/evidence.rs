//! What one recording says about a runner, and how sure it is.
//!
//! The run is cut into equal pieces. The logarithm of each piece's share of the moving time, less
//! that by the usual figures, is all but linear in the figures: so the solver is asked four times
//! for each recording, and the rest is a straight-line fit. It is the logarithm because a runner is
//! as likely to be 10 % faster as 10 % slower on a piece, whatever its length.

use crate::time::S_PER_HOUR;

use super::figures::{Figures, planned};
use super::linear::{self, Square};
use super::recording::Recording;

/// Fade, logarithm of the climb multiplier, logarithm of the descent multiplier.
pub(super) type Moves = [f64; 3];

/// One recording's evidence.
#[derive(Clone, Debug, PartialEq)]
pub struct Evidence {
    /// The figures that fit it best, hardly held back.
    pub best: Figures,
    /// Start to finish, hours.
    pub hours: f64,
    /// Stood, hours.
    pub stood_h: f64,
    /// Usual stopped time in such a time, hours.
    pub usual_h: f64,
    pub(super) moves: Moves,
    pub(super) covariance: Square<3>,
    /// As a share of a run of today: 1, or less for one of long ago.
    pub(super) counts: f64,
}

/// Pieces are about this long, metres: much shorter ones have slopes that are the noise of the
/// heights, and make every hill look easy.
const PIECE_M: f64 = 1000.0;
/// As many pieces at least.
const FEWEST: usize = 20;
/// As many pieces at most: the model was fitted to pieces of about this size.
const MOST: usize = 40;

/// The usual figures as [`Moves`].
pub(super) const USUAL: Moves = [Figures::USUAL.fade, 0.0, 0.0];

/// The figures that some moves are, the stops usual.
pub(super) fn figures(moves: Moves) -> Figures {
    Figures {
        fade: moves[0],
        climb_multiplier: moves[1].exp(),
        descent_multiplier: moves[2].exp(),
        ..Figures::USUAL
    }
}

impl Evidence {
    /// One standard deviation of the best fade, climb and descent multiplier.
    #[must_use]
    pub fn deviations(&self) -> [f64; 3] {
        let own = [
            1.0,
            self.best.climb_multiplier,
            self.best.descent_multiplier,
        ];
        std::array::from_fn(|i| own[i] * self.covariance[i][i].max(0.0).sqrt())
    }

    /// The evidence of a recording; `None` where nobody could have run it.
    pub(super) fn of(recording: &Recording) -> Option<Evidence> {
        let pieces = Pieces::of(recording)?;
        let (moves, covariance) = pieces.fitted()?;
        let hours = recording.hours();
        Some(Evidence {
            best: figures(moves),
            hours,
            stood_h: recording.stopped_s() / S_PER_HOUR,
            usual_h: crate::pacing::usual_stop_share(hours) * hours,
            moves,
            covariance,
            counts: 1.0,
        })
    }
}

/// How each piece differs from the usual, and what each figure would change about that.
struct Pieces {
    over: Vec<f64>,
    by_move: Vec<[f64; 4]>,
}

impl Pieces {
    fn of(recording: &Recording) -> Option<Pieces> {
        // far enough to see, near enough to be straight
        const NUDGE: [f64; 3] = [0.3, 0.1, 0.1];
        let length_m = recording.course.profile.length_m();
        let count = ((length_m / PIECE_M) as usize).clamp(FEWEST, MOST);
        let edges: Vec<f64> = (0..=count)
            .map(|i| length_m * i as f64 / count as f64)
            .collect();
        let moved: Vec<f64> = edges.iter().map(|m| recording.moving_at_s(*m)).collect();
        let shares = |moves: Moves| -> Option<Vec<f64>> {
            let pacing = planned(recording, &figures(moves).moving())?;
            let passed = edges
                .iter()
                .map(|m| pacing.elapsed_at_s(&recording.course, *m));
            Some(log_shares(&passed.collect::<Vec<_>>()))
        };
        let usual = shares(USUAL)?;
        let mut nudged = Vec::new();
        for (i, nudge) in NUDGE.into_iter().enumerate() {
            let mut moves = USUAL;
            moves[i] += nudge;
            nudged.push(shares(moves)?);
        }
        let over = (log_shares(&moved).iter().zip(&usual))
            .map(|(own, usual)| own - usual)
            .collect();
        let by_move = (0..count)
            .map(|piece| {
                let slope = |i: usize| (nudged[i][piece] - usual[piece]) / NUDGE[i];
                [1.0, slope(0), slope(1), slope(2)]
            })
            .collect();
        Some(Pieces { over, by_move })
    }

    /// The best moves and their covariance.
    fn fitted(&self) -> Option<(Moves, Square<3>)> {
        // next to nothing against what a run of an hour says: it keeps a figure in place of which
        // a flat run says nothing at all
        const LOOSELY: [f64; 4] = [0.0, 1.0 / 9.0, 1.0, 1.0];
        let mut weights = vec![1.0; self.over.len()];
        let mut answer = None;
        for _ in 0..12 {
            let spread = self.spread(answer);
            let held = linear::diagonal(LOOSELY.map(|l| l * spread * spread));
            let (mut squares, mut column) = (held, [0.0; 4]);
            for ((row, over), weight) in self.by_move.iter().zip(&self.over).zip(&weights) {
                for i in 0..4 {
                    column[i] += weight * row[i] * over;
                    for j in 0..4 {
                        squares[i][j] += weight * row[i] * row[j];
                    }
                }
            }
            let inverse = linear::inverse(&squares)?;
            let now = linear::times(&inverse, &column);
            answer = Some(now);
            let spread = self.spread(answer);
            for (weight, left) in weights.iter_mut().zip(self.left(&now)) {
                *weight = huber(left / spread);
            }
        }
        let answer = answer?;
        let mut squares = linear::diagonal(LOOSELY);
        let (spread, echo) = (self.spread(Some(answer)), self.echo(&answer));
        for (row, weight) in self.by_move.iter().zip(&weights) {
            for i in 0..4 {
                for j in 0..4 {
                    squares[i][j] += weight * row[i] * row[j] / (spread * spread * echo);
                }
            }
        }
        let covariance = linear::inverse(&squares)?;
        let part = |i: usize| [covariance[i][1], covariance[i][2], covariance[i][3]];
        let moves = [
            USUAL[0] + answer[1],
            USUAL[1] + answer[2],
            USUAL[2] + answer[3],
        ];
        Some((moves, [part(1), part(2), part(3)]))
    }

    /// What an answer leaves unexplained.
    fn left(&self, answer: &[f64; 4]) -> Vec<f64> {
        (self.by_move.iter().zip(&self.over))
            .map(|(row, over)| over - row.iter().zip(answer).map(|(a, b)| a * b).sum::<f64>())
            .collect()
    }

    /// The standard deviation of what is left, from its median, as if it were normal.
    fn spread(&self, answer: Option<[f64; 4]>) -> f64 {
        // no two pieces of trail are run alike to a percent
        const LEAST: f64 = 0.01;
        let left = match answer {
            Some(answer) => self.left(&answer),
            None => self.over.clone(),
        };
        let sizes: Vec<f64> = left.iter().map(|l| l.abs()).collect();
        linear::quantile(&sizes, 0.5).map_or(LEAST, |median| (median / 0.6745).max(LEAST))
    }

    /// By how much neighbours that are off together blow the variance up: `(1 + r) / (1 - r)` of
    /// their correlation.
    fn echo(&self, answer: &[f64; 4]) -> f64 {
        let spread = self.spread(Some(*answer));
        // a stop or a lost way is one event, not the rule
        let left: Vec<f64> = (self.left(answer).iter())
            .map(|l| l.clamp(-2.0 * spread, 2.0 * spread))
            .collect();
        let squares: f64 = left.iter().map(|l| l * l).sum();
        let pairs: f64 = left.windows(2).map(|pair| pair[0] * pair[1]).sum();
        let r = (pairs / squares.max(f64::MIN_POSITIVE)).clamp(0.0, 0.7);
        (1.0 + r) / (1.0 - r)
    }
}

/// Full weight up to 1.345 standard deviations, then as much as such a piece would have (Huber
/// 1964, Ann Math Stat 35:73, from memory): 95 % as good as least squares where there are no outliers.
fn huber(deviations: f64) -> f64 {
    (1.345 / deviations.abs().max(f64::MIN_POSITIVE)).min(1.0)
}

/// Logarithms of the times between neighbours, less their mean.
fn log_shares(passed_s: &[f64]) -> Vec<f64> {
    let logs: Vec<f64> = passed_s
        .windows(2)
        .map(|pair| (pair[1] - pair[0]).max(1.0).ln())
        .collect();
    let mean = logs.iter().sum::<f64>() / logs.len().max(1) as f64;
    logs.iter().map(|l| l - mean).collect()
}
