//! Passages as sums of pieces: near the plan, the logarithm of what lies between two of them follows
//! the logarithms of the pieces by weights.

use super::pieces::{PIECES, Pieces};

/// The mean of the logarithm of what an interval takes against the plan, which is not nothing: pieces
/// stray by factors, and the whole is held.
pub(super) struct Expected {
    /// Per piece, the variance that the drift has come to.
    drifted: Pieces,
    /// Per piece, the variance of its own.
    own: Pieces,
    /// Half of the variance within the whole race.
    whole: f64,
}

impl Expected {
    pub(super) fn of(drift: &Pieces, moving: &Pieces, own: &Pieces) -> Expected {
        let mut sum = 0.0;
        let drifted = std::array::from_fn(|piece| {
            sum += drift[piece];
            sum * moving[piece] * moving[piece]
        });
        let mut expected = Expected {
            drifted,
            own: *own,
            whole: 0.0,
        };
        expected.whole = expected.within(&[1.0 / PIECES as f64; PIECES]);
        expected
    }

    /// Half of the variance between the pieces of a mean, to the second order.
    fn within(&self, mean: &Pieces) -> f64 {
        let pieces = || (0..PIECES).filter(|p| mean[*p] != 0.0);
        let alone = pieces().map(|p| mean[p] * (1.0 - mean[p]) * self.own[p]);
        let each = pieces().map(|p| mean[p] * self.drifted[p]);
        // a drift that two pieces share is that of the earlier; all weights make 1
        let mut after: f64 = pieces().map(|p| mean[p]).sum();
        let shared = pieces().map(|p| {
            let (from, own) = (after, mean[p]);
            after -= own;
            self.drifted[p] * (from * from - after * after)
        });
        let shared: f64 = shared.sum();
        0.5 * (alone.sum::<f64>() + each.sum::<f64>() - shared)
    }

    /// For an interval whose logarithm follows the pieces by these weights.
    pub(super) fn log(&self, weights: &Pieces) -> f64 {
        let mean = weights.map(|weight| weight + 1.0 / PIECES as f64);
        // drift and stops leave what a piece takes on average, not its logarithm
        let held = (0..PIECES).map(|p| -0.5 * weights[p] * (self.drifted[p] + self.own[p]));
        held.sum::<f64>() + self.within(&mean) - self.whole
    }
}

/// Weights of each piece in the logarithm of the time between two shares of the moving time, where
/// the whole is held: the mean over its pieces, less that over all.
pub(super) fn weights(from: f64, to: f64) -> Pieces {
    let width = (to - from).max(1e-9);
    std::array::from_fn(|piece| {
        let (begin, end) = (
            piece as f64 / PIECES as f64,
            (piece + 1) as f64 / PIECES as f64,
        );
        let within = (end.min(to) - begin.max(from)).max(0.0);
        within / width - 1.0 / PIECES as f64
    })
}

/// A step of the drift stays for every piece after it, as far as that is moved in.
pub(super) fn summed_from(weights: &Pieces, moving: &Pieces) -> Pieces {
    let mut sum = 0.0;
    let mut from = *weights;
    for (weight, moving) in from.iter_mut().zip(moving).rev() {
        sum += *weight * moving;
        *weight = sum;
    }
    from
}

/// The sum of products, each times its scale.
pub(super) fn dot(scale: &Pieces, one: &Pieces, other: &Pieces) -> f64 {
    (0..PIECES).map(|p| scale[p] * one[p] * other[p]).sum()
}

/// A value between those at 0, 1, 2 and so on, by the cubic through the four next to it (Lagrange).
pub(super) fn cubic(values: &[f64], at: f64) -> f64 {
    let first = (at.floor() as usize).clamp(1, values.len() - 3) - 1;
    let t = at - first as f64;
    let [a, b, c, d] = std::array::from_fn(|i| values[first + i]);
    -a * (t - 1.0) * (t - 2.0) * (t - 3.0) / 6.0 + b * t * (t - 2.0) * (t - 3.0) / 2.0
        - c * t * (t - 1.0) * (t - 3.0) / 2.0
        + d * t * (t - 1.0) * (t - 2.0) / 6.0
}
