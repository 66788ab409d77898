//! The runner's weather, put together to one forecast for the course.

use crate::course::Course;
use crate::diagnostics::{Diagnostic, Notes, Span};
use crate::inputs::Inputs;
use crate::inputs::plan_toml::Forecast;
use crate::time::{Elapsed, RaceClock, S_PER_HOUR, day_name};

use super::diurnal::warmth;
use super::forecast::{ForecastSites, Layer, Site};
use super::rows::{At, drop_heights_among_places, series_of, start_elevation_m};
use super::usual::{USUAL_HUMIDITY_PCT, USUAL_WIND_KMH};
use super::{ForecastScope, Weather};

/// A forecast whose hours all lie further than this from the race is for another day, seconds.
const UNRELATED_S: f64 = 24.0 * S_PER_HOUR;

/// A row is for an hour: the race may go on for that long after the last.
const ROW_S: f64 = S_PER_HOUR;

/// The forecast of the runner's table, else the plan's two lines or its single one, else none.
pub(super) fn forecast(
    course: &Course,
    inputs: &Inputs,
    clock: Option<&RaceClock>,
    longest_s: f64,
    notes: &mut Notes,
) -> Option<ForecastSites> {
    from_rows(course, inputs, clock, longest_s, notes)
        .or_else(|| by_the_sun(course, inputs, clock, longest_s))
        .or_else(|| single(course, inputs))
}

/// The plan's forecast, taken to be for the start.
fn single(course: &Course, inputs: &Inputs) -> Option<ForecastSites> {
    let given = inputs
        .plan
        .forecast
        .or(inputs.plan.weather.map(|two| two.day))?;
    Some(at_start(course, vec![(0.0, weather_of(&given))]))
}

/// Two lines of forecast, where the sun's course is known.
fn by_the_sun(
    course: &Course,
    inputs: &Inputs,
    clock: Option<&RaceClock>,
    longest_s: f64,
) -> Option<ForecastSites> {
    let (two, clock) = (inputs.plan.weather?, clock?);
    let (day, night) = (weather_of(&two.day), weather_of(&two.night));
    let (lat, lon) = course.profile.position_at_deg(0.0);
    let hours = (0..)
        .map(|hour| f64::from(hour) * S_PER_HOUR)
        .take_while(|at_s| *at_s < longest_s + 2.0 * S_PER_HOUR)
        .map(|at_s| {
            let at = clock.at(Elapsed::from_s(at_s));
            (at_s, night.towards(&day, warmth(lat, lon, at)))
        });
    Some(at_start(course, hours.collect()))
}

fn at_start(course: &Course, hours: Vec<(f64, Weather)>) -> ForecastSites {
    let elevation_m = start_elevation_m(course);
    ForecastSites::everywhere(Site {
        layers: vec![Layer { elevation_m, hours }],
    })
}

fn weather_of(given: &Forecast) -> Weather {
    Weather {
        temp_c: given.temp_c,
        humidity_pct: given.humidity_pct.unwrap_or(USUAL_HUMIDITY_PCT),
        wind_kmh: given.wind_kmh.unwrap_or(USUAL_WIND_KMH),
        rain_mm_per_h: given.rain_mm_per_h,
        thunder: false,
        rain_chance_pct: given.rain_chance_pct,
    }
}

/// The quantities that any line or row of the forecast names.
pub(super) fn told(inputs: &Inputs) -> ForecastScope {
    let lines = inputs.plan.weather.map(|two| [two.day, two.night]);
    let lines = lines.iter().flatten().chain(&inputs.plan.forecast);
    let lines = lines.map(|line| (line.humidity_pct, line.wind_kmh, line.rain_mm_per_h));
    let rows = inputs.weather.iter();
    let rows = rows.map(|row| (row.humidity_pct, row.wind_kmh, row.rain_mm_per_h));
    let mut told = ForecastScope::default();
    for (humidity, wind, rain_mm_per_h) in lines.chain(rows) {
        told.humidity |= humidity.is_some();
        told.wind |= wind.is_some();
        told.rain |= rain_mm_per_h > 0.0;
    }
    told
}

