//! One step forward or back in time, with the hour's light and warmth.
//!
//! A step is cut where it turns dark or light, so that leaving later never means arriving earlier:
//! that is what makes the solver's bisection and the latest departures safe.

use crate::conditions::Conditions;

use super::factors::heat;
use super::settings::PacingSettings;
use super::terrain::Step;

/// What the time of day does to a step.
#[derive(Clone, Copy)]
pub(super) struct Hours<'a> {
    conditions: &'a Conditions,
    heat_per_c: f64,
    daylight: bool,
}

impl<'a> Hours<'a> {
    pub(super) fn new(conditions: &'a Conditions, settings: &PacingSettings) -> Self {
        Hours {
            conditions,
            heat_per_c: if conditions.knows_weather() {
                settings.heat_per_c
            } else {
                0.0
            },
            daylight: conditions.knows_daylight() && settings.night_factor != 1.0,
        }
    }

    /// When a step entered at `enter_s` ends, and how long of it was dark; `day_s` is what it
    /// takes by day in the cool.
    pub(super) fn leave_s(&self, step: &Step, day_s: f64, enter_s: f64) -> (f64, f64) {
        let mut left_s = day_s * self.warmth(step, enter_s);
        if !self.daylight {
            return (enter_s + left_s, 0.0);
        }
        let (mut now_s, mut dark_s) = (enter_s, 0.0);
        loop {
            let dark = self.conditions.is_dark(step.middle_m, now_s);
            let factor = if dark { step.dark_factor } else { 1.0 };
            let change_s = self.conditions.next_dark_change_s(step.middle_m, now_s);
            let end_s = now_s + left_s * factor;
            let until_s = end_s.min(change_s);
            if dark {
                dark_s += until_s - now_s;
            }
            if end_s <= change_s {
                return (end_s, dark_s);
            }
            left_s -= (change_s - now_s) / factor;
            now_s = change_s;
        }
    }

    /// How much longer a step takes at that instant than by day in the cool.
    pub(super) fn factor(&self, step: &Step, at_s: f64) -> f64 {
        let dark = self.daylight && self.conditions.is_dark(step.middle_m, at_s);
        self.warmth(step, at_s) * if dark { step.dark_factor } else { 1.0 }
    }

    /// When a step must be entered to end at `leave_s`: the inverse of [`Hours::leave_s`].
    pub(super) fn enter_s(&self, step: &Step, day_s: f64, leave_s: f64) -> f64 {
        const SETTLED_S: f64 = 1e-4;
        let mut enter_s = self.back_s(step, day_s * self.warmth(step, leave_s - day_s), leave_s);
        // warmth changes by parts in a thousand over a step, so this settles at once
        for _ in 0..5 {
            let before_s = enter_s;
            enter_s = self.back_s(step, day_s * self.warmth(step, enter_s), leave_s);
            if (enter_s - before_s).abs() < SETTLED_S {
                break;
            }
        }
        enter_s
    }

    fn back_s(&self, step: &Step, warm_s: f64, leave_s: f64) -> f64 {
        if !self.daylight {
            return leave_s - warm_s;
        }
        let (mut now_s, mut left_s) = (leave_s, warm_s);
        loop {
            let change_s = self.conditions.previous_dark_change_s(step.middle_m, now_s);
            let between_s = 0.5 * (now_s + change_s.max(now_s - 3600.0));
            let dark = self.conditions.is_dark(step.middle_m, between_s);
            let factor = if dark { step.dark_factor } else { 1.0 };
            let start_s = now_s - left_s * factor;
            if start_s >= change_s {
                return start_s;
            }
            left_s -= (now_s - change_s) / factor;
            now_s = change_s;
        }
    }

    fn warmth(&self, step: &Step, at_s: f64) -> f64 {
        if self.heat_per_c == 0.0 {
            return 1.0;
        }
        self.conditions
            .weather(step.middle_m, step.elevation_m, at_s)
            .map_or(1.0, |weather| heat(weather.temp_c, self.heat_per_c))
    }
}
