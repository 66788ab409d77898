//! Effort to speed along the course: the only solver. One unknown, the level-ground speed, is
//! found so that moving time and stops meet the target.
//!
//! A step's time is `length × slope × ground × altitude / level speed × fade × heat × night`. The
//! first four make its *effort*, level metres that take as long; fade spreads the time over the
//! efforts; heat and night depend on the hour and are met while marching from start to finish,
//! stride by stride.

pub mod cost;
mod effort;
mod elsewhere;
pub mod factors;
mod fade;
mod hours;
mod march;
mod resume;
mod settings;
mod solve;
mod stops;
mod terrain;
#[cfg(test)]
mod tests;

use std::sync::Arc;

use crate::conditions::Conditions;
use crate::course::Course;

pub use effort::{CourseEffort, climb_equivalent_m};
pub use elsewhere::{EffortLine, Pitch};
pub use fade::{Fade, share_of_time, slowing, slowing_exponent};
pub use hours::hour_factor;
pub use resume::{Resumed, Stretch};
pub use settings::PacingSettings;
pub use solve::{
    FASTEST_LEVEL_MPS, Goal, Impossible, SLOWEST_LEVEL_MPS, finish_of_effort_s, solve,
};
pub use stops::{planned_stops_s, usual_stop_share};

/// The runner's times, step by step, for one target.
#[derive(Clone, Debug)]
pub struct Pacing {
    /// The settings it was solved with.
    pub settings: PacingSettings,
    /// Speed on level, smooth, low, cool ground by day, averaged over the race; metres per second.
    pub level_speed_mps: f64,
    /// The finish, seconds after the start.
    pub finish_s: f64,
    /// Arrival at each station, seconds after the start, own stop left out.
    pub arrival_s: Vec<f64>,
    /// Departure from each station, seconds after the start; at the finish the arrival.
    pub departure_s: Vec<f64>,
    /// Moving through each segment.
    pub segments: Vec<SegmentPace>,
    /// Race time on leaving each profile node, seconds; a station's stop lies before it.
    pub node_s: Vec<f64>,
    /// The course in steps and strides, and what each stride takes by day in the cool, seconds.
    terrain: Arc<terrain::Terrain>,
    day_s: Vec<f64>,
}

/// The movement through one segment.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct SegmentPace {
    /// Seconds between leaving one station and reaching the next, with what is stood on the way
    /// where [`PacingSettings::stop_multiplier`] is known.
    pub moving_s: f64,
    /// Flat-equivalent length: metres of level paved low ground that take as much.
    pub effort_m: f64,
    /// Share of the moving time that is walked.
    pub walk_share: f64,
    /// Share of the moving time in the dark.
    pub dark_share: f64,
    /// Metabolic energy of moving, joules per kilogram of body mass, by the gradient cost.
    pub energy_j_per_kg: f64,
}

impl Pacing {
    /// Level metres that take as long as the course.
    #[must_use]
    pub fn effort_m(&self) -> f64 {
        self.segments.iter().map(|segment| segment.effort_m).sum()
    }

    /// Metres of the course along the route.
    #[must_use]
    pub fn length_m(&self) -> f64 {
        self.terrain.steps.last().map_or(0.0, |step| step.end_m)
    }

    /// Race time at a distance along the route, seconds, between nodes linear.
    #[must_use]
    pub fn elapsed_at_s(&self, course: &Course, distance_m: f64) -> f64 {
        let at = (distance_m / course.profile.spacing_m).max(0.0);
        let last = self.node_s.len() - 1;
        let i = (at as usize).min(last);
        let j = (i + 1).min(last);
        self.node_s[i] + (self.node_s[j] - self.node_s[i]) * (at - i as f64).min(1.0)
    }

    /// The departure from a segment's first station that reaches its last at `arrive_s`, with so
    /// many times as long on the way as this plan's effort takes, and the light and warmth of that
    /// hour. Seconds after the start.
    #[must_use]
    pub fn leave_by_s(
        &self,
        conditions: &Conditions,
        segment: usize,
        arrive_s: f64,
        times_as_long: f64,
    ) -> f64 {
        let hours = march::Hours::new(conditions, &self.settings);
        self.terrain
            .segment(segment)
            .rev()
            .fold(arrive_s, |leave_s, index| {
                let day_s = times_as_long * self.day_s[index];
                hours.enter_s(&self.terrain.strides[index], day_s, leave_s)
            })
    }

    /// The arrival at a segment's last station after leaving its first at `leave_s`, with
    /// this plan's effort and the light and warmth of that hour. Seconds after the start.
    #[must_use]
    pub fn arrive_s(&self, conditions: &Conditions, segment: usize, leave_s: f64) -> f64 {
        let hours = march::Hours::new(conditions, &self.settings);
        self.terrain
            .segment(segment)
            .fold(leave_s, |enter_s, index| {
                hours
                    .leave_s(&self.terrain.strides[index], self.day_s[index], enter_s)
                    .0
            })
    }

    /// Moves through every segment from the start on, and stops so long at each station.
    fn march(&mut self, conditions: &Conditions, stops_s: &[f64]) {
        let hours = march::Hours::new(conditions, &self.settings);
        for segment in 0..self.terrain.segment_ends.len() {
            let arrival_s = self.pass(&hours, segment, self.level_speed_mps);
            self.arrival_s.push(arrival_s);
            self.departure_s.push(arrival_s + stops_s[segment + 1]);
        }
    }

    /// Moves through a segment from its departure on, and notes how; when it ends, seconds after
    /// the start. Its day times are those of `level_speed_mps`.
    fn pass(&mut self, hours: &march::Hours<'_>, segment: usize, level_speed_mps: f64) -> f64 {
        let left_s = self.departure_s[segment];
        let mut now_s = left_s;
        let mut pace = SegmentPace::default();
        for index in self.terrain.segment(segment) {
            let stride = &self.terrain.strides[index];
            let (after_s, dark_s) = hours.leave_s(stride, self.day_s[index], now_s);
            pace.dark_share += dark_s;
            let s_per_m = (after_s - now_s) / self.terrain.effort_m(stride, level_speed_mps);
            for step in &self.terrain.steps[stride.steps.clone()] {
                let step_s = s_per_m * step.effort_m(level_speed_mps);
                pace.effort_m += step.run_effort_m;
                pace.walk_share += step.walked_share(level_speed_mps) * step_s;
                pace.energy_j_per_kg += step.energy_j_per_kg(level_speed_mps);
                now_s += step_s;
                if let Some(node) = step.end_node {
                    self.node_s[node] = now_s;
                }
            }
            now_s = after_s;
        }
        pace.moving_s = now_s - left_s;
        pace.dark_share /= pace.moving_s.max(1e-9);
        pace.walk_share /= pace.moving_s.max(1e-9);
        self.segments.push(pace);
        now_s
    }
}
