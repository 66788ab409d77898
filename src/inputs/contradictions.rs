//! What is right line by line and wrong as a whole: orders, totals and times that contradict each
//! other. Names that one file uses and another lacks are looked up in [`super::mentions`].

use chrono::{TimeDelta, Timelike};

use crate::diagnostics::{Diagnostic, Notes, Sources, Span};
use crate::time::{WallTime, on_the_wall};

use super::stations_csv::{Cutoff, StationRow};
use super::surfaces_csv::SurfaceRow;
use super::values::{folded, joined, quoted};
use super::{CourseFile, CrewFile, Inputs, limits, mentions};

/// Distances less apart than this are the same: tables are written to the metre at best.
const SAME_M: f64 = 0.5;

/// Checks every file against the others. `routed` says whether there is anything to take the
/// names of stations from.
pub(super) fn check(inputs: &Inputs, routed: bool, sources: &Sources, notes: &mut Notes) {
    let said = Said { sources };
    clock(&inputs.course, notes);
    stations(&inputs.stations, &said, notes);
    beyond_the_end(inputs, &said, notes);
    cutoffs(&inputs.stations, &inputs.course, &said, notes);
    surfaces(&inputs.surfaces, &said, notes);
    twice(inputs, &said, notes);
    if let Some(crew) = &inputs.crew {
        drives(crew, &said, notes);
    }
    mentions::check(inputs, routed, sources, notes);
}

/// The texts, to quote what stands in them.
struct Said<'s> {
    sources: &'s Sources,
}

impl Said<'_> {
    fn line(&self, span: Option<Span>) -> usize {
        span.map_or(0, |span| self.sources.position(span).0)
    }

    fn words(&self, span: Option<Span>) -> &str {
        span.and_then(|span| self.sources.get(span.file).text.get(span.start..span.end))
            .unwrap_or_default()
            .trim()
    }

    /// A distance in the unit its column is headed with.
    fn distance(&self, metres: f64, span: Option<Span>) -> String {
        let text = span.map_or("", |span| &self.sources.get(span.file).text);
        let head = text
            .lines()
            .find(|line| !line.starts_with('#') && !line.trim().is_empty());
        let head = head.unwrap_or_default().to_lowercase();
        let headed = |name: &str| {
            head.split(&[',', ';', '\t']).any(|cell| {
                cell.trim_matches(|c: char| c.is_whitespace() || c == '"' || c == '\u{feff}')
                    .ends_with(name)
            })
        };
        let units = limits::STATION_DISTANCE.units;
        let named = units
            .iter()
            .find(|unit| headed(&format!("_{}", unit.suffix)));
        let number = |unit: &limits::Unit| (unit.from_record(metres) * 1000.0).round() / 1000.0;
        named
            .or(units.first())
            .map_or_else(String::new, |unit| unit.show(number(unit)))
    }
}

fn clock(course: &CourseFile, notes: &mut Notes) {
    match (&course.start, &course.timezone) {
        (Some(start), None) => notes.push(
            Diagnostic::error("`start` says a time and nothing says in which zone")
                .at(start.span, "expected a `timezone` beside it")
                .hint("add a line such as `timezone = \"Europe/Vienna\"`"),
        ),
        (None, Some(zone)) => notes.push(
            Diagnostic::warning("`timezone` without a `start`")
                .at(zone.span, "expected a `start` beside it")
                .hint("without one there are no clock times and no daylight"),
        ),
        _ => {}
    }
}

/// Stations with an official distance go in course order.
fn stations(rows: &[StationRow], said: &Said<'_>, notes: &mut Notes) {
    let mut before: Option<&StationRow> = None;
    for row in rows {
        if let (Some(before), Some(here)) = (before, row.distance_m) {
            let there = before.distance_m.map_or(0.0, |there| there.value);
            if here.value < there - SAME_M {
                notes.push(out_of_order(before, row, said));
            } else if here.value < there + SAME_M {
                notes.push(same_spot(before, row, said));
            }
        }
        if row.distance_m.is_some() {
            before = Some(row);
        }
    }
    for pair in rows.windows(2) {
        let [a, b] = pair else { continue };
        let unmeasured = a.distance_m.is_none() && b.distance_m.is_none();
        let same_position = a.position.map(|p| p.value) == b.position.map(|p| p.value);
        if unmeasured && same_position && a.position.is_some() {
            notes.push(same_spot(a, b, said));
        }
    }
}

fn out_of_order(first: &StationRow, second: &StationRow, said: &Said<'_>) -> Diagnostic {
    let distance = |row: &StationRow| {
        let spanned = row.distance_m;
        spanned.map_or_else(String::new, |d| said.distance(d.value, d.span))
    };
    let (line, next) = (said.line(first.span), said.line(second.span));
    let swap = if next == line + 1 {
        format!("swap lines {line} and {next}, or correct the distance")
    } else {
        format!("put line {next} before line {line}, or correct the distance")
    };
    Diagnostic::error(format!(
        "station {} ({}) is listed before {} ({})",
        quoted(&first.name.value),
        distance(first),
        quoted(&second.name.value),
        distance(second)
    ))
    .at(
        first.distance_m.and_then(|d| d.span),
        format!("expected less than {}", distance(second)),
    )
    .hint(format!("stations go in course order; {swap}"))
}

