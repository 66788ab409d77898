//! One race cut into equal pieces of its moving time, and what chance does to each.
//!
//! Chance falls on pieces, not on segments, so that a station more or less changes nothing
//! elsewhere.

use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

use super::figures::Straying;
use super::finishes::Finishes;

/// Pieces that the moving time is cut into: three quarters of an hour in a race of 30 h.
pub(super) const PIECES: usize = 40;

/// A number for every piece.
pub(super) type Pieces = [f64; PIECES];

/// The middle of a piece, as a share of the moving time.
pub(super) fn middle(piece: usize) -> f64 {
    (piece as f64 + 0.5) / PIECES as f64
}

/// The amount of chance in a race.
#[derive(Clone, Debug)]
pub(super) struct Chance {
    /// Per piece, how much more variance the drift has than in the piece before.
    pub(super) drift: Pieces,
    /// Standard deviation of the logarithm of a piece besides.
    pub(super) stretch: f64,
    /// Per piece, the unplanned stops to expect in seconds, and the variance of their sum.
    stopped_s: Pieces,
    pub(super) stopped_s2: Pieces,
    mean_stop_s: f64,
    /// The mean and the spread of the logarithms of their lengths.
    log_stop_s: f64,
    stop_spread: f64,
}

impl Chance {
    /// That of a runner in the middle of the field who stands unplanned for a second, stretches
    /// left out.
    pub(super) fn of(figures: &Straying) -> Chance {
        let until = |piece: usize| figures.drifted(middle(piece));
        let mut before = 0.0;
        let stopped_s: Pieces =
            std::array::from_fn(|piece| figures.stop_rate(middle(piece)) / PIECES as f64);
        let per_second = figures.mean_square_stop_s2() / figures.mean_stop_s();
        Chance {
            drift: std::array::from_fn(|piece| {
                let more = until(piece) - before;
                before += more;
                more
            }),
            stretch: 0.0,
            stopped_s,
            stopped_s2: stopped_s.map(|seconds| seconds * per_second),
            mean_stop_s: figures.mean_stop_s(),
            log_stop_s: figures.stop_s.ln(),
            stop_spread: figures.stop_spread,
        }
    }

    /// The same in a race of this finish.
    pub(super) fn at(&self, figures: &Straying, finishes: &Finishes, finish_s: f64) -> Chance {
        let planned_s = finishes.planned_s();
        let level_mps = finishes.effort_m / (finish_s - planned_s).max(1.0);
        let unsteadiness = figures.unsteadiness(level_mps);
        let unplanned_s = figures.unplanned_s(finish_s, planned_s);
        Chance {
            drift: self.drift.map(|v| v * unsteadiness * unsteadiness),
            stretch: figures.stretches_on(finishes.effort_per_m)
                * (PIECES as f64).sqrt()
                * unsteadiness,
            stopped_s: self.stopped_s.map(|s| s * unplanned_s),
            stopped_s2: self.stopped_s2.map(|s2| s2 * unplanned_s),
            ..*self
        }
    }

    /// The drift of one race: the logarithm of what each piece takes against the plan. It is held to
    /// what the plan takes on average, so that races do not pass early because late pieces stray.
    pub(super) fn drift(&self, chance: &mut ChaCha8Rng) -> Pieces {
        let mut now = 0.0;
        self.drift.map(|variance| {
            let z: f64 = StandardNormal.sample(chance);
            now += variance.sqrt() * z - 0.5 * variance;
            now
        })
    }

    /// Time passed at the end of each piece from one on, as multiples of `piece_s`: of each its
    /// part of the drift, its own good or bad stretch, and the stops that come, where the plan has
    /// those to expect in it.
    ///
    /// Of each piece a normal number and the share of all that have fewer stops there are given,
    /// and a normal number for every stop.
    pub(super) fn until(
        &self,
        first: usize,
        piece_s: f64,
        drift: &Pieces,
        (stretch, stops): (&Pieces, &Pieces),
        mut length: impl FnMut(usize, usize) -> f64,
    ) -> [f64; PIECES + 1] {
        let mut until = [0.0; PIECES + 1];
        for piece in first..PIECES {
            let moving = self.moving(piece, piece_s);
            let takes = moving * (drift[piece] + self.stretch * stretch[piece]).exp();
            let count = poisson(self.stopped_s[piece] / self.mean_stop_s, stops[piece]);
            let stood_s: f64 = (0..count)
                .map(|stop| (self.log_stop_s + self.stop_spread * length(piece, stop)).exp())
                .sum();
            until[piece + 1] = until[piece] + takes + stood_s / piece_s;
        }
        until
    }

    /// The share of a piece that the plan moves in, where unplanned stops take theirs.
    pub(super) fn moving(&self, piece: usize, piece_s: f64) -> f64 {
        const LEAST: f64 = 0.4;
        (1.0 - self.stopped_s[piece] / piece_s).max(LEAST)
    }
}

/// The number of those of which so many come on average: fewer in this share of all cases.
fn poisson(mean: f64, share: f64) -> usize {
    const MOST: usize = 200;
    let mut one = (-mean).exp();
    let mut sum = one;
    (0..MOST)
        .take_while(|number| {
            let more = share > sum;
            one *= mean / (number + 1) as f64;
            sum += one;
            more
        })
        .count()
}

/// The true lengths of planned stops from a station on, into `stops_s`; their sum.
pub(super) fn draw_stops(
    spread: f64,
    planned_s: &[f64],
    from: usize,
    chance: &mut ChaCha8Rng,
    stops_s: &mut [f64],
) -> f64 {
    let mut sum_s = 0.0;
    for (planned_s, stop_s) in planned_s.iter().zip(stops_s).skip(from) {
        *stop_s = 0.0;
        if *planned_s > 0.0 {
            let z: f64 = StandardNormal.sample(chance);
            *stop_s = planned_s * (spread * z).exp();
            sum_s += *stop_s;
        }
    }
    sum_s
}

/// Time passed until a share of the moving time, of what the pieces take; within a piece
/// linear.
pub(super) fn passed(until: &[f64; PIECES + 1], share: f64) -> f64 {
    let at = (share * PIECES as f64).clamp(0.0, PIECES as f64);
    let piece = (at as usize).min(PIECES - 1);
    until[piece] + (until[piece + 1] - until[piece]) * (at - piece as f64)
}
