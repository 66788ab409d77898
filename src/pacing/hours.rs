//! What the hours of a race cost: its light and its warmth.

use crate::conditions::Conditions;
use crate::course::Course;

use super::{Goal, Impossible, Pacing, PacingSettings, solve};

impl Pacing {
    /// Moving time over what it would be by day in the cool at the same effort.
    #[must_use]
    pub fn hour_factor(&self) -> f64 {
        let moving_s: f64 = self.segments.iter().map(|segment| segment.moving_s).sum();
        moving_s / self.day_s.iter().sum::<f64>().max(1e-9)
    }

    /// Level-ground speed that the finish takes over the speed it would take on a cool day: how
    /// much more effort the warmth asks for. 1 where there is no forecast.
    ///
    /// # Errors
    /// [`Impossible`] where the finish is not accepted on a cool day.
    pub fn heat_effort(&self, course: &Course, conditions: &Conditions) -> Result<f64, Impossible> {
        if !conditions.knows_weather() || self.settings.heat_per_c == 0.0 {
            return Ok(1.0);
        }
        let cool = PacingSettings {
            heat_per_c: 0.0,
            ..self.settings
        };
        let goal = Goal {
            finish_s: self.finish_s,
            stops_s: (self.departure_s.iter().zip(&self.arrival_s))
                .map(|(departure_s, arrival_s)| departure_s - arrival_s)
                .collect(),
        };
        let at_ease = solve(course, conditions, &cool, &goal)?;
        Ok(self.level_speed_mps / at_ease.level_speed_mps)
    }
}
