//! Forecast rows to a forecast: which instant, place and height each row is for.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDateTime};
use chrono_tz::Tz;

use crate::course::Course;
use crate::diagnostics::{Diagnostic, Notes, Span, nearest};
use crate::inputs::{Inputs, WeatherRow};
use crate::time::{Elapsed, RaceClock, S_PER_HOUR, WallTime, on_the_wall};

use super::Weather;
use super::forecast::{Forecast, Layer, Site};

/// A forecast whose hours all lie further than this from the race is for another day, seconds.
const UNRELATED_S: f64 = 24.0 * S_PER_HOUR;

/// A row is for an hour: the race may go on for that long after the last.
const ROW_S: f64 = S_PER_HOUR;

/// The forecast of the runner's table, else the plan's single one, else none.
pub(super) fn forecast(
    course: &Course,
    inputs: &Inputs,
    clock: Option<&RaceClock>,
    longest_s: f64,
    notes: &mut Notes,
) -> Option<Forecast> {
    from_rows(course, inputs, clock, longest_s, notes).or_else(|| single(course, inputs))
}

/// The plan's forecast, taken to be for the start.
fn single(course: &Course, inputs: &Inputs) -> Option<Forecast> {
    let given = inputs.plan.forecast?;
    let weather = Weather {
        temp_c: given.temp_c,
        humidity_pct: given.humidity_pct,
        wind_kmh: given.wind_kmh,
        rain_mm_per_h: given.rain_mm_per_h,
        thunder: false,
    };
    Some(Forecast::everywhere(Site {
        layers: vec![Layer {
            elevation_m: start_elevation_m(course),
            hours: vec![(0.0, weather)],
        }],
    }))
}

fn from_rows(
    course: &Course,
    inputs: &Inputs,
    clock: Option<&RaceClock>,
    longest_s: f64,
    notes: &mut Notes,
) -> Option<Forecast> {
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

/// Where a row's forecast holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum At {
    /// At a place, by its index.
    Place(usize),
    /// At a height anywhere on the course.
    Height,
}

/// Rows for one place and height, in file order.
struct Series<'a> {
    site: At,
    elevation_m: f64,
    rows: Vec<&'a WeatherRow>,
}

impl Series<'_> {
    /// The rows' weather in order of time, seconds after the runner's start.
    fn hours(&self, clock: &RaceClock, notes: &mut Notes) -> Vec<(f64, Weather)> {
        let zone = clock.start().timezone();
        let mut seen: BTreeMap<NaiveDateTime, usize> = BTreeMap::new();
        let mut hours = Vec::new();
        for row in &self.rows {
            let nth = seen.entry(row.time).or_default();
            match instant(row, *nth, zone) {
                Ok(instant) => {
                    let elapsed_s = (instant - clock.start()).num_milliseconds() as f64 / 1000.0;
                    hours.push((elapsed_s, weather_of(row)));
                }
                Err(problem) => notes.push(problem),
            }
            *nth += 1;
        }
        hours.sort_by(|a, b| a.0.total_cmp(&b.0));
        hours
    }
}

/// The instant of a row, the `nth` (from 0) of its series with that local time.
fn instant(row: &WeatherRow, nth: usize, zone: Tz) -> Result<DateTime<Tz>, Diagnostic> {
    let shown = row.time.format("%Y-%m-%dT%H:%M");
    match (on_the_wall(row.time, zone), nth) {
        (WallTime::Once(instant) | WallTime::Twice(instant, _), 0)
        | (WallTime::Twice(_, instant), 1) => Ok(instant),
        (WallTime::Never, _) => Err(Diagnostic::warning(format!(
            "forecast row for `{shown}` is not used: the clocks in {zone} go forward past it"
        ))
        .at(row.span, "expected a time that the clocks there show")
        .hint("leave the skipped hour out")),
        _ => Err(Diagnostic::warning(format!(
            "forecast row for `{shown}` is not used: the same time and place came before"
        ))
        .at(row.span, "expected one row for each time, place and height")
        .hint("only the hour that a clock change repeats may stand twice")),
    }
}

fn weather_of(row: &WeatherRow) -> Weather {
    Weather {
        temp_c: row.temp_c,
        humidity_pct: row.humidity_pct,
        wind_kmh: row.wind_kmh,
        rain_mm_per_h: row.rain_mm_per_h,
        thunder: row.thunder,
    }
}