fn same_spot(first: &StationRow, second: &StationRow, said: &Said<'_>) -> Diagnostic {
    let (name, other) = (&first.name.value, &second.name.value);
    let problem = if folded(name) == folded(other) {
        Diagnostic::error(format!("station {} is listed twice", quoted(name)))
    } else {
        let (name, other) = (quoted(name), quoted(other));
        Diagnostic::error(format!("stations {name} and {other} are at the same spot"))
    };
    let at = second.distance_m.and_then(|d| d.span);
    let at = at.or_else(|| second.position.and_then(|p| p.span));
    let expected = match first.distance_m {
        Some(d) => format!("expected more than {}", said.distance(d.value, d.span)),
        None => "expected another position".to_owned(),
    };
    problem.at(at, expected).hint(format!(
        "make one row of lines {} and {}, or correct one of them",
        said.line(first.span),
        said.line(second.span)
    ))
}

/// Nothing lies beyond the organiser's own length of the course.
fn beyond_the_end(inputs: &Inputs, said: &Said<'_>, notes: &mut Notes) {
    let Some(total) = inputs.course.official_distance_m else {
        return;
    };
    for row in &inputs.stations {
        let Some(here) = row.distance_m.filter(|d| d.value > total.value + SAME_M) else {
            continue;
        };
        let name = quoted(&row.name.value);
        let distance = said.distance(here.value, here.span);
        notes.push(
            Diagnostic::error(format!(
                "station {name} ({distance}) lies beyond the finish"
            ))
            .at(
                here.span,
                format!("expected up to {}", said.distance(total.value, here.span)),
            )
            .hint("the course's length is `official_distance` in `course.toml`"),
        );
    }
    for row in inputs
        .surfaces
        .iter()
        .filter(|row| row.to_m > total.value + SAME_M)
    {
        let (to, all) = (
            said.distance(row.to_m, row.span),
            said.distance(total.value, row.span),
        );
        notes.push(
            Diagnostic::error(format!("the stretch to {to} reaches beyond the finish"))
                .at(row.span, format!("expected up to {all}"))
                .hint("the course's length is `official_distance` in `course.toml`"),
        );
    }
}

/// Cutoffs as numbers that can be compared, where they are of the same sort.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Sort {
    SinceStart,
    OnTheWall,
    Instant,
    InTheWeek,
}

const WEEK_S: i64 = 7 * 86_400;

fn cutoffs(rows: &[StationRow], course: &CourseFile, said: &Said<'_>, notes: &mut Notes) {
    let mut before: Option<(&StationRow, Sort, i64)> = None;
    for row in rows {
        let Some(cutoff) = row.cutoff else { continue };
        let Some((sort, second)) = comparable(cutoff.value, course) else {
            before = None;
            continue;
        };
        if sort == Sort::Instant && start_s(course).is_some_and(|start| second <= start) {
            let name = quoted(&row.name.value);
            notes.push(
                Diagnostic::error(format!("the cutoff of {name} is not after the start")).at(
                    cutoff.span,
                    "expected a time after the `start` in `course.toml`",
                ),
            );
        }
        if let Some((earlier, _, limit)) = before.filter(|(_, s, _)| *s == sort) {
            // On a weekly dial only a short way back can be told from a long way on.
            let back = match sort {
                Sort::InTheWeek => (second - limit).rem_euclid(WEEK_S) > WEEK_S * 5 / 7,
                _ => second < limit,
            };
            if back {
                notes.push(backwards(earlier, row, said));
            }
        }
        before = Some((row, sort, second));
    }
}

fn backwards(earlier: &StationRow, row: &StationRow, said: &Said<'_>) -> Diagnostic {
    let span = |row: &StationRow| row.cutoff.and_then(|cutoff| cutoff.span);
    let limit = said.words(span(earlier));
    Diagnostic::error(format!(
        "the cutoff of {} ({}) is before that of {} ({limit})",
        quoted(&row.name.value),
        said.words(span(row)),
        quoted(&earlier.name.value),
    ))
    .at(span(row), format!("expected {limit} or later"))
    .hint("cutoffs go in course order; correct one of the two")
}

fn start_s(course: &CourseFile) -> Option<i64> {
    let (start, zone) = (course.start?.value, course.timezone?.value);
    wall_s(start, zone)
}

/// The earliest instant a time on the wall can mean.
fn wall_s(local: chrono::NaiveDateTime, zone: chrono_tz::Tz) -> Option<i64> {
    match on_the_wall(local, zone) {
        WallTime::Once(instant) | WallTime::Twice(instant, _) => Some(instant.timestamp()),
        WallTime::Never => None,
    }
}

