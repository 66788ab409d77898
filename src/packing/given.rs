//! The race as packing sees it.

use crate::course::Course;
use crate::fueling::Fueling;
use crate::inputs::Inputs;
use crate::schedule::Schedule;

/// The results of the stages before, and what the user wrote.
#[derive(Clone, Copy, Debug)]
pub(super) struct Given<'a> {
    pub(super) course: &'a Course,
    pub(super) schedule: &'a Schedule,
    pub(super) fueling: &'a Fueling,
    pub(super) inputs: &'a Inputs,
}

impl Given<'_> {
    /// Segments that are behind the runner.
    pub(super) fn behind(&self) -> usize {
        self.fueling.taken.by_segment_mg.len()
    }
}
