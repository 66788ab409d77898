//! Segments in parts short enough that what one of them takes is an effort times an hour.

use std::ops::Range;

use crate::conditions::Conditions;

use super::Pacing;

/// Some steps of one segment that follow each other.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    steps: Range<usize>,
}

impl Pacing {
    /// A segment in course order, cut so that no part takes much more than `longest_s` by day in
    /// the cool at the plan's effort.
    ///
    /// # Panics
    /// Where the course has no such segment.
    #[must_use]
    pub fn parts(&self, segment: usize, longest_s: f64) -> Vec<Part> {
        let steps = self.terrain.segment(segment);
        let (mut parts, mut begin, mut sum_s) = (Vec::new(), steps.start, 0.0);
        for index in steps.clone() {
            sum_s += self.day_s[index];
            if sum_s >= longest_s || index + 1 == steps.end {
                parts.push(Part {
                    steps: begin..index + 1,
                });
                (begin, sum_s) = (index + 1, 0.0);
            }
        }
        parts
    }

    /// When a part ends that is entered at `enter_s`, both in seconds after the start, with
    /// `speed_ratio` times the plan's level-ground speed; see [`Pacing::arrive_at_effort_s`].
    #[must_use]
    pub fn part_end_s(
        &self,
        conditions: &Conditions,
        part: &Part,
        enter_s: f64,
        speed_ratio: f64,
    ) -> f64 {
        self.steps_at_effort_s(conditions, part.steps.clone(), enter_s, speed_ratio)
    }
}
