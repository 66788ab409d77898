//! Draws of chance, kept for races that are run again and again from what was seen.
//!
//! Every race has its own, whatever was seen, so that a passage a minute later leaves each race
//! much the same.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use rayon::prelude::*;

use super::Trials;
use super::pieces::{PIECES, Pieces};

/// Lengths of unplanned stops that are drawn for a piece.
const LENGTHS: usize = 8;

/// Races drawn by one thread before it looks for more.
const BLOCK: usize = 32;
/// Steps of this part of 1 fill it most evenly, however many there are.
const GOLDEN: f64 = 0.618_033_988_749_894_9;

/// A stream of chance for each race, so that threads cannot change it, and the share of all that
/// the race stands for: the shares fill 0 to 1 evenly, in an order that has nothing to do with the
/// streams, and never reach the ends.
pub(super) fn streams(
    trials: &Trials,
) -> impl IndexedParallelIterator<Item = (f64, ChaCha8Rng)> + use<> {
    let (count, seed) = (trials.races.max(10), trials.seed);
    let shift: f64 = ChaCha8Rng::seed_from_u64(seed).random();
    (0..count)
        .into_par_iter()
        .with_min_len(BLOCK)
        .map(move |race| {
            let mut chance = ChaCha8Rng::seed_from_u64(seed);
            chance.set_stream(1 + race as u64);
            let share = (shift + race as f64 * GOLDEN).fract();
            let share = ((share * count as f64).floor() + 0.5) / count as f64;
            (share, chance)
        })
}

/// The chance of every race of some trials, drawn once.
#[derive(Clone, Debug)]
pub struct Draws(pub(super) Vec<Draw>);

/// The chance of one race.
#[derive(Clone, Debug)]
pub(super) struct Draw {
    /// The share of all finishes that is faster.
    pub(super) share: f64,
    /// Normal numbers, per piece: steps of the drift, what else a piece takes up to here, and from
    /// here on.
    pub(super) drift: Pieces,
    pub(super) own: Pieces,
    pub(super) stretch: Pieces,
    /// Per piece, the share of all that have fewer unplanned stops.
    pub(super) stops: Pieces,
    /// Per piece, normal numbers of the logarithms of their lengths.
    lengths: [[f32; LENGTHS]; PIECES],
    /// Normal numbers, per station: of the planned stop's true length.
    pub(super) planned: Vec<f64>,
    /// The same for what is not known of each interval between passages.
    pub(super) errors: Vec<f64>,
}

impl Draws {
    /// Those of a course with so many stations.
    #[must_use]
    pub fn of(trials: &Trials, stations: usize) -> Draws {
        let drawn =
            streams(trials).map(|(share, mut chance)| Draw::of(share, stations, &mut chance));
        Draws(drawn.collect())
    }
}

impl Draw {
    fn of(share: f64, stations: usize, chance: &mut ChaCha8Rng) -> Draw {
        fn normal(chance: &mut ChaCha8Rng) -> f64 {
            StandardNormal.sample(chance)
        }
        Draw {
            share,
            drift: std::array::from_fn(|_| normal(chance)),
            own: std::array::from_fn(|_| normal(chance)),
            stretch: std::array::from_fn(|_| normal(chance)),
            stops: std::array::from_fn(|_| chance.random()),
            lengths: std::array::from_fn(|_| std::array::from_fn(|_| normal(chance) as f32)),
            planned: (0..stations).map(|_| normal(chance)).collect(),
            // an arrival and a departure at each
            errors: (0..2 * stations).map(|_| normal(chance)).collect(),
        }
    }

    /// Of the logarithm of the length of an unplanned stop in a piece; where these are more than
    /// were drawn, as next to nobody's are, they are drawn ones again.
    pub(super) fn length(&self, piece: usize, stop: usize) -> f64 {
        f64::from(self.lengths[piece][stop % LENGTHS])
    }
}
