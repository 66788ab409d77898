//! Switches: when a plan with several finishes goes over from one to the next.

use rayon::prelude::*;

use crate::arrivals::figures::Straying;
use crate::arrivals::{Passing, Paths};
use crate::plan::{Plan, Race};
use crate::time::Elapsed;

/// A station at which one asks which finish to go for.
#[derive(Clone, Debug, PartialEq)]
pub struct Switch {
    /// Index of the station.
    pub station: usize,
    /// For each finish the arrival up to which it is at least as likely as not, where nothing else
    /// is known of the day.
    pub until: Vec<Until>,
}

/// End of what a finish is worth going for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Until {
    /// It is less likely than not however soon one arrives.
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

/// The arrivals at some stations up to which each of some finishes is at least as likely as not.
#[must_use]
pub fn switches(race: &Race, plan: &Plan, goals: &[Elapsed], stations: &[usize]) -> Vec<Switch> {
    let pacing = &plan.pacing;
    let spread = race.rests.finish(pacing.finish_s);
    let paths = Paths::of(&race.conditions, pacing);
    let goals_s: Vec<f64> = goals.iter().map(|goal| goal.as_s()).collect();
    let asked = (
        goals_s.iter().copied().fold(f64::INFINITY, f64::min),
        goals_s.iter().copied().fold(0.0, f64::max),
    );
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
        let until = |goal_s: &f64| match passing.latest_s(*goal_s, (soonest_s, latest_s)) {
            at_s if at_s <= soonest_s => Until::Never,
            at_s if cutoff.is_some() && at_s >= latest_s => Until::Cutoff,
            at_s => Until::At(Elapsed::from_s(at_s.floor())),
        };
        Switch {
            station: *station,
            until: goals_s.iter().map(until).collect(),
        }
    };
    stations.par_iter().map(at).collect()
}
