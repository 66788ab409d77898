//! Light and weather that anyone within the window from early to late arrival may meet on each
//! segment.

use crate::conditions::{Conditions, Light, Weather, wind_chill_c};
use crate::course::Course;
use crate::schedule::Schedule;
use crate::time::S_PER_HOUR;

/// Rain from here on calls for rain gear, mm per hour.
const RAIN_MM_PER_H: f64 = 0.2;
/// A chance of rain from here on calls for rain gear, percent: a race in ten gets wet, and mountain
/// forecasts are made days before (our choice).
const RAIN_CHANCE_PCT: f64 = 10.0;
/// Air this cold or colder calls for warm gear, °C.
const COLD_C: f64 = 5.0;
/// Wind chill this cold or colder calls for warm gear, °C.
const COLD_WIND_CHILL_C: f64 = 0.0;
/// A stop this long in cooler air than this calls for warm gear, seconds and °C: who stands still
/// has no heat of running (common practice, no source).
const LONG_STOP_S: f64 = 900.0;
const COOL_STOP_C: f64 = 15.0;
/// Air this warm or warmer calls for heat gear, °C.
const HEAT_C: f64 = 25.0;
/// The sun burns from so long after sunrise until so long before sunset, seconds.
const LOW_SUN_S: f64 = 2.0 * S_PER_HOUR;
/// Ground this high is mountain, metres, and a race longer than this is long, hours: a shell is
/// carried there whatever the forecast, and in the mountains a warm layer (common practice, no
/// source).
const MOUNTAIN_M: f64 = 1500.0;
const LONG_RACE_H: f64 = 4.0;
/// Conditions are looked at this far apart, metres and seconds, and at both ends.
const LOOK_EVERY_M: f64 = 1000.0;
const LOOK_EVERY_S: f64 = 600.0;
/// Air in which a lamp lasts half as long, °C: common practice, no source.
const HARD_FROST_C: f64 = -5.0;
/// Hours of darkness are added up in slices of about this, seconds.
const SLICE_S: f64 = 60.0;

/// The window over the whole course.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct WindowExposures {
    /// One per segment.
    pub segments: Vec<WindowExposure>,
    /// True where daylight is known.
    pub knows_daylight: bool,
    /// True where there is a forecast.
    pub knows_weather: bool,
}

/// Light and weather of one segment, the stop before it included.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct WindowExposure {
    /// Any darkness.
    pub dark: bool,
    /// Hours of darkness of an early, a likely and a late runner.
    pub dark_h: [f64; 3],
    /// Hours of a battery's life that the cold of that darkness takes besides.
    pub drained_h: [f64; 3],
    /// Cold air or wind chill; any darkness or mountain whatever the forecast, or a long stop where
    /// it is cool.
    pub cold: bool,
    /// Rain; in the cold and in any long race whatever the forecast, for a shell keeps off the wind
    /// too.
    pub rain: bool,
    /// Warm air.
    pub heat: bool,
    /// A high sun and no rain.
    pub sun: bool,
    /// True where the likely runner leaves the station in the dark.
    pub leaves_dark: bool,
    /// Hours of the likely runner, the stop included.
    pub hours: f64,
}

/// Light and weather at a distance along the route, metres, and a race time, seconds; and whether
/// the ground there is mountain.
struct SkyField<'a> {
    is_mountain: &'a dyn Fn(f64) -> bool,
    light: &'a dyn Fn(f64, f64) -> Light,
    weather: &'a dyn Fn(f64, f64) -> Option<Weather>,
}

/// One segment in space and time.
struct SkyPassage {
    from_m: f64,
    to_m: f64,
    /// Leaving and arriving of the early, the likely and the late runner, seconds; the stop
    /// before the segment is part of it.
    paths_s: [(f64, f64); 3],
    /// The stop before the segment, seconds.
    stop_s: f64,
}

/// Looks at every segment over its whole window.
pub(super) fn along(
    course: &Course,
    conditions: &Conditions,
    schedule: &Schedule,
) -> WindowExposures {
    let height_m = |distance_m: f64| {
        let profile = &course.profile;
        let node = (distance_m / profile.spacing_m).round().max(0.0) as usize;
        let last = profile.elevation_m.len().saturating_sub(1);
        profile
            .elevation_m
            .get(node.min(last))
            .copied()
            .unwrap_or(0.0)
    };
    let field = SkyField {
        is_mountain: &|at_m| height_m(at_m) >= MOUNTAIN_M,
        light: &|at_m, at_s| conditions.light(at_m, at_s),
        weather: &|at_m, at_s| conditions.weather(at_m, height_m(at_m), at_s),
    };
    let mut segments: Vec<WindowExposure> = (0..course.segments.len())
        .map(|segment| exposure(&passage(course, schedule, segment), &field))
        .collect();
    let race_h: f64 = segments.iter().map(|met| met.hours).sum();
    for met in &mut segments {
        met.rain |= met.cold || race_h > LONG_RACE_H;
    }
    WindowExposures {
        segments,
        knows_daylight: conditions.knows_daylight(),
        knows_weather: conditions.knows_weather(),
    }
}

