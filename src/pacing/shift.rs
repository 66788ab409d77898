//! What another hour does to a segment, without marching it step by step.

use crate::conditions::Conditions;

use super::Pacing;
use super::march::Hours;

/// Light and warmth are looked at on one step in so many: every half kilometre.
const LOOK_EVERY: usize = 25;

impl Pacing {
    /// Moving time through a segment left at `leave_s` over the time planned, for the light and
    /// warmth of those hours; the same effort, looked at every half kilometre.
    ///
    /// [`Pacing::arrive_s`] is exact, and some twenty times slower.
    ///
    /// # Panics
    /// Where the course has no such segment.
    #[must_use]
    pub fn hour_ratio(&self, conditions: &Conditions, segment: usize, leave_s: f64) -> f64 {
        let hours = Hours::new(conditions, &self.settings);
        let steps = self.terrain.segment(segment);
        let looks = steps.clone().skip(LOOK_EVERY / 2).step_by(LOOK_EVERY);
        let planned_s = self.departure_s[segment];
        let moving_s = self.segments[segment].moving_s;
        let (first, count) = (steps.start as f64, steps.len().max(1) as f64);
        let (mut then, mut planned) = (0.0, 0.0);
        for step in looks {
            let in_s = moving_s * (step as f64 - first) / count;
            let (terrain, day_s) = (&self.terrain.steps[step], self.day_s[step]);
            then += day_s * hours.factor(terrain, leave_s + in_s);
            planned += day_s * hours.factor(terrain, planned_s + in_s);
        }
        if planned > 0.0 { then / planned } else { 1.0 }
    }
}
