//! Conditions are a field: ask it for the light or the weather at a distance along the course and
//! a race time. Daylight and pace need each other, so nothing is laid out per segment in advance.

mod sun;
mod weather;

use chrono::{DateTime, Utc};

use crate::course::Course;
use crate::diagnostics::Notes;
use crate::inputs::Inputs;
use crate::time::RaceClock;

pub use sun::{SunTimes, sun_times};

/// Light and weather over the course for as long as anyone may be on it.
#[derive(Clone, Debug)]
pub struct Conditions {
    // to be filled in
}

/// How light it is.
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
    /// whether storms are forecast
    pub thunder: bool,
}

/// An event of the sun during the race.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SunEvent {
    /// When, UTC.
    pub instant: DateTime<Utc>,
    /// What happens.
    pub kind: SunEventKind,
}

/// What the sun does.
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
    /// The conditions over a course from the runner's start until `longest_s` seconds later.
    ///
    /// Without a clock there is no daylight and no forecast by the hour: it is always day, and the
    /// weather is the plan's single forecast, if any.
    #[must_use]
    pub fn over(
        _course: &Course,
        _inputs: &Inputs,
        _clock: Option<&RaceClock>,
        _longest_s: f64,
        _notes: &mut Notes,
    ) -> Conditions {
        Conditions {}
    }

    /// Whether anything is known about daylight (place, date and zone).
    #[must_use]
    pub fn knows_daylight(&self) -> bool {
        false
    }

    /// Whether there is any forecast.
    #[must_use]
    pub fn knows_weather(&self) -> bool {
        false
    }

    /// Whether it is dark (below civil twilight) at a distance along the route and a race time.
    #[must_use]
    pub fn is_dark(&self, _distance_m: f64, _elapsed_s: f64) -> bool {
        false
    }

    /// The light at a distance along the route and a race time.
    #[must_use]
    pub fn light(&self, _distance_m: f64, _elapsed_s: f64) -> Light {
        Light::Day
    }

    /// The first race time strictly after `elapsed_s` at which it turns dark or stops being dark
    /// at this distance; infinite where it never does. Continuous in `distance_m`.
    #[must_use]
    pub fn next_dark_change_s(&self, _distance_m: f64, _elapsed_s: f64) -> f64 {
        f64::INFINITY
    }

    /// The last race time strictly before `elapsed_s` at which it turned dark or stopped being
    /// dark at this distance; minus infinity where it never did.
    #[must_use]
    pub fn previous_dark_change_s(&self, _distance_m: f64, _elapsed_s: f64) -> f64 {
        f64::NEG_INFINITY
    }

    /// The weather at a distance along the route, a height and a race time, interpolated between
    /// forecast hours; `None` where there is no forecast. Continuous in time.
    #[must_use]
    pub fn weather(&self, _distance_m: f64, _elevation_m: f64, _elapsed_s: f64) -> Option<Weather> {
        None
    }

    /// Dawns, sunrises, sunsets and dusks at the start's position, in time order, from the
    /// runner's start until the longest time considered.
    #[must_use]
    pub fn sun_events(&self) -> &[SunEvent] {
        &[]
    }
}