fn from_rows(
    course: &Course,
    inputs: &Inputs,
    clock: Option<&RaceClock>,
    longest_s: f64,
    notes: &mut Notes,
) -> Option<ForecastSites> {
    let first_row = inputs.weather.first()?;
    let Some(clock) = clock else {
        notes.push(
            Diagnostic::warning("the forecast by the hour is not used: the start is not known")
                .at(first_row.span, "local times need a date and a time zone")
                .hint("give `start` and `timezone` in course.toml"),
        );
        return None;
    };
    let mut series = series_of(course, &inputs.weather, notes);
    if let Some(by_height) = drop_heights_among_places(&mut series) {
        notes.push(
            Diagnostic::warning("forecast rows by height alone are not used beside rows by place")
                .at(by_height, "expected a place, as in other rows")
                .hint("name the place whose forecast this is"),
        );
    }
    let mut layers = Vec::new();
    for one in series {
        let hours = one.hours(clock, notes);
        if !hours.is_empty() {
            let elevation_m = one.elevation_m;
            layers.push((one.site, Layer { elevation_m, hours }));
        }
    }
    let race_end_s = planned_end_s(inputs).unwrap_or(longest_s);
    if !is_about_the_race(&layers, race_end_s, clock, first_row.span, notes) {
        return None;
    }
    assemble(course, layers)
}

/// The latest finish that the plan asks for, seconds.
fn planned_end_s(inputs: &Inputs) -> Option<f64> {
    let finishes = inputs.plan.finish.iter().chain(&inputs.plan.other_finishes);
    finishes.map(|f| f.value.as_s()).reduce(f64::max)
}

/// True where the hours have anything to do with the race; says where they do not, and where they
/// leave part of it out.
fn is_about_the_race(
    layers: &[(At, Layer)],
    race_end_s: f64,
    clock: &RaceClock,
    span: Option<Span>,
    notes: &mut Notes,
) -> bool {
    let firsts = layers.iter().filter_map(|(_, l)| Some(l.hours.first()?.0));
    let lasts = layers.iter().filter_map(|(_, l)| Some(l.hours.last()?.0));
    let earliest = firsts.clone().fold(f64::INFINITY, f64::min);
    let latest = lasts.clone().fold(f64::NEG_INFINITY, f64::max);
    if latest < earliest {
        return false; // no hours at all, and every row has been spoken of
    }
    let shown = |elapsed_s: f64| {
        let at = clock.at(Elapsed::from_s(elapsed_s));
        format!("{} {}", day_name(&at), at.format("%Y-%m-%d %H:%M"))
    };
    if latest < -UNRELATED_S || race_end_s + UNRELATED_S < earliest {
        notes.push(
            Diagnostic::warning(format!(
                "the forecast by the hour is not used: it is for {} to {}, the race for {} to {}",
                shown(earliest),
                shown(latest),
                shown(0.0),
                shown(race_end_s)
            ))
            .at(span, "expected hours of the race")
            .hint("is this the forecast for the race's date?"),
        );
        return false;
    }
    // Each place and height is held constant outside its own hours: the shortest table counts.
    let (begin, end) = (
        firsts.fold(f64::NEG_INFINITY, f64::max),
        lasts.fold(f64::INFINITY, f64::min),
    );
    if begin > ROW_S {
        notes.push(held(span, format!(
            "the forecast begins at {}, after the start at {}: its first hour is used until then",
            shown(begin),
            shown(0.0)
        )));
    }
    if end + ROW_S < race_end_s {
        notes.push(held(span, format!(
            "the forecast ends at {}, before the race at {}: its last hour is used from then on",
            shown(end),
            shown(race_end_s)
        )));
    }
    true
}

fn held(span: Option<Span>, message: String) -> Diagnostic {
    Diagnostic::warning(message)
        .at(span, "expected every hour of the race")
        .hint("add the missing hours")
}

/// Layers put together by place, and places along the course.
fn assemble(course: &Course, mut layers: Vec<(At, Layer)>) -> Option<ForecastSites> {
    layers.sort_by(|(site_a, a), (site_b, b)| {
        let by_height = a.elevation_m.total_cmp(&b.elevation_m);
        site_a.cmp(site_b).then(by_height)
    });
    let mut keys: Vec<At> = Vec::new();
    let mut sites: Vec<Site> = Vec::new();
    for (key, layer) in layers {
        match sites.last_mut() {
            Some(site) if keys.last() == Some(&key) => site.layers.push(layer),
            _ => {
                keys.push(key);
                sites.push(Site {
                    layers: vec![layer],
                });
            }
        }
    }
    if sites.len() == 1 {
        return sites.pop().map(ForecastSites::everywhere);
    }
    let site_of = |place: usize| keys.iter().position(|key| *key == At::Place(place));
    let stops: Vec<(f64, usize)> = course
        .stations
        .iter()
        .filter_map(|station| Some((station.distance_m, site_of(station.place)?)))
        .collect();
    (!stops.is_empty()).then_some(ForecastSites { sites, stops })
}