fn passage(course: &Course, schedule: &Schedule, segment: usize) -> SkyPassage {
    let (from, to) = (&schedule.splits[segment], &schedule.splits[segment + 1]);
    SkyPassage {
        from_m: course.stations[segment].distance_m,
        to_m: course.stations[segment + 1].distance_m,
        paths_s: [
            (from.early.as_s(), to.early.as_s()),
            (from.arrival.as_s(), to.arrival.as_s()),
            (from.late_in_race.as_s(), to.late_in_race.as_s()),
        ],
        stop_s: schedule.stop(segment).as_s(),
    }
}

/// Light and weather of one segment.
fn exposure(passage: &SkyPassage, field: &SkyField) -> WindowExposure {
    let mut met = WindowExposure::default();
    let looks = pieces(passage.to_m - passage.from_m, LOOK_EVERY_M);
    for look in 0..=looks {
        let share = look as f64 / looks as f64;
        let at_m = passage.from_m + share * (passage.to_m - passage.from_m);
        let (first_s, last_s) = passage.window_s(share);
        met.cold |= (field.is_mountain)(at_m);
        let times = pieces(last_s - first_s, LOOK_EVERY_S);
        for time in 0..=times {
            let at_s = first_s + (last_s - first_s) * time as f64 / times as f64;
            meet(&mut met, field, at_m, at_s);
        }
    }
    for (path, times_s) in passage.paths_s.into_iter().enumerate() {
        (met.dark_h[path], met.drained_h[path]) = passage.dark_h(times_s, field);
    }
    met.dark |= met.dark_h.iter().any(|hours| *hours > 0.0);
    let (in_s, on_s) = passage.paths_s[1];
    let standing = (field.weather)(passage.from_m, in_s);
    let cool = standing.is_none_or(|weather| weather.temp_c < COOL_STOP_C);
    met.cold |= met.dark || (passage.stop_s >= LONG_STOP_S && cool);
    met.leaves_dark = (field.light)(passage.from_m, in_s + passage.stop_s) == Light::Dark;
    met.hours = (on_s - in_s) / S_PER_HOUR;
    met
}

/// Adds what is met at one spot and time.
fn meet(met: &mut WindowExposure, field: &SkyField, at_m: f64, at_s: f64) {
    let light = |at_s: f64| (field.light)(at_m, at_s);
    met.dark = met.dark || light(at_s) == Light::Dark;
    let weather = (field.weather)(at_m, at_s);
    let raining = weather.is_some_and(|w| w.rain_mm_per_h >= RAIN_MM_PER_H);
    let may_rain = weather
        .and_then(|w| w.rain_chance_pct)
        .is_some_and(|pct| pct >= RAIN_CHANCE_PCT);
    let day_at = |at_s: f64| light(at_s) == Light::Day;
    let high_sun = || day_at(at_s) && day_at(at_s - LOW_SUN_S) && day_at(at_s + LOW_SUN_S);
    met.sun = met.sun || (!raining && high_sun());
    if let Some(weather) = weather {
        let chill_c = wind_chill_c(weather.temp_c, weather.wind_kmh);
        let chilly = chill_c.is_some_and(|c| c <= COLD_WIND_CHILL_C);
        met.rain |= raining || may_rain;
        met.cold |= weather.temp_c <= COLD_C || chilly;
        met.heat |= weather.temp_c >= HEAT_C;
    }
}

impl SkyPassage {
    /// From the early runner to the late one, the late one's stop included.
    fn window_s(&self, share: f64) -> (f64, f64) {
        let at = |(from_s, to_s): (f64, f64)| from_s + share * (to_s - from_s).max(0.0);
        let (late_from_s, late_to_s) = self.paths_s[2];
        let late_s = at((late_from_s + self.stop_s, late_to_s));
        let early_s = at(self.paths_s[0]);
        // at the station itself the early arrival counts, so the stop is within the window
        (early_s, late_s.max(early_s))
    }

    /// Hours of darkness on one way through, the stop, then evenly along the segment, and those that
    /// its cold takes from a battery.
    fn dark_h(&self, (from_s, to_s): (f64, f64), field: &SkyField) -> (f64, f64) {
        let slices = pieces(to_s - from_s, SLICE_S);
        let slice_s = (to_s - from_s).max(0.0) / slices as f64;
        let moving_s = (to_s - from_s - self.stop_s).max(f64::MIN_POSITIVE);
        let slice_h = slice_s / S_PER_HOUR;
        let (mut dark_h, mut drained_h) = (0.0, 0.0);
        for slice in 0..slices {
            let in_s = (slice as f64 + 0.5) * slice_s;
            let share = ((in_s - self.stop_s) / moving_s).clamp(0.0, 1.0);
            let at_m = self.from_m + share * (self.to_m - self.from_m);
            if (field.light)(at_m, from_s + in_s) == Light::Dark {
                let air = (field.weather)(at_m, from_s + in_s);
                dark_h += slice_h;
                drained_h += air.map_or(0.0, |air| drain(air.temp_c)) * slice_h;
            }
        }
        (dark_h, drained_h)
    }
}

/// Hours that an hour in the cold takes from a battery besides itself: at freezing a third of its
/// life is gone, in hard frost half (common practice, no source).
fn drain(temp_c: f64) -> f64 {
    match temp_c {
        c if c <= HARD_FROST_C => 1.0,
        c if c <= 0.0 => 0.5,
        _ => 0.0,
    }
}

/// Into how many equal pieces of at most `each` a length is cut; at least one.
fn pieces(length: f64, each: f64) -> usize {
    (length / each).ceil().max(1.0) as usize
}

#[cfg(test)]
#[path = "tests/window.rs"]
mod tests;
