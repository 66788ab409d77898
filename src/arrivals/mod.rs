//! Arrivals to expect: races run a thousand times by seeded chance, for an early, a
//! likely and a late arrival at every station, and the chance of each cutoff.
//!
//! There is one population. Each simulated race has its finish, as uncertain as what the target
//! rests on makes it ([`crate::ability`]), a pace that drifts, slow and fast stretches, planned
//! stops that are longer or shorter than planned, and unplanned ones; see [`figures`] for how much
//! of each and where that comes from. Everything said of a station counts the same races, so that
//! no row can contradict itself: nine races in ten that are in before a cutoff are a chance of 90 %.
//!
//! Races run on past a cutoff they miss, as if nobody stopped them, and nobody drops out for
//! another reason. A cutoff on departure is made by being there before it, since who is short of
//! time cuts the stop; nobody is taken to run harder because of a cutoff.

mod cholesky;
mod count;
mod draws;
pub mod figures;
mod finishes;
mod linear;
mod node;
mod passages;
mod pieces;
mod population;
mod seen;
#[cfg(test)]
mod tests;
mod weighed;

use crate::ability::Spread;
use crate::conditions::Conditions;
use crate::inputs::stations_csv::CutoffOn;
use crate::pacing::Pacing;
use crate::time::Elapsed;

use figures::Straying;
use finishes::Finishes;
use population::Population;

pub use draws::Draws;
pub use passages::{Kind, Passage};
pub use seen::{Onward, Paths, Seen};

/// A cutoff in race time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limit {
    /// Race time from the runner's own start.
    pub elapsed: Elapsed,
    /// The event that must have happened by then.
    pub on: CutoffOn,
}

/// Settings of a simulation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trials {
    /// The number of races; more make the windows steadier, at a cost that grows alike.
    pub races: usize,
    /// The seed of chance: the same one gives the same windows on any number of threads.
    pub seed: u64,
    /// The spread of the finish; `None` is a race that finishes on target, whatever happens on the
    /// way.
    pub finish: Option<Spread>,
}

impl Default for Trials {
    /// 1,000 races on target: in a race of a day another seed then moves a window's end by about 2
    /// minutes and a chance by half a point, and a plan is not slowed noticeably.
    fn default() -> Self {
        Trials {
            races: 1000,
            seed: 0x5eed,
            finish: None,
        }
    }
}

/// Arrivals at every station, counted over the population.
#[derive(Clone, Debug, PartialEq)]
pub struct Arrivals {
    /// True where the finish is taken as met exactly.
    pub on_target: bool,
    /// One per station, in course order.
    pub stations: Vec<Arrival>,
    /// The chance of making every cutoff; `None` on a course without any.
    pub chance: Option<f64>,
    /// The station at whose cutoff most of it is lost; `None` where none is.
    pub weakest: Option<usize>,
    /// The finish of each race, seconds after the start; infinite where it misses a cutoff.
    finish_s: Vec<f64>,
}

/// Arrivals at one station: `early <= likely <= late`, and each is after that of
/// the station before.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arrival {
    /// One race in ten arrives before this, seconds after the start.
    pub early_s: f64,
    /// Half of the races arrive before this, seconds after the start.
    pub likely_s: f64,
    /// One race in ten arrives after this, seconds after the start.
    pub late_s: f64,
    /// The same of the races that made every cutoff before: whoever is later is out and needs
    /// nothing here. Where next to none made them it is that of all.
    pub late_in_s: f64,
    /// Share of the races that are here before its cutoff, whatever cutoffs they missed before;
    /// `None` where the station has none.
    pub cutoff_chance: Option<f64>,
    /// Share of the races that make this cutoff and every one before it; `None` where the station
    /// has none.
    pub chance_so_far: Option<f64>,
}

/// Simulates races around a plan.
///
/// Limits are one per station. Fewer than ten races are made ten.
#[must_use]
pub fn simulate(
    conditions: &Conditions,
    pacing: &Pacing,
    limits: &[Option<Limit>],
    trials: &Trials,
) -> Arrivals {
    simulate_with(&Straying::default(), conditions, pacing, limits, trials)
}

/// [`simulate`] with other figures, to fit them or to look at one kind of chance alone.
#[must_use]
pub fn simulate_with(
    figures: &Straying,
    conditions: &Conditions,
    pacing: &Pacing,
    limits: &[Option<Limit>],
    trials: &Trials,
) -> Arrivals {
    let finishes = match &trials.finish {
        Some(_) => Finishes::over(conditions, pacing),
        None => Finishes::of_target(pacing),
    };
    let races = Population::new(figures, &finishes).races(pacing.finish_s, trials);
    Arrivals::of(races.counted(limits), trials.finish.is_none())
}

impl Arrivals {
    fn of((stations, finish_s): (Vec<Arrival>, Vec<f64>), on_target: bool) -> Arrivals {
        let mut chance = None;
        let (mut weakest, mut most) = (None, 0.0);
        for (station, arrival) in stations.iter().enumerate() {
            let Some(left) = arrival.chance_so_far else {
                continue;
            };
            let lost = chance.unwrap_or(1.0) - left;
            if lost > most {
                (weakest, most) = (Some(station), lost);
            }
            chance = Some(left);
        }
        Arrivals {
            on_target,
            stations,
            chance,
            weakest,
            finish_s,
        }
    }

    /// The chance of making every cutoff and the finish by then.
    #[must_use]
    pub fn chance_by(&self, finish_s: f64) -> f64 {
        let in_time = self.finish_s.iter().filter(|at_s| **at_s <= finish_s);
        in_time.count() as f64 / self.finish_s.len() as f64
    }
}
