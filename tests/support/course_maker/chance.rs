//! Seeded chance, and the smooth wander made from it.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// A seeded source of numbers; each purpose has its own stream, so that one more draw for heights
/// does not bend the map.
pub struct Chance(ChaCha8Rng);

impl Chance {
    pub fn new(seed: u64, stream: u64) -> Self {
        let mut bytes = [0; 32];
        bytes[..8].copy_from_slice(&seed.to_le_bytes());
        bytes[8..16].copy_from_slice(&stream.to_le_bytes());
        Chance(ChaCha8Rng::from_seed(bytes))
    }

    /// Evenly spread over `low..high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        let unit = (self.0.next_u64() >> 11) as f64 / (1_u64 << 53) as f64;
        low + (high - low) * unit
    }

    /// Bell-shaped with mean 0 and deviation 1: twelve even draws summed need no logarithm.
    pub fn bell(&mut self) -> f64 {
        (0..12).map(|_| self.between(0.0, 1.0)).sum::<f64>() - 6.0
    }
}

/// A smooth curve through chance: a uniform cubic B-spline over random knots.
pub struct Wander {
    knot_m: f64,
    knots: Vec<f64>,
}

impl Wander {
    /// A curve over `0..=length_m` that turns about once in `2 * knot_m` and stays within
    /// `±amplitude`.
    pub fn over(length_m: f64, knot_m: f64, amplitude: f64, chance: &mut Chance) -> Self {
        let count = (length_m / knot_m) as usize + 5;
        let knots = (0..count)
            .map(|_| chance.between(-amplitude, amplitude))
            .collect();
        Wander { knot_m, knots }
    }

    /// The curve's value.
    pub fn at(&self, m: f64) -> f64 {
        let place = (m / self.knot_m).max(0.0);
        let i = (place as usize).min(self.knots.len() - 4);
        let t = place - i as f64;
        let u = 1.0 - t;
        let k = &self.knots[i..i + 4];
        (u * u * u * k[0]
            + (3.0 * t * t * t - 6.0 * t * t + 4.0) * k[1]
            + (3.0 * u * u * u - 6.0 * u * u + 4.0) * k[2]
            + t * t * t * k[3])
            / 6.0
    }
}

/// Several wanders on top of each other, coarse to fine.
pub struct Wanders(Vec<Wander>);

impl Wanders {
    /// One wander for each `(knot_m, amplitude)`, all amplitudes times `scale`.
    pub fn over(length_m: f64, sizes: &[(f64, f64)], scale: f64, chance: &mut Chance) -> Self {
        Wanders(
            sizes
                .iter()
                .map(|&(knot, amplitude)| Wander::over(length_m, knot, amplitude * scale, chance))
                .collect(),
        )
    }

    /// The sum of all.
    pub fn at(&self, m: f64) -> f64 {
        self.0.iter().map(|wander| wander.at(m)).sum()
    }
}
