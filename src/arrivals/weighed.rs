//! Finishes as what was seen leaves them: how likely each was before, times how likely it makes the
//! passages.

use crate::ability::Spread;

use super::linear::cubic;

/// Finishes with the share of all that is faster.
#[derive(Clone, Debug)]
pub(super) struct Weighed {
    /// Ascending, seconds.
    finish_s: Vec<f64>,
    /// From 0 to 1.
    until: Vec<f64>,
}

/// Parts of each step of the finishes looked at: the likelihood is smooth, what was likely before
/// is not.
const PARTS: usize = 8;
/// The least that anything weighs.
const LEAST: f64 = 1e-300;

impl Weighed {
    /// From logarithms of the likelihood at finishes between two, in even steps of their logarithm.
    pub(super) fn of(spread: &Spread, (from_s, to_s): (f64, f64), logs: &[f64]) -> Weighed {
        let steps = (logs.len() - 1) as f64;
        let step = (to_s / from_s).ln() / steps;
        let parts = PARTS * (logs.len() - 1);
        let mut finish_s: Vec<f64> = (0..=parts)
            .map(|part| from_s * (step * part as f64 / PARTS as f64).exp())
            .collect();
        // there what was likely before may jump
        let middle = finish_s.partition_point(|at_s| *at_s < spread.likely_s);
        if middle > 0 && middle <= parts {
            finish_s.insert(middle, spread.likely_s);
        }
        let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let before: Vec<f64> = finish_s
            .iter()
            .map(|at_s| spread.chance_by(*at_s))
            .collect();
        let mut sum = 0.0;
        let mut until = vec![0.0];
        for (pair, chances) in finish_s.windows(2).zip(before.windows(2)) {
            let middle = 0.5 * (pair[0] * pair[1] / (from_s * from_s)).ln() / step;
            let log = cubic(logs, middle) - most;
            sum += (chances[1] - chances[0]).max(LEAST) * log.exp();
            until.push(sum);
        }
        until.iter_mut().for_each(|until| *until /= sum);
        Weighed { finish_s, until }
    }

    /// The finish that a share of all is faster than.
    pub(super) fn finish_s(&self, share: f64) -> f64 {
        let next = self.until.partition_point(|until| *until < share);
        let next = next.clamp(1, self.until.len() - 1);
        let [from, to] = [self.until[next - 1], self.until[next]];
        let part = ((share - from) / (to - from).max(LEAST)).clamp(0.0, 1.0);
        let [from_s, to_s] = [self.finish_s[next - 1], self.finish_s[next]];
        from_s * (to_s / from_s).powf(part)
    }
}
