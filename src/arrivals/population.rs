//! The population before anything was seen: one simulated race after another.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use rayon::prelude::*;

use super::Trials;
use super::count::Races;
use super::figures::Figures;
use super::finishes::Finishes;
use super::pieces::{Chance, PIECES, passed};

/// The plan as chance sees it.
pub(super) struct Population<'a> {
    pub(super) figures: &'a Figures,
    pub(super) finishes: &'a Finishes,
}

/// Races drawn by one thread before it looks for more.
pub(super) const BLOCK: usize = 32;
/// Steps of this part of 1 fill it most evenly, however many there are.
const GOLDEN: f64 = 0.618_033_988_749_894_9;
/// Of the time between start and finish no more than this goes into planned stops.
const MOST_STOPPED: f64 = 0.6;

impl<'a> Population<'a> {
    pub(super) fn new(figures: &'a Figures, finishes: &'a Finishes) -> Population<'a> {
        Population { figures, finishes }
    }

    /// Draws every race from a stream of its own, so that threads cannot change the draws.
    ///
    /// The finish, which decides most, is spread evenly over all races instead of left to chance.
    pub(super) fn races(&self, target_s: f64, trials: &Trials) -> Races {
        let mut races = Races::of(trials, self.finishes.stops_s.len());
        let (stations, count) = (races.stations, races.count());
        let shift: f64 = ChaCha8Rng::seed_from_u64(trials.seed).random();
        let blocks = races.arrival_s.par_chunks_mut(stations * BLOCK);
        blocks.enumerate().for_each(|(block, rows)| {
            let mut moved = Vec::new();
            for (index, row) in rows.chunks_exact_mut(stations).enumerate() {
                let race = block * BLOCK + index;
                let mut chance = stream(trials.seed, race);
                let share = (shift + race as f64 * GOLDEN).fract();
                // evenly, and never at the very ends
                let share = ((share * count as f64).floor() + 0.5) / count as f64;
                let finish_s = trials.finish.map_or(target_s, |f| f.quantile_s(share));
                self.finishes.moved(finish_s, &mut moved);
                self.run(finish_s, &moved, &mut chance, row);
            }
        });
        races
    }

    /// How much chance a race of this finish meets.
    pub(super) fn chance(&self, finish_s: f64) -> Chance {
        let planned_s = self.finishes.planned_s();
        let level_mps = self.finishes.effort_m / (finish_s - planned_s).max(1.0);
        let unplanned_s = self.figures.unplanned_s(finish_s, planned_s);
        Chance::of(self.figures, level_mps, unplanned_s)
    }

    /// One race of this finish.
    fn run(&self, finish_s: f64, moved: &[f64], chance: &mut ChaCha8Rng, row: &mut [f64]) {
        let how_much = self.chance(finish_s);
        let drift = how_much.drift(chance);
        let whole_s = finish_s - self.finishes.start_s;
        let moving_s = (whole_s - self.finishes.planned_s()).max(1e-3 * whole_s);
        let piece_s = moving_s / PIECES as f64;
        let mut until = [0.0; PIECES + 1];
        for piece in 0..PIECES {
            until[piece + 1] = until[piece] + how_much.piece(piece, piece_s, drift[piece], chance);
        }
        // the stops go into the row first, and are then replaced by arrivals
        let stopped_s = self.draw_stops(1, chance, row).min(MOST_STOPPED * whole_s);
        let sum_s: f64 = row[1..].iter().sum();
        let stops = stopped_s / sum_s.max(1e-9);
        let scale = (whole_s - stopped_s) / until[PIECES];
        let mut before_s = self.finishes.start_s;
        row[0] = 0.0;
        for (station, arrival_s) in row.iter_mut().enumerate().skip(1) {
            let stop_s = *arrival_s * stops;
            *arrival_s = before_s + scale * passed(&until, moved[station]);
            before_s += stop_s;
        }
    }

    /// The lengths of the planned stops from a station on; their sum.
    pub(super) fn draw_stops(&self, from: usize, chance: &mut ChaCha8Rng, row: &mut [f64]) -> f64 {
        let mut sum_s = 0.0;
        for (planned_s, stop_s) in self.finishes.stops_s.iter().zip(row).skip(from) {
            *stop_s = 0.0;
            if *planned_s > 0.0 {
                let z: f64 = StandardNormal.sample(chance);
                *stop_s = planned_s * (self.figures.planned_spread * z).exp();
                sum_s += *stop_s;
            }
        }
        sum_s
    }
}

/// The chance of one race.
pub(super) fn stream(seed: u64, race: usize) -> ChaCha8Rng {
    let mut chance = ChaCha8Rng::seed_from_u64(seed);
    chance.set_stream(1 + race as u64);
    chance
}
