//! One stride forward or back in time, with the hour's light and warmth.
//!
//! A stride is cut where it turns dark or light, so that leaving later never means arriving
//! earlier: that is what makes the solver's search and the latest departures safe.

use crate::conditions::Conditions;

use super::factors::heat;
use super::settings::PacingSettings;
use super::terrain::Stride;

/// The effect of the time of day on a stride.
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

    /// The end of a stride entered at `enter_s`, and its time in the dark; `day_s` is what it
    /// takes by day in the cool.
    pub(super) fn leave_s(&self, stride: &Stride, day_s: f64, enter_s: f64) -> (f64, f64) {
        let mut left_s = day_s * self.warmth(stride, enter_s + 0.5 * day_s);
        if !self.daylight {
            return (enter_s + left_s, 0.0);
        }
        let (mut now_s, mut dark_s) = (enter_s, 0.0);
        loop {
            let dark = self.conditions.is_dark(stride.middle_m, now_s);
            let factor = if dark { stride.dark_factor } else { 1.0 };
            let change_s = self.conditions.next_dark_change_s(stride.middle_m, now_s);
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

    /// The entry of a stride that ends at `leave_s`: the inverse of [`Hours::leave_s`].
    pub(super) fn enter_s(&self, stride: &Stride, day_s: f64, leave_s: f64) -> f64 {
        const SETTLED_S: f64 = 1e-4;
        let mut enter_s = self.back_s(
            stride,
            day_s * self.warmth(stride, leave_s - 0.5 * day_s),
            leave_s,
        );
        // warmth changes by parts in a thousand over a stride, so this settles at once
        for _ in 0..5 {
            let before_s = enter_s;
            enter_s = self.back_s(
                stride,
                day_s * self.warmth(stride, enter_s + 0.5 * day_s),
                leave_s,
            );
            if (enter_s - before_s).abs() < SETTLED_S {
                break;
            }
        }
        enter_s
    }

    fn back_s(&self, stride: &Stride, warm_s: f64, leave_s: f64) -> f64 {
        if !self.daylight {
            return leave_s - warm_s;
        }
        let (mut now_s, mut left_s) = (leave_s, warm_s);
        loop {
            let change_s = self
                .conditions
                .previous_dark_change_s(stride.middle_m, now_s);
            let between_s = 0.5 * (now_s + change_s.max(now_s - 3600.0));
            let dark = self.conditions.is_dark(stride.middle_m, between_s);
            let factor = if dark { stride.dark_factor } else { 1.0 };
            let start_s = now_s - left_s * factor;
            if start_s >= change_s {
                return start_s;
            }
            left_s -= (now_s - change_s) / factor;
            now_s = change_s;
        }
    }

    fn warmth(&self, stride: &Stride, at_s: f64) -> f64 {
        if self.heat_per_c == 0.0 {
            return 1.0;
        }
        self.conditions
            .weather(stride.middle_m, stride.elevation_m, at_s)
            .map_or(1.0, |weather| heat(weather.temp_c, self.heat_per_c))
    }
}
