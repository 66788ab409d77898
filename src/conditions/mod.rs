//! Conditions are a field: ask it for the light or the weather at a distance along the course and
//! a race time. Daylight and pace need each other, so nothing is laid out per segment in advance.
//!
//! Daylight is that of a level horizon at the runner's feet: mountains and their shadow, trees,
//! and the dip of the horizon seen from a summit are ignored. In a deep valley dusk falls earlier.

mod chill;
mod daylight;
mod diurnal;
mod forecast;
mod moon;
mod nights;
mod rows;
mod sky;
mod sun;
mod usual;
mod weather;

#[cfg(test)]
mod tests;

use chrono::{DateTime, Utc};

use crate::course::Course;
use crate::diagnostics::{Diagnostic, Notes};
use crate::inputs::Inputs;
use crate::time::RaceClock;

use daylight::Daylight;
use forecast::ForecastSites;

pub use chill::wind_chill_c;
pub use forecast::{LAPSE_C_PER_M, lapsed_c};
pub use moon::{Moon, MoonEvent, moon, moon_events};
pub use sun::{SunTimes, sun_times};

/// No race is longer than this, and neither is the time for which nights are laid out, seconds.
const LONGEST_S: f64 = 30.0 * 86_400.0;

/// Light and weather over the course for as long as anyone may be on it.
#[derive(Clone, Debug)]
pub struct Conditions {
    daylight: Option<Daylight>,
    forecast: Option<ForecastSites>,
    sun_events: Vec<SunEvent>,
    told: ForecastScope,
}

/// The quantities that a forecast names besides the temperature; for the others usual values count.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ForecastScope {
    /// Relative humidity.
    pub humidity: bool,
    /// Wind.
    pub wind: bool,
    /// Rain.
    pub rain: bool,
}

/// The light.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Light {
    /// The sun is up.
    Day,
    /// Civil twilight: the sun is less than 6° below the horizon.
    Twilight,
    /// Darker than civil twilight: a lamp is needed.
    Dark,
}

/// Weather at one spot and time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Weather {
    /// degrees Celsius
    pub temp_c: f64,
    /// relative humidity, percent
    pub humidity_pct: f64,
    /// wind at 10 m, km/h
    pub wind_kmh: f64,
    /// rain, mm per hour
    pub rain_mm_per_h: f64,
    /// true where storms are forecast
    pub thunder: bool,
    /// the chance of rain, percent, where that is what the forecast says
    pub rain_chance_pct: Option<f64>,
}

/// An event of the sun during the race.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SunEvent {
    /// The time, UTC.
    pub instant: DateTime<Utc>,
    /// Its kind.
    pub kind: SunEventKind,
}

/// A kind of event of the sun.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SunEventKind {
    /// Civil dawn: the sun comes within 6° of the horizon.
    Dawn,
    /// The upper limb appears.
    Sunrise,
    /// The upper limb is gone.
    Sunset,
    /// Civil dusk: the sun is 6° below the horizon.
    Dusk,
}

impl Conditions {
    /// The conditions over a course from the runner's start until `longest_s` seconds later (at
    /// most 30 days).
    ///
    /// Without a clock there is no daylight and no forecast by the hour: it is always day, and the
    /// weather is the plan's single forecast, if any. A single forecast is taken to be for the
    /// start; elsewhere the temperature follows the height.
    ///
    /// Parts of the forecast that cannot be used are said in `notes`.
    #[must_use]
    pub fn over(
        course: &Course,
        inputs: &Inputs,
        clock: Option<&RaceClock>,
        longest_s: f64,
        notes: &mut Notes,
    ) -> Conditions {
        let longest_s = if longest_s > 0.0 {
            longest_s.min(LONGEST_S)
        } else {
            0.0 // also where it is no number
        };
        let start = clock.map(|clock| clock.start().to_utc());
        let daylight = start.and_then(|start| {
            let found = Daylight::along(&course.profile, start, longest_s);
            if found.is_none() {
                notes.push(
                    Diagnostic::warning(format!("daylight on {} is not known", start.date_naive()))
                        .hint("expected a year from -500 to 3000 and positions on Earth"),
                );
            }
            found
        });
        let sun_events = match (&daylight, start) {
            (Some(daylight), Some(start)) => daylight.events(start, longest_s),
            _ => Vec::new(),
        };
        Conditions {
            daylight,
            forecast: weather::forecast(course, inputs, clock, longest_s, notes),
            sun_events,
            told: weather::told(inputs),
        }
    }

