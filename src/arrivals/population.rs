//! The population before anything was seen: one simulated race after another.

use rand::RngExt;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

use super::Trials;
use super::count::Races;
use super::figures::Straying;
use super::finishes::Finishes;
use super::pieces::{Chance, PIECES, draw_stops, passed};

/// The plan as chance sees it.
pub(super) struct Population<'a> {
    pub(super) figures: &'a Straying,
    pub(super) finishes: &'a Finishes,
    chance: Chance,
}

/// Of the time between start and finish no more than this goes into planned stops.
const MOST_STOPPED: f64 = 0.6;

impl<'a> Population<'a> {
    pub(super) fn new(figures: &'a Straying, finishes: &'a Finishes) -> Population<'a> {
        Population {
            figures,
            finishes,
            chance: Chance::of(figures),
        }
    }

    /// Every race, the finish spread evenly over all of them instead of left to chance: it decides
    /// most.
    pub(super) fn races(&self, target_s: f64, trials: &Trials) -> Races {
        Races::drawn(trials, self.finishes.stops_s.len(), |share, chance, row| {
            let finish_s = trials.finish.map_or(target_s, |f| f.quantile_s(share));
            let mut moved = Vec::with_capacity(row.len());
            self.finishes.moved(finish_s, &mut moved);
            self.run(finish_s, &moved, chance, row);
        })
    }

    /// One race of this finish.
    fn run(&self, finish_s: f64, moved: &[f64], chance: &mut ChaCha8Rng, row: &mut [f64]) {
        let how_much = self.chance.at(self.figures, self.finishes, finish_s);
        let drift = how_much.drift(chance);
        let whole_s = finish_s - self.finishes.start_s;
        let moving_s = (whole_s - self.finishes.planned_s()).max(1e-3 * whole_s);
        let piece_s = moving_s / PIECES as f64;
        // the stops go into the row first, and are then replaced by arrivals
        let stopped_s = draw_stops(
            self.figures.planned_spread,
            &self.finishes.stops_s,
            1,
            chance,
            row,
        )
        .min(MOST_STOPPED * whole_s);
        let (mut stretch, mut stops) = ([0.0; PIECES], [0.0; PIECES]);
        for (stretch, stops) in stretch.iter_mut().zip(&mut stops) {
            (*stretch, *stops) = (StandardNormal.sample(chance), chance.random());
        }
        let length = |_, _| StandardNormal.sample(chance);
        let until = how_much.until(0, piece_s, &drift, (&stretch, &stops), length);
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
}