/// Rows sorted out by place and height; those for places that the course does not have are said
/// once for each name.
fn series_of<'a>(course: &Course, rows: &'a [WeatherRow], notes: &mut Notes) -> Vec<Series<'a>> {
    let start_m = start_elevation_m(course);
    let by_height = rows
        .iter()
        .any(|r| r.place.is_none() && r.elevation_m.is_some());
    let by_place = rows.iter().any(|r| r.place.is_some());
    let mut unknown: Vec<&str> = Vec::new();
    let mut series: Vec<Series<'a>> = Vec::new();
    for row in rows {
        let (site, elevation_m) = match (row.place.as_deref(), row.elevation_m) {
            (Some(name), elevation_m) => match place_called(course, name) {
                Some(place) => (
                    At::Place(place),
                    elevation_m.unwrap_or_else(|| place_elevation_m(course, place)),
                ),
                None => {
                    if !unknown.contains(&name) {
                        unknown.push(name);
                        notes.push(unknown_place(course, name, row.span));
                    }
                    continue;
                }
            },
            (None, Some(elevation_m)) => (At::Height, elevation_m),
            // A row for the start is one more height beside others, or one more place.
            (None, None) if by_height && !by_place => (At::Height, start_m),
            (None, None) => (
                At::Place(course.stations.first().map_or(0, |s| s.place)),
                start_m,
            ),
        };
        let same =
            |s: &&mut Series<'_>| s.site == site && s.elevation_m.total_cmp(&elevation_m).is_eq();
        match series.iter_mut().find(same) {
            Some(one) => one.rows.push(row),
            None => series.push(Series {
                site,
                elevation_m,
                rows: vec![row],
            }),
        }
    }
    series
}

fn unknown_place(course: &Course, name: &str, span: Option<Span>) -> Diagnostic {
    let problem = Diagnostic::warning(format!(
        "forecast rows for `{name}` are not used: the course has no such place"
    ))
    .at(
        span,
        "expected the name of a place or station of the course",
    );
    let names = course.places.iter().map(|p| p.name.as_str());
    match nearest(
        name,
        names.chain(course.stations.iter().map(|s| s.name.as_str())),
    ) {
        Some(near) => problem.hint(format!("did you mean `{near}`?")),
        None => problem,
    }
}

/// The place with a name, or with a station of that name.
fn place_called(course: &Course, name: &str) -> Option<usize> {
    let is_it = |other: &str| other.trim().to_lowercase() == name.trim().to_lowercase();
    let place = course.places.iter().position(|p| is_it(&p.name));
    place.or_else(|| {
        course
            .stations
            .iter()
            .find(|s| is_it(&s.name))
            .map(|s| s.place)
    })
}

/// Takes rows by height alone out where other rows are by place; the first such row is returned.
fn drop_heights_among_places(series: &mut Vec<Series<'_>>) -> Option<Option<Span>> {
    let any_place = series.iter().any(|s| s.site != At::Height);
    let height = series.iter().find(|s| s.site == At::Height)?;
    let span = height.rows.first().and_then(|row| row.span);
    any_place.then(|| {
        series.retain(|s| s.site != At::Height);
        span
    })
}

/// The latest finish that the plan asks for, seconds.
fn planned_end_s(inputs: &Inputs) -> Option<f64> {
    let finishes = inputs.plan.finish.iter().chain(&inputs.plan.other_finishes);
    finishes.map(|f| f.value.as_s()).reduce(f64::max)
}

/// Whether the hours have anything to do with the race; says where they do not, and where they
/// leave part of it out.
fn is_about_the_race(
    layers: &[(At, Layer)],
    race_end_s: f64,
    clock: &RaceClock,
    span: Option<Span>,
    notes: &mut Notes,
) -> bool {
    let firsts = layers.iter().filter_map(|(_, l)| l.hours.first());
    let lasts = layers.iter().filter_map(|(_, l)| l.hours.last());
    let (firsts, lasts) = (firsts.map(|h| h.0), lasts.map(|h| h.0));
    let (earliest, latest) = (
        firsts.clone().reduce(f64::min),
        lasts.clone().reduce(f64::max),
    );
    // Each place and height is held constant outside its own hours.
    let (Some(earliest), Some(latest), Some(begin), Some(end)) = (
        earliest,
        latest,
        firsts.reduce(f64::max),
        lasts.reduce(f64::min),
    ) else {
        return false;
    };
    let shown = |elapsed_s: f64| {
        let at = clock.at(Elapsed::from_s(elapsed_s));
        format!(
            "{} {}",
            crate::time::day_name(&at),
            at.format("%Y-%m-%d %H:%M")
        )
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
fn assemble(course: &Course, mut layers: Vec<(At, Layer)>) -> Option<Forecast> {
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
        return sites.pop().map(Forecast::everywhere);
    }
    let site_of = |place: usize| keys.iter().position(|key| *key == At::Place(place));
    let stops: Vec<(f64, usize)> = course
        .stations
        .iter()
        .filter_map(|station| Some((station.distance_m, site_of(station.place)?)))
        .collect();
    (!stops.is_empty()).then_some(Forecast { sites, stops })
}

fn start_elevation_m(course: &Course) -> f64 {
    let of_station = course.stations.first().map(|s| s.elevation_m);
    let of_profile = || course.profile.elevation_m.first().copied();
    of_station.or_else(of_profile).unwrap_or(0.0)
}

fn place_elevation_m(course: &Course, place: usize) -> f64 {
    let visit = course.stations.iter().find(|s| s.place == place);
    visit.map_or_else(|| start_elevation_m(course), |s| s.elevation_m)
}
