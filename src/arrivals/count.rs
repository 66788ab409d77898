//! Simulated arrivals counted: early, likely and late, and chances.

use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;

use super::draws::{Draw, Draws, streams};
use super::{Arrival, Limit, Trials};

/// The share of races before the early bound, and after the late one.
pub(super) const TAIL: f64 = 0.10;

/// The share still in the race below which all races count: a plan that misses a cutoff has to
/// look on past it.
const FEW: f64 = 0.05;

/// Simulated arrivals, race by race, a number per station.
pub(super) struct Races {
    /// Numbers of one race.
    pub(super) stations: usize,
    /// Seconds after the start.
    pub(super) arrival_s: Vec<f64>,
}

impl Races {
    /// As many races as are asked for, each told which share of all it stands for.
    pub(super) fn drawn(
        trials: &Trials,
        stations: usize,
        run: impl Fn(f64, &mut ChaCha8Rng, &mut [f64]) + Sync,
    ) -> Races {
        Races::each(stations, streams(trials), |(share, mut chance), row| {
            run(share, &mut chance, row);
        })
    }

    /// The races of some draws.
    pub(super) fn again(
        draws: &Draws,
        stations: usize,
        run: impl Fn(&Draw, &mut [f64]) + Sync,
    ) -> Races {
        Races::each(stations, draws.0.par_iter(), run)
    }

    fn each<T: Send>(
        stations: usize,
        of: impl IndexedParallelIterator<Item = T>,
        run: impl Fn(T, &mut [f64]) + Sync,
    ) -> Races {
        let mut arrival_s = vec![0.0; stations * of.len()];
        let rows = arrival_s.par_chunks_exact_mut(stations);
        of.zip(rows).for_each(|(race, row)| run(race, row));
        Races {
            stations,
            arrival_s,
        }
    }

    pub(super) fn count(&self) -> usize {
        self.arrival_s.len() / self.stations
    }

    pub(super) fn rows(&self) -> impl Iterator<Item = &[f64]> {
        self.arrival_s.chunks_exact(self.stations)
    }

    /// Early, likely and late at every station, and the chances; then the finish of each race, one
    /// that misses a cutoff at infinity.
    pub(super) fn counted(&self, limits: &[Option<Limit>]) -> (Vec<Arrival>, Vec<f64>) {
        let limit_s = |station: usize| Some((*limits.get(station)?)?.elapsed.as_s());
        let misses = |row: &[f64], at: usize| limit_s(at).is_some_and(|limit_s| row[at] > limit_s);
        // the station at whose cutoff each race is out
        let out_at: Vec<usize> = (self.rows())
            .map(|row| (0..row.len()).find(|at| misses(row, *at)))
            .map(|out_at| out_at.unwrap_or(usize::MAX))
            .collect();
        let finish_s = self.rows().zip(&out_at).map(|(row, out_at)| match out_at {
            &usize::MAX => row[self.stations - 1],
            _ => f64::INFINITY,
        });
        let few = (FEW * self.count() as f64) as usize;
        let share = |count: usize| count as f64 / self.count() as f64;
        let stations = (0..self.stations).into_par_iter().map(|station| {
            let mut all: Vec<f64> = self.rows().map(|row| row[station]).collect();
            let still_in = all.iter().zip(&out_at).filter(|(_, out)| **out >= station);
            let mut within: Vec<f64> = still_in.map(|(at_s, _)| *at_s).collect();
            if within.len() <= few {
                within.clone_from(&all);
            }
            let limit_s = limit_s(station);
            let in_time = |limit_s| all.iter().filter(|at_s| **at_s <= limit_s).count();
            let never_late = || out_at.iter().filter(|out| **out > station).count();
            Arrival {
                cutoff_chance: limit_s.map(|limit_s| share(in_time(limit_s))),
                chance_so_far: limit_s.map(|_| share(never_late())),
                early_s: quantile(&mut all, TAIL),
                likely_s: quantile(&mut all, 0.5),
                late_s: quantile(&mut all, 1.0 - TAIL),
                late_in_s: quantile(&mut within, 1.0 - TAIL),
            }
        });
        (stations.collect(), finish_s.collect())
    }
}

/// The value that a share of all lies below, between the two nearest by their distance.
pub(super) fn quantile(values: &mut [f64], share: f64) -> f64 {
    let at = share * (values.len().max(1) - 1) as f64;
    let below = at as usize;
    if below + 1 >= values.len() {
        return values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    }
    let (_, low, above) = values.select_nth_unstable_by(below, f64::total_cmp);
    let high = above.iter().copied().fold(f64::INFINITY, f64::min);
    *low + (high - *low) * (at - below as f64)
}
