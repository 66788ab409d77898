//! How sure the arrivals are: the race run a few thousand times by seeded chance, for an early and
//! a late arrival at every station and the chance of making each cutoff.
//!
//! Every simulated race has its own fade, its own slow and fast stretches, longer and shorter
//! stops than planned, unplanned ones and, where the finish itself is uncertain, its own form of
//! the day; see [`figures`] for how much of each and where that comes from.
//!
//! A race ends at a cutoff it misses. The chance of making a cutoff counts every race that was
//! started; early and late arrivals count the races that get to the station. A cutoff on departure
//! is made by being there before it, since who is short of time cuts the stop; nobody is taken to
//! run harder because of a cutoff, nor to drop out for another reason than a cutoff.

pub mod figures;
mod hours;
mod process;
mod races;
#[cfg(test)]
mod tests;

use rayon::prelude::*;

use crate::conditions::Conditions;
use crate::inputs::plan_toml::Evidence;
use crate::inputs::stations_csv::CutoffOn;
use crate::pacing::Pacing;
use crate::time::Elapsed;

use figures::Figures;
use hours::Hours;
use process::Process;
use races::Ends;

/// A cutoff in race time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limit {
    /// Race time from the runner's own start.
    pub elapsed: Elapsed,
    /// What must have happened by then.
    pub on: CutoffOn,
}

/// What to simulate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Trials {
    /// How many races; more make the windows steadier, at a cost that grows alike.
    pub races: usize,
    /// Where chance starts: the same seed gives the same windows on any number of threads.
    pub seed: u64,
    /// How well the target is known. `None` is a race that finishes on target, whatever happens
    /// on the way; chances of cutoffs then reckon with [`figures::UNSAID`].
    pub evidence: Option<Evidence>,
    /// The station that has been left as planned: what lies before it is certain.
    pub from: usize,
}

impl Default for Trials {
    /// 1,000 races: in a race of a day another seed then moves a window's end by about 2 minutes
    /// and a chance by half a point, and a plan is not slowed noticeably.
    fn default() -> Self {
        Trials {
            races: 1000,
            seed: 0x5eed,
            evidence: None,
            from: 0,
        }
    }
}

/// How sure every arrival is.
#[derive(Clone, Debug, PartialEq)]
pub struct Windows {
    /// As asked for.
    pub evidence: Option<Evidence>,
    /// One per station, in course order.
    pub stations: Vec<Window>,
}

/// How sure one arrival is. Early is never after the planned arrival and late never before it;
/// both come after those of the station before.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    /// One race in ten of those that get here arrives before this, seconds after the start.
    pub early_s: f64,
    /// One race in ten of those that get here arrives after this, seconds after the start.
    pub late_s: f64,
    /// Share of the races started that make this cutoff and all before it; `None` where the
    /// station has none.
    pub cutoff_chance: Option<f64>,
}

/// Simulates races around a plan, whose arrivals are the likely ones.
///
/// In races that finish on target the hours of light and warmth are the plan's: they shift by
/// minutes, and what that does is in the recordings the figures were fitted to. Where the finish is
/// uncertain a race that runs late meets the later hours, segment by segment.
///
/// Limits are one per station. Fewer than ten races are made ten.
#[must_use]
pub fn simulate(
    conditions: &Conditions,
    pacing: &Pacing,
    limits: &[Option<Limit>],
    trials: &Trials,
) -> Windows {
    simulate_with(&Figures::default(), conditions, pacing, limits, trials)
}

/// [`simulate`] with other figures, to fit them or to look at one kind of chance alone.
#[must_use]
pub fn simulate_with(
    figures: &Figures,
    conditions: &Conditions,
    pacing: &Pacing,
    limits: &[Option<Limit>],
    trials: &Trials,
) -> Windows {
    let process = Process::new(figures, pacing, trials.from);
    let uncertain = trials.evidence.is_some() || limits.iter().any(Option::is_some);
    let form = figures.form(trials.evidence.unwrap_or(figures::UNSAID));
    let hours = uncertain.then(|| Hours::of(conditions, pacing, form));
    let races = process.races(trials, hours.as_ref().map(|hours| (form, hours)));
    let on_target = races.on_target();
    let (shown, counted) = match (trials.evidence, uncertain) {
        (Some(_), _) => (races.formed(), races.formed()),
        (None, true) => (on_target, races.formed()),
        (None, false) => (on_target, on_target),
    };
    let ends = Ends::of(shown, pacing, limits, trials.from);
    let chances = Ends::of(counted, pacing, limits, trials.from);
    let mut stations: Vec<Window> = (0..pacing.arrival_s.len())
        .into_par_iter()
        .map(|station| {
            let likely_s = pacing.arrival_s[station];
            let (early_s, late_s) = match station.checked_sub(trials.from + 1) {
                Some(column) => ends.bounds_s(shown, column, station, likely_s),
                None => (likely_s, likely_s),
            };
            let cutoff_chance = limits.get(station).copied().flatten();
            Window {
                early_s,
                late_s,
                cutoff_chance: cutoff_chance.map(|_| chances.share_past(station)),
            }
        })
        .collect();
    for station in 1..stations.len() {
        let (before, likely_s) = (stations[station - 1], pacing.arrival_s[station]);
        let window = &mut stations[station];
        window.early_s = window.early_s.max(before.early_s + 1.0).min(likely_s);
        window.late_s = window.late_s.max(before.late_s + 1.0);
    }
    Windows {
        evidence: trials.evidence,
        stations,
    }
}