fn comparable(cutoff: Cutoff, course: &CourseFile) -> Option<(Sort, i64)> {
    let zone = course.timezone.map(|zone| zone.value);
    match cutoff {
        Cutoff::Elapsed(elapsed) => Some(match start_s(course) {
            Some(start) => (Sort::Instant, start + elapsed.as_secs()),
            None => (Sort::SinceStart, elapsed.as_secs()),
        }),
        Cutoff::Local(local) => match zone {
            Some(zone) => wall_s(local, zone).map(|second| (Sort::Instant, second)),
            None => Some((Sort::OnTheWall, local.and_utc().timestamp())),
        },
        Cutoff::Instant(utc) => Some((Sort::Instant, utc.and_utc().timestamp())),
        Cutoff::Clock(Some(day), time) => {
            let days = TimeDelta::days(i64::from(day.num_days_from_monday()));
            let second = days.num_seconds() + i64::from(time.num_seconds_from_midnight());
            Some((Sort::InTheWeek, second))
        }
        Cutoff::Clock(None, _) => None,
    }
}

fn surfaces(rows: &[SurfaceRow], said: &Said<'_>, notes: &mut Notes) {
    let mut sorted: Vec<&SurfaceRow> = rows.iter().collect();
    sorted.sort_by(|a, b| a.from_m.total_cmp(&b.from_m));
    let mut furthest: Option<&SurfaceRow> = None;
    for row in sorted {
        if let Some(before) = furthest.filter(|before| row.from_m < before.to_m - SAME_M) {
            let show = |metres: f64| said.distance(metres, row.span);
            notes.push(
                Diagnostic::error(format!(
                    "the stretch from {} overlaps the one that ends at {}",
                    show(row.from_m),
                    show(before.to_m)
                ))
                .at(
                    row.span,
                    format!("expected to start at {} or later", show(before.to_m)),
                )
                .hint(format!(
                    "the other stretch is on line {}",
                    said.line(before.span)
                )),
            );
        }
        if furthest.is_none_or(|before| before.to_m < row.to_m) {
            furthest = Some(row);
        }
    }
}

/// Rows of which there can be only one.
fn twice(inputs: &Inputs, said: &Said<'_>, notes: &mut Notes) {
    let mut report = |what: String, span: Option<Span>, first: Option<Span>| {
        notes.push(Diagnostic::error(format!("{what} is listed twice")).at(
            span,
            format!("expected once, as on line {}", said.line(first)),
        ));
    };
    let foods = inputs
        .pantry
        .iter()
        .map(|food| (folded(&food.name.value), &food.name));
    for (name, first) in repeats(foods) {
        report(
            format!("food {}", quoted(&name.value)),
            name.span,
            first.span,
        );
    }
    let gear = inputs.gear.iter().map(|item| {
        let after = item.after.as_ref().map(|after| folded(&after.value));
        (
            (folded(&item.name.value), item.when as u8, after),
            &item.name,
        )
    });
    for (name, first) in repeats(gear) {
        report(
            format!("{} with the same `when`", quoted(&name.value)),
            name.span,
            first.span,
        );
    }
    let hours = inputs.weather.iter().map(|row| {
        let place = row.place.as_deref().map(folded);
        ((row.time, place, row.elevation_m.map(f64::to_bits)), row)
    });
    for (row, first) in repeats(hours) {
        let time = row.time.format("%Y-%m-%dT%H:%M");
        report(
            format!("the hour `{time}` of the same place"),
            row.span,
            first.span,
        );
    }
}

/// Each thing whose key was there before, with the first of that key.
fn repeats<K: Ord, T: Copy>(things: impl Iterator<Item = (K, T)>) -> Vec<(T, T)> {
    let mut seen = std::collections::BTreeMap::new();
    let mut repeats = Vec::new();
    for (key, thing) in things {
        match seen.get(&key) {
            Some(first) => repeats.push((thing, *first)),
            None => {
                seen.insert(key, thing);
            }
        }
    }
    repeats
}

fn drives(crew: &CrewFile, said: &Said<'_>, notes: &mut Notes) {
    for drive in &crew.drives {
        if folded(&drive.from.value) == folded(&drive.to.value) {
            notes.push(
                Diagnostic::error(format!(
                    "a drive from {} to itself",
                    quoted(&drive.from.value)
                ))
                .at(drive.to.span, "expected another place"),
            );
        }
    }
    let ways = crew.drives.iter().map(|drive| {
        let (from, to) = (folded(&drive.from.value), folded(&drive.to.value));
        ((from.clone().min(to.clone()), from.max(to)), drive)
    });
    for (drive, first) in repeats(ways) {
        let ends = joined(&[&drive.from.value, &drive.to.value], "and");
        let line = said.line(first.from.span);
        notes.push(
            Diagnostic::error(format!("the drive between {ends} is listed twice"))
                .at(drive.from.span, format!("expected once, as on line {line}"))
                .hint("a drive is good in both directions"),
        );
    }
}
