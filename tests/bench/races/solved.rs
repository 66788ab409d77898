//! Finishers with their plans, solved once for all figures.

use rayon::prelude::*;
use sutler::arrivals::Paths;
use sutler::pacing::{self, Goal, Pacing};

use super::edition::{Edition, Finisher};

/// The target of a replan over the true finish.
const HOPED: f64 = 0.93;

/// A finisher with two plans.
pub(crate) struct Solved<'a> {
    pub(crate) edition: &'a Edition,
    pub(crate) finisher: &'a Finisher,
    /// For the true finish.
    pub(crate) given: Pacing,
    /// For a target 7 % too fast, and races around it.
    pub(crate) hoped: Pacing,
    pub(crate) paths: Paths,
}

/// Every finisher of all editions.
pub(crate) fn all<'a>(editions: &'a [Edition]) -> Vec<Solved<'a>> {
    let runners = |edition: &'a Edition| {
        let finishers = edition.finishers.par_iter();
        finishers.map(move |finisher| Solved::of(edition, finisher))
    };
    editions.par_iter().flat_map(runners).collect()
}

impl<'a> Solved<'a> {
    fn of(edition: &'a Edition, finisher: &'a Finisher) -> Solved<'a> {
        let hoped = solved(edition, HOPED * finisher.finish_s);
        Solved {
            edition,
            finisher,
            given: solved(edition, finisher.finish_s),
            paths: Paths::of(&edition.race.conditions, &hoped),
            hoped,
        }
    }
}

fn solved(edition: &Edition, finish_s: f64) -> Pacing {
    let race = &edition.race;
    let goal = Goal {
        finish_s,
        stops_s: vec![0.0; race.course.stations.len()],
    };
    pacing::solve(&race.course, &race.conditions, &race.settings, &goal)
        .unwrap_or_else(|e| panic!("{}: {finish_s} s: {e:?}", edition.name))
}
