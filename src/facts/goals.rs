//! Facts of the finishes that a plan names, A, B and C, and where it goes over from one to the
//! next.

use crate::plan::Plan;
use crate::replan::{Until, switches};
use crate::time::Elapsed;

use super::View;
use super::splits::SplitFacts;
use super::value::{Moment, record};

record! {
    /// A station with the arrival up to which each finish is worth going for.
    pub struct SwitchFacts {
        /// The station's number.
        pub number: String,
        /// The station.
        pub station: String,
        /// The finishes that the plan names, the earliest first.
        pub goals: Vec<SwitchGoalFacts>,
    }
}

record! {
    /// One finish, and the end of what it is worth going for.
    pub struct SwitchGoalFacts {
        /// Its letter, A for the earliest.
        pub goal: &'static str = letter(index),
        /// The finish as race time.
        pub finish: String = goal.to_string(),
        /// The arrival later than which it is less likely than not, and later than planned for it,
        /// if nothing else is known of the day, or too late to stop as planned and leave in time
        /// for the cutoffs ahead; nothing where `is` says otherwise.
        pub until: Option<Moment> = until,
        /// `until` that arrival, `cutoff` where it is worth it as long as one is in at all, `never`
        /// where it is out of reach.
        pub is: &'static str = is,
    } from fn of(plan: &Plan, index: usize, goal: Elapsed, until: Until) {
        let (until, is) = match until {
            Until::At(at) => (Some(Moment::of(&plan.schedule, at)), "until"),
            Until::Cutoff => (None, "cutoff"),
            Until::Never => (None, "never"),
        };
    }
}

/// The letter of the finish with this place among those that a plan names, the earliest first.
pub(super) fn letter(index: usize) -> &'static str {
    ["A", "B", "C"].get(index).copied().unwrap_or_default()
}

impl SwitchFacts {
    /// Stations where somebody is met, a bag is opened or a cutoff lies; none where the plan names
    /// one finish, or its finish is taken as met.
    pub(super) fn all(view: &View<'_>, plan: &Plan, splits: &[SplitFacts]) -> Vec<SwitchFacts> {
        let goals = view.inputs.plan.goals(plan.finish);
        let is_asked =
            |split: &SplitFacts| split.meets_crew || split.opens_bag || split.cutoff.is_some();
        let inner = 1..splits.len().saturating_sub(1);
        let stations: Vec<usize> = inner.filter(|at| is_asked(&splits[*at])).collect();
        if goals.len() < 2 || plan.schedule.on_target {
            return Vec::new();
        }
        let found = switches(view.race, plan, &goals, &stations);
        found
            .iter()
            .map(|switch| SwitchFacts {
                number: splits[switch.station].number.clone(),
                station: splits[switch.station].station.clone(),
                goals: (goals.iter().zip(&switch.until).enumerate())
                    .map(|(index, (goal, until))| SwitchGoalFacts::of(plan, index, *goal, *until))
                    .collect(),
            })
            .collect()
    }
}
