//! Switches: when a plan with several finishes goes over from one to the next.

use rayon::prelude::*;

use crate::arrivals::figures::Straying;
use crate::arrivals::{Passing, Paths};
use crate::pacing::{Goal, Pacing};
use crate::plan::{Plan, Race};
use crate::time::Elapsed;

/// A station at which one asks which finish to go for.
#[derive(Clone, Debug, PartialEq)]
pub struct Switch {
    /// Index of the station.
    pub station: usize,
    /// For each finish the arrival up to which it is worth going for, where nothing else is known
    /// of the day: it is at least as likely as not, or one is no later than planned for it. A hope
    /// may be less likely from the outset, and who keeps to its splits need not give it up.
    pub until: Vec<Until>,
}

/// End of what a finish is worth going for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Until {
    /// It is less likely than not however soon one arrives, and out of reach by its own splits.
    Never,
    /// Up to this arrival.
    At(Elapsed),
    /// As long as the station's cutoff is met.
    Cutoff,
}

/// The share of the planned time in which nobody arrives.
const SOONEST: f64 = 0.5;
/// Nobody is looked for after so many times the planned time.
const LATEST: f64 = 3.0;

/// A finish that fewer reach is none to go for, whatever was planned.
pub const OUT_OF_REACH: f64 = 0.05;

/// The arrivals at some stations up to which each of some finishes is worth going for.
#[must_use]
pub fn switches(race: &Race, plan: &Plan, goals: &[Elapsed], stations: &[usize]) -> Vec<Switch> {
    let pacing = &plan.pacing;
    let spread = race.finish(pacing.finish_s);
    let paths = Paths::of(&race.conditions, pacing);
    let goals_s: Vec<f64> = goals.iter().map(|goal| goal.as_s()).collect();
    let asked = (
        goals_s.iter().copied().fold(f64::INFINITY, f64::min),
        goals_s.iter().copied().fold(0.0, f64::max),
    );
    let own_s: Vec<Option<Vec<f64>>> = (goals_s.par_iter())
        .map(|goal_s| planned_s(race, pacing, *goal_s))
        .collect();
    let at = |station: &usize| {
        let passing = Passing::of(
            &Straying::default(),
            &paths,
            pacing,
            &spread,
            *station,
            asked,
        );
        let planned_s = pacing.arrival_s[*station];
        let soonest_s = SOONEST * planned_s;
        let cutoff = race.limits[*station].map(|limit| limit.elapsed);
        let latest_s = cutoff.map_or(LATEST * planned_s, |limit| limit.as_s());
        let until = |(goal_s, own): (&f64, &Option<Vec<f64>>)| {
            let even_s = passing.latest_s(*goal_s, (soonest_s, latest_s));
            let own_s = (own.as_ref()).map_or(0.0, |own| own[*station]);
            let in_reach = || own_s > 0.0 && passing.chance_by(own_s, *goal_s) >= OUT_OF_REACH;
            match even_s.floor().max(own_s) {
                _ if even_s <= soonest_s && !in_reach() => Until::Never,
                at_s if cutoff.is_some() && at_s >= latest_s.floor() => Until::Cutoff,
                at_s => Until::At(Elapsed::from_s(at_s)),
            }
        };
        Switch {
            station: *station,
            until: goals_s.iter().zip(&own_s).map(until).collect(),
        }
    };
    stations.par_iter().map(at).collect()
}

/// Arrivals at every station as planned for a finish, seconds; `None` where nobody runs it.
fn planned_s(race: &Race, pacing: &Pacing, finish_s: f64) -> Option<Vec<f64>> {
    if finish_s == pacing.finish_s {
        return Some(pacing.arrival_s.clone());
    }
    let stops_s = race.stops_s.clone();
    let goal = Goal { finish_s, stops_s };
    let moving_s = pacing.moving_at(&race.conditions, &goal).ok()?;
    let mut now_s = 0.0;
    let arrivals = moving_s
        .iter()
        .zip(&goal.stops_s)
        .map(|(moving_s, stop_s)| {
            now_s += stop_s + moving_s;
            now_s
        });
    Some(std::iter::once(0.0).chain(arrivals).collect())
}
