//! Finishers with their plans, solved once for all figures.

use rayon::prelude::*;
use sutler::arrivals::Paths;
use sutler::pacing::{self, Goal, Impossible, Pacing};

use super::edition::{Edition, Finisher};

/// The target of a replan over the true finish.
const HOPED: f64 = 0.93;
/// Steps of this part of 1 fill it most evenly, however many there are.
const GOLDEN: f64 = 0.618_033_988_749_894_9;

/// A finisher with plans.
pub(crate) struct Solved<'a> {
    pub(crate) edition: &'a Edition,
    pub(crate) finisher: &'a Finisher,
    /// For the true finish.
    pub(crate) given: Pacing,
    /// For a target 7 % too fast.
    pub(crate) hoped: Target,
    /// For a target that the true finish is as far from as finishes are from hopes: over all
    /// runners, what is told of the finish before the start holds.
    pub(crate) drawn: Target,
}

/// A plan and the races around it.
pub(crate) struct Target {
    pub(crate) pacing: Pacing,
    pub(crate) paths: Paths,
}

/// Every finisher of all editions.
pub(crate) fn all(editions: &[Edition]) -> Vec<Solved<'_>> {
    let runners = editions.par_iter().flat_map(|edition| {
        let finishers = edition.finishers.par_iter().enumerate();
        finishers.map(move |(index, finisher)| Solved::of(edition, index, finisher))
    });
    runners.collect()
}

impl<'a> Solved<'a> {
    fn of(edition: &'a Edition, index: usize, finisher: &'a Finisher) -> Solved<'a> {
        let true_s = finisher.finish_s;
        let share = (0.5 + index as f64 * GOLDEN).fract();
        let spread = edition.race.finish(true_s);
        let drawn_s = true_s * true_s / spread.quantile_s(0.02 + 0.96 * share);
        Solved {
            edition,
            finisher,
            given: solved(edition, true_s),
            hoped: Target::of(edition, HOPED * true_s),
            drawn: Target::of(edition, drawn_s),
        }
    }
}

impl Target {
    fn of(edition: &Edition, finish_s: f64) -> Target {
        let pacing = solved(edition, finish_s);
        Target {
            paths: Paths::of(&edition.race.conditions, &pacing),
            pacing,
        }
    }
}

fn solved(edition: &Edition, finish_s: f64) -> Pacing {
    let race = &edition.race;
    let goal = Goal {
        finish_s,
        stops_s: vec![0.0; race.course.stations.len()],
    };
    match pacing::solve(&race.course, &race.conditions, &race.settings, &goal) {
        Ok(pacing) => pacing,
        // a hope for more than anyone runs
        Err(Impossible::TooFast { fastest_s }) => solved(edition, 1.01 * fastest_s),
        Err(e) => panic!("{}: {finish_s} s: {e:?}", edition.name),
    }
}
