//! The cost of a race's hours: its light and its warmth.

use crate::conditions::Conditions;
use crate::course::Course;

use super::solve::{EXACT_S, TimedRace};
use super::terrain::Terrain;
use super::{Goal, Impossible, Pacing, PacingSettings};

/// Moving time of a race over what it would be by day in the cool at the same effort.
///
/// # Errors
/// [`Impossible`] where the goal is not accepted.
pub fn hour_factor(
    course: &Course,
    conditions: &Conditions,
    settings: &PacingSettings,
    goal: &Goal,
) -> Result<f64, Impossible> {
    let terrain = Terrain::of(course, settings);
    TimedRace::of(&terrain, conditions, settings, goal).hour_factor(goal.finish_s)
}

impl Pacing {
    /// Level-ground speed that the finish takes over the speed it would take on a cool day: how
    /// much more effort the warmth asks for. 1 where there is no forecast.
    ///
    /// # Errors
    /// [`Impossible`] where the finish is not accepted on a cool day.
    pub fn heat_effort(&self, conditions: &Conditions) -> Result<f64, Impossible> {
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
        let at_ease = TimedRace::of(&self.terrain, conditions, &cool, &goal);
        Ok(self.level_speed_mps / at_ease.level_speed_mps(goal.finish_s, EXACT_S)?)
    }
}
