//! Switches: when a plan with several finishes goes over from one to the next.

use rayon::prelude::*;

use crate::arrivals::{Arrivals, Kind, Limit, Passage, Trials};
use crate::pacing::{Goal, Pacing};
use crate::plan::{Plan, Race};
use crate::time::Elapsed;

use super::answers::Answerer;

/// A station at which one asks which finish to go for.
#[derive(Clone, Debug, PartialEq)]
pub struct Switch {
    /// Index of the station.
    pub station: usize,
    /// For each finish the arrival up to which it is worth going for, where nothing else is known
    /// of the day: it is at least as likely as not, every cutoff ahead made, or one is no later
    /// than planned for it. A hope may be less likely from the outset, and who keeps to its splits
    /// need not give it up. None is after an arrival that leaves no time for the planned stop before
    /// the latest departure.
    pub until: Vec<Until>,
}

/// End of what a finish is worth going for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Until {
    /// It is out of reach by its own splits, or nobody runs it and it is never likely.
    Never,
    /// Up to this arrival.
    At(Elapsed),
    /// As long as the station's cutoff is met.
    Cutoff,
}

/// A finish that the plan names, as the race goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GoalChance {
    /// The finish.
    pub finish: Elapsed,
    /// The chance of making every cutoff and being in by then.
    pub chance: f64,
    /// True where the runner was last seen no later than planned for it, and it is in reach.
    pub is_on_splits: bool,
}

impl GoalChance {
    pub(super) fn of(
        race: &Race,
        plan: &Plan,
        finish: Elapsed,
        (last, arrivals): (&Passage, &Arrivals),
    ) -> GoalChance {
        let chance = arrivals.chance_by(finish.as_s());
        let planned_s = planned_s(race, &plan.pacing, finish.as_s());
        let stop_s = match last.kind {
            Kind::Arrival => 0.0,
            Kind::Departure => race.stops_s[last.station],
        };
        let in_time = |planned_s: &Vec<f64>| {
            let planned = Elapsed::from_s(planned_s[last.station] + stop_s);
            last.at().to_minute() <= planned.to_minute()
        };
        GoalChance {
            finish,
            chance,
            is_on_splits: chance >= OUT_OF_REACH && planned_s.as_ref().is_some_and(in_time),
        }
    }

    /// True where it is worth going for.
    #[must_use]
    pub fn is_on(&self) -> bool {
        self.chance >= EVEN || self.is_on_splits
    }
}

/// The share of the planned time in which nobody arrives.
const SOONEST: f64 = 0.5;
/// Nobody is looked for after so many times the planned time.
const LATEST: f64 = 3.0;

/// As likely as not.
pub(super) const EVEN: f64 = 0.5;
/// Races run for one arrival, and the difference from an even chance that they do not tell.
const RACES: usize = 400;
const SAME: f64 = 0.01;
/// The number of times that an even chance is looked for between two arrivals.
const MOST_LOOKS: usize = 6;

/// A finish that fewer reach is none to go for, whatever was planned.
pub const OUT_OF_REACH: f64 = 0.05;

/// The arrivals at some stations up to which each of some finishes is worth going for.
#[must_use]
pub fn switches(race: &Race, plan: &Plan, goals: &[Elapsed], stations: &[usize]) -> Vec<Switch> {
    let pacing = &plan.pacing;
    let trials = Trials {
        races: RACES,
        ..Trials::default()
    };
    let asked = Answerer::of(race, plan, &trials);
    let goals_s: Vec<f64> = goals.iter().map(|goal| goal.as_s()).collect();
    let own_s: Vec<Option<Vec<f64>>> = (goals_s.par_iter())
        .map(|goal_s| planned_s(race, pacing, *goal_s))
        .collect();
    let at = |station: &usize| {
        let planned_s = pacing.arrival_s[*station];
        let soonest_s = SOONEST * planned_s;
        let cutoff = race.limits[*station].map(|limit| limit.elapsed);
        let latest_s = cutoff.map_or(LATEST * planned_s, |limit| limit.as_s());
        let gone_s = gone_s(plan, *station);
        let limits: Vec<Option<Limit>> = (race.limits.iter().enumerate())
            .map(|(at, limit)| limit.filter(|_| at > *station))
            .collect();
        // of who comes then, every cutoff ahead made
        let chance_by = |at_s: f64, goal_s: f64| {
            let passage = Passage {
                station: *station,
                kind: Kind::Arrival,
                at_s,
            };
            let rest = (asked.seen(&[passage])).rest(&limits, &asked.draws, &asked.onward());
            rest.chance_by(goal_s)
        };
        let until = |(goal_s, own): (&f64, &Option<Vec<f64>>)| {
            let own_s = (own.as_ref()).map_or(0.0, |own| own[*station].min(gone_s));
            // later than planned its splits are none to keep to where the cutoffs end the race
            let kept_s = match own_s > planned_s {
                true => even_between((planned_s, 1.0), own_s, |at_s| chance_by(at_s, f64::MAX)),
                false => own_s,
            };
            let at_s = if kept_s < own_s {
                kept_s
            } else {
                let from_s = own_s.max(soonest_s);
                let chance = chance_by(from_s, *goal_s);
                if chance < OUT_OF_REACH {
                    return Until::Never;
                }
                even_between((from_s, chance), latest_s.min(gone_s), |at_s| {
                    chance_by(at_s, *goal_s)
                })
            };
            match at_s {
                at_s if at_s <= soonest_s => Until::Never,
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

/// The arrival between two, seconds, after which a chance is less than even: the second where it
/// never is, the first, whose chance is given, where it is from the outset.
fn even_between(
    (mut from_s, mut first): (f64, f64),
    to_s: f64,
    chance: impl Fn(f64) -> f64,
) -> f64 {
    if to_s <= from_s || first < EVEN {
        return from_s;
    }
    let (mut until_s, mut last) = (to_s, chance(to_s));
    if last >= EVEN - SAME {
        return to_s;
    }
    for _ in 0..MOST_LOOKS {
        if first < EVEN + SAME {
            break;
        }
        let at_s = from_s + (until_s - from_s) * (first - EVEN) / (first - last);
        let now = chance(at_s);
        if now >= EVEN - SAME {
            (from_s, first) = (at_s, now);
        } else {
            (until_s, last) = (at_s, now);
        }
    }
    from_s
}

/// The arrival at a station after which one cannot stop as planned and still leave in time for the
/// cutoffs ahead, seconds.
fn gone_s(plan: &Plan, station: usize) -> f64 {
    let split = &plan.schedule.splits[station];
    match split.latest_departure {
        Some(by) => (by - plan.schedule.stop(station)).as_s(),
        // nobody is here in time
        None if split.latest_on_plan.is_some() => 0.0,
        None => f64::INFINITY,
    }
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
