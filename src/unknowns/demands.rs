//! A plan as long runs see it.

use crate::inputs::{Inputs, RunRecord};
use crate::plan::{Plan, Race};

use super::{SINGLE_RUN_MOST_H, SINGLE_RUN_MOST_M, SINGLE_RUN_SHARE};

/// A plan, and the runs that may have tested it.
pub(super) struct PlanAndRecord<'a> {
    pub(super) race: &'a Race,
    pub(super) plan: &'a Plan,
    pub(super) inputs: &'a Inputs,
    pub(super) runs: &'a [RunRecord],
}

impl PlanAndRecord<'_> {
    /// Start to finish, hours.
    pub(super) fn hours(&self) -> f64 {
        self.plan.pacing.finish_s / crate::time::S_PER_HOUR
    }

    /// As long as a single long run usually is at most, at the race's pace, hours.
    pub(super) fn longest_run_h(&self) -> f64 {
        let length_m = self.race.course.profile.length_m();
        let until_m = SINGLE_RUN_MOST_M.min(SINGLE_RUN_SHARE * length_m);
        let elapsed_s = (self.plan.pacing).elapsed_at_s(&self.race.course, until_m);
        (elapsed_s / crate::time::S_PER_HOUR).min(SINGLE_RUN_MOST_H)
    }

    /// The mean over the race of something that is needed per segment, per hour.
    pub(super) fn mean_per_h(&self, needed: fn(&crate::fueling::SegmentNeed) -> f64) -> f64 {
        let total: f64 = self.plan.fueling.segments.iter().map(needed).sum();
        total / self.hours().max(f64::MIN_POSITIVE)
    }
}
