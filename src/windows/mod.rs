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
    /// 1,000 races: XXX
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
/// neither lies before the same at the station before.
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

/// The share of races before the early bound, and after the late one.
const TAIL: f64 = 0.10;
/// Where fewer get to a station than this share, its window is that of a race without cutoffs:
/// too few are left to count, and a plan that misses a cutoff has to look on past it.
const FEW: f64 = 0.05;

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
        let before = stations[station - 1];
        stations[station].early_s = stations[station].early_s.max(before.early_s);
        stations[station].late_s = stations[station].late_s.max(before.late_s);
    }
    Windows {
        evidence: trials.evidence,
        stations,
    }
}

/// Simulated arrivals, race by race: a column per station after the one started from, on target
/// and then, where the finish is uncertain, with the form of the day.
struct Races {
    columns: usize,
    stride: usize,
    arrival_s: Vec<f64>,
}

/// Either half of them.
#[derive(Clone, Copy)]
struct Rows<'a> {
    races: &'a Races,
    from_column: usize,
}

impl Races {
    fn on_target(&self) -> Rows<'_> {
        Rows {
            races: self,
            from_column: 0,
        }
    }

    fn formed(&self) -> Rows<'_> {
        Rows {
            races: self,
            from_column: self.columns,
        }
    }
}

impl<'a> Rows<'a> {
    fn iter(self) -> impl Iterator<Item = &'a [f64]> {
        let columns = self.from_column..self.from_column + self.races.columns;
        let rows = self.races.arrival_s.chunks_exact(self.races.stride.max(1));
        rows.map(move |row| &row[columns.clone()])
    }
}

/// How far every race gets.
struct Ends {
    /// Per race, the station whose cutoff it misses; one past the last where it finishes.
    out_at: Vec<usize>,
    /// The first station that the plan itself does not get to.
    plan_past: usize,
}

impl Ends {
    fn of(races: Rows<'_>, pacing: &Pacing, limits: &[Option<Limit>], from: usize) -> Ends {
        let stations = pacing.arrival_s.len();
        let missed = |station: usize, arrival_s: f64| {
            let limit = limits.get(station).copied().flatten();
            limit.is_some_and(|limit| arrival_s > limit.elapsed.as_s())
        };
        // what is behind is certain, missed cutoffs too
        let behind = (0..=from.min(stations - 1)).find(|s| missed(*s, pacing.arrival_s[*s]));
        let out_at = |row: &[f64]| {
            let ahead = || (0..row.len()).find(|column| missed(from + 1 + column, row[*column]));
            behind
                .or_else(|| Some(from + 1 + ahead()?))
                .unwrap_or(stations)
        };
        let plan_out = (0..stations).find(|s| missed(*s, pacing.arrival_s[*s]));
        let mut ends: Vec<usize> = races.iter().map(out_at).collect();
        if races.races.columns == 0 {
            ends.push(behind.unwrap_or(stations));
        }
        Ends {
            out_at: ends,
            plan_past: plan_out.map_or(stations, |station| station + 1),
        }
    }

    fn share_past(&self, station: usize) -> f64 {
        let past = self.out_at.iter().filter(|out| **out > station).count();
        past as f64 / self.out_at.len().max(1) as f64
    }

    fn bounds_s(
        &self,
        races: Rows<'_>,
        column: usize,
        station: usize,
        likely_s: f64,
    ) -> (f64, f64) {
        let all = || races.iter().map(|row| row[column]);
        let mut arrivals: Vec<f64> = all()
            .zip(&self.out_at)
            .filter(|(_, out)| **out >= station)
            .map(|(arrival_s, _)| arrival_s)
            .collect();
        let few = arrivals.len() < (FEW * self.out_at.len() as f64) as usize;
        if few || station >= self.plan_past {
            arrivals = all().collect();
        }
        let early_s = quantile(&mut arrivals, TAIL);
        let late_s = quantile(&mut arrivals, 1.0 - TAIL);
        (early_s.min(likely_s), late_s.max(likely_s))
    }
}

/// The value that a share of all lies below, between the two nearest by their distance.
fn quantile(values: &mut [f64], share: f64) -> f64 {
    let at = share * (values.len().max(1) - 1) as f64;
    let below = at as usize;
    if below + 1 >= values.len() {
        return values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    }
    let (_, low, above) = values.select_nth_unstable_by(below, f64::total_cmp);
    let high = above.iter().copied().fold(f64::INFINITY, f64::min);
    *low + (high - *low) * (at - below as f64)
}
