//! The population at one finish, as passages leave it: Gaussian, so in closed form.

use super::cholesky::Cholesky;
use super::draws::Draw;
use super::figures::Straying;
use super::finishes::Finishes;
use super::linear::{Expected, dot, summed_from, weights};
use super::passages::Interval;
use super::pieces::{Chance, PIECES, Pieces};

/// Passages to be explained by races of any finish.
pub(super) struct Explained<'a> {
    pub(super) figures: &'a Straying,
    pub(super) chance: &'a Chance,
    pub(super) finishes: &'a Finishes,
    /// Stops in all, as far as known, and else as planned, seconds.
    pub(super) stops_s: f64,
    pub(super) intervals: &'a [Interval],
}

/// The population at one finish.
#[derive(Clone, Debug)]
pub(super) struct Node {
    pub(super) finish_s: f64,
    /// Logarithm of the likelihood of the passages.
    pub(super) log_likelihood: f64,
    chance: Chance,
    /// Per piece, the variance of its logarithm but for the drift.
    own: Pieces,
    /// Per interval, how its logarithm follows each step of the drift, and each piece.
    steps: Vec<Pieces>,
    pieces: Vec<Pieces>,
    errors: Vec<f64>,
    solved: Cholesky,
    /// The drift to expect.
    pub(super) drift: Pieces,
    /// Widening of what is left, where the passages are a surprise.
    widened: f64,
}

/// Degrees of freedom of the surprise: passages that no race of these figures has must not rule
/// out everything.
///
/// The likeliest on the level race, where it is 9 to 11 with drift and stretches free.
const FREEDOM: f64 = 10.0;

impl Explained<'_> {
    /// Likelihood of the passages in a race of this finish, and what they say of its drift.
    pub(super) fn at(&self, finish_s: f64) -> Node {
        let intervals = self.intervals;
        let mut moved = Vec::new();
        self.finishes.moved(finish_s, &mut moved);
        let moving_s = (finish_s - self.finishes.start_s - self.stops_s).max(1.0);
        let chance = (self.chance).at(self.figures, self.finishes, finish_s);
        let piece_s = moving_s / PIECES as f64;
        let moving: Pieces = std::array::from_fn(|piece| chance.moving(piece, piece_s));
        let own: Pieces = std::array::from_fn(|piece| {
            (moving[piece] * chance.stretch).powi(2)
                + chance.stopped_s2[piece] / (piece_s * piece_s)
        });
        let pieces: Vec<Pieces> = intervals
            .iter()
            .map(|interval| weights(moved[interval.from], moved[interval.to]))
            .collect();
        let steps: Vec<Pieces> = pieces.iter().map(|by| summed_from(by, &moving)).collect();
        let expected = Expected::of(&chance.drift, &moving, &own);
        let mut by: Vec<f64> = intervals
            .iter()
            .zip(&pieces)
            .map(|(interval, weights)| {
                let planned = moving_s * (moved[interval.to] - moved[interval.from]).max(1e-9);
                (interval.moving_s / planned).ln() - expected.log(weights)
            })
            .collect();
        let covariance: Vec<Vec<f64>> = (0..intervals.len())
            .map(|i| {
                let with = |j: usize| {
                    let drift = dot(&chance.drift, &steps[i], &steps[j]);
                    let alone = dot(&own, &pieces[i], &pieces[j]);
                    drift + alone + if i == j { intervals[i].error } else { 0.0 }
                };
                (0..=i).map(with).collect()
            })
            .collect();
        let solved = Cholesky::of(&covariance);
        let count = by.len() as f64;
        let surprise = solved.solve(&mut by);
        let mut now = 0.0;
        let drift = std::array::from_fn(|piece| {
            let along: f64 = steps.iter().zip(&by).map(|(w, b)| w[piece] * b).sum();
            now += chance.drift[piece] * (along - 0.5);
            now
        });
        Node {
            drift,
            finish_s,
            log_likelihood: log_likelihood(surprise, solved.log_determinant(), count),
            chance,
            own,
            steps,
            pieces,
            errors: intervals.iter().map(|interval| interval.error).collect(),
            solved,
            widened: ((FREEDOM + surprise) / (FREEDOM + count)).sqrt(),
        }
    }
}

impl Node {
    /// Straying from the drift to expect: one drawn as before the passages were seen, moved by how
    /// far it is off them (Matheron's rule; Doucet 2010, "A note on efficient conditional
    /// simulation of Gaussian distributions").
    pub(super) fn strayed(&self, draw: &Draw) -> Pieces {
        let scaled = |variances: &Pieces, normals: &Pieces| -> Pieces {
            std::array::from_fn(|piece| variances[piece].sqrt() * normals[piece])
        };
        let steps = scaled(&self.chance.drift, &draw.drift);
        let alone = scaled(&self.own, &draw.own);
        let sum = |one: &Pieces, other: &Pieces| -> f64 {
            one.iter().zip(other).map(|(a, b)| a * b).sum()
        };
        let intervals = self.steps.iter().zip(&self.pieces);
        let errors = self.errors.iter().zip(&draw.errors);
        let mut drawn: Vec<f64> = intervals
            .zip(errors)
            .map(|((along, weights), (error, normal))| {
                sum(along, &steps) + sum(weights, &alone) + error.sqrt() * normal
            })
            .collect();
        self.solved.solve(&mut drawn);
        let mut now = 0.0;
        std::array::from_fn(|piece| {
            let along = self.steps.iter().zip(&drawn).map(|(w, b)| w[piece] * b);
            let gain = self.chance.drift[piece] * along.sum::<f64>();
            now += self.widened * (steps[piece] - gain);
            now
        })
    }
}

/// The logarithm of the density of Student's t with [`FREEDOM`], up to what is the same everywhere: of
/// so many numbers with this square over their covariance, of which this is the logarithm of the
/// determinant.
fn log_likelihood(square: f64, log_determinant: f64, count: f64) -> f64 {
    -0.5 * (FREEDOM + count) * (square / FREEDOM).ln_1p() - 0.5 * log_determinant
}
