//! Forecast rows: which instant, place and height each is for.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDateTime};
use chrono_tz::Tz;

use crate::course::Course;
use crate::diagnostics::{Diagnostic, Notes, Span, did_you_mean};
use crate::inputs::WeatherRow;
use crate::time::{RaceClock, WallTime, on_the_wall};
use crate::words::same_name;

use super::Weather;
use super::usual::{USUAL_HUMIDITY_PCT, USUAL_WIND_KMH};

/// The place that a row's forecast is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum At {
    /// At a place, by its index.
    Place(usize),
    /// At a height anywhere on the course.
    Height,
}

/// Rows for one place and height, in file order.
pub(super) struct Series<'a> {
    pub(super) site: At,
    pub(super) elevation_m: f64,
    rows: Vec<&'a WeatherRow>,
}

impl Series<'_> {
    /// The rows' weather in order of time, seconds after the runner's start.
    pub(super) fn hours(&self, clock: &RaceClock, notes: &mut Notes) -> Vec<(f64, Weather)> {
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

/// Rows sorted out by place and height; those for places that the course does not have are said
/// once for each name.
pub(super) fn series_of<'a>(
    course: &Course,
    rows: &'a [WeatherRow],
    notes: &mut Notes,
) -> Vec<Series<'a>> {
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

/// Takes rows by height alone out where other rows are by place; the first such row is returned.
pub(super) fn drop_heights_among_places(series: &mut Vec<Series<'_>>) -> Option<Option<Span>> {
    let any_place = series.iter().any(|s| s.site != At::Height);
    let height = series.iter().find(|s| s.site == At::Height)?;
    let span = height.rows.first().and_then(|row| row.span);
    any_place.then(|| {
        series.retain(|s| s.site != At::Height);
        span
    })
}

/// The height of the start, metres.
pub(super) fn start_elevation_m(course: &Course) -> f64 {
    let of_station = course.stations.first().map(|s| s.elevation_m);
    let of_profile = || course.profile.elevation_m.first().copied();
    of_station.or_else(of_profile).unwrap_or(0.0)
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
        humidity_pct: row.humidity_pct.unwrap_or(USUAL_HUMIDITY_PCT),
        wind_kmh: row.wind_kmh.unwrap_or(USUAL_WIND_KMH),
        rain_mm_per_h: row.rain_mm_per_h,
        thunder: row.thunder,
        rain_chance_pct: None,
    }
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
    match did_you_mean(
        name,
        names.chain(course.stations.iter().map(|s| s.name.as_str())),
    ) {
        Some(hint) => problem.hint(hint),
        None => problem,
    }
}

/// The place with a name, or with a station of that name.
fn place_called(course: &Course, name: &str) -> Option<usize> {
    let place = course.places.iter().position(|p| same_name(&p.name, name));
    place.or_else(|| {
        course
            .stations
            .iter()
            .find(|s| same_name(&s.name, name))
            .map(|s| s.place)
    })
}

fn place_elevation_m(course: &Course, place: usize) -> f64 {
    let visit = course.stations.iter().find(|s| s.place == place);
    visit.map_or_else(|| start_elevation_m(course), |s| s.elevation_m)
}