    /// The quantities that the forecast names.
    #[must_use]
    pub fn forecast_scope(&self) -> ForecastScope {
        self.told
    }

    /// True where anything is known about daylight (place, date and zone).
    #[must_use]
    pub fn knows_daylight(&self) -> bool {
        self.daylight.is_some()
    }

    /// True where there is any forecast.
    #[must_use]
    pub fn knows_weather(&self) -> bool {
        self.forecast.is_some()
    }

    /// True where it is dark (below civil twilight) at a distance along the route and a race time.
    ///
    /// It turns dark at the very instant that [`Conditions::next_dark_change_s`] gives. More than
    /// two days before the start or after the longest time it is never dark.
    #[must_use]
    #[inline]
    pub fn is_dark(&self, distance_m: f64, elapsed_s: f64) -> bool {
        self.daylight
            .as_ref()
            .is_some_and(|daylight| daylight.dark().covers(distance_m, elapsed_s))
    }

    /// The light at a distance along the route and a race time.
    #[must_use]
    pub fn light(&self, distance_m: f64, elapsed_s: f64) -> Light {
        self.daylight
            .as_ref()
            .map_or(Light::Day, |daylight| daylight.light(distance_m, elapsed_s))
    }

    /// The first race time strictly after `elapsed_s` at which it turns dark or stops being dark
    /// at this distance; infinite where it never does. Continuous in `distance_m`.
    ///
    /// Where the sun stops short of 6° below the horizon on part of the course, the night shrinks
    /// along the course to an instant at midnight and is gone from there on.
    #[must_use]
    #[inline]
    pub fn next_dark_change_s(&self, distance_m: f64, elapsed_s: f64) -> f64 {
        self.daylight.as_ref().map_or(f64::INFINITY, |daylight| {
            daylight.dark().next_change_s(distance_m, elapsed_s)
        })
    }

    /// The last race time strictly before `elapsed_s` at which it turned dark or stopped being
    /// dark at this distance; minus infinity where it never did.
    #[must_use]
    pub fn previous_dark_change_s(&self, distance_m: f64, elapsed_s: f64) -> f64 {
        self.daylight
            .as_ref()
            .map_or(f64::NEG_INFINITY, |daylight| {
                daylight.dark().previous_change_s(distance_m, elapsed_s)
            })
    }

    /// The weather at a distance along the route, a height and a race time, interpolated between
    /// forecast hours; `None` where there is no forecast. Continuous in time.
    ///
    /// Before the first and after the last hour it is as then. Between two places with a forecast
    /// it goes by the distance, between two heights by the height; temperatures follow any other
    /// difference in height by the standard lapse ([`lapsed_c`]). Humidity and wind do not.
    /// Thunder, on the safe side, is where any of the forecasts in use has it.
    #[must_use]
    #[inline]
    pub fn weather(&self, distance_m: f64, elevation_m: f64, elapsed_s: f64) -> Option<Weather> {
        self.forecast
            .as_ref()
            .map(|forecast| forecast.at(distance_m, elevation_m, elapsed_s))
    }

    /// Dawns, sunrises, sunsets and dusks at the start's position, in time order, from the
    /// runner's start until the longest time considered.
    #[must_use]
    pub fn sun_events(&self) -> &[SunEvent] {
        &self.sun_events
    }
}
