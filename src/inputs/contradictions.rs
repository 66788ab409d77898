//! Contradictions of what is right line by line: orders, totals and times that contradict each
//! other. Names that one file uses and another lacks are looked up in [`super::mentions`].

use crate::diagnostics::{Diagnostic, Notes, Severity, Sources, Span};
use crate::time::{WallTime, on_the_wall};
use crate::words::{folded, listed_with};

use super::said::Said;
use super::stations_csv::StationRow;
use super::surfaces_csv::SurfaceRow;
use super::values::quoted;
use super::{CourseFile, CrewFile, Inputs, cutoff_order, limits, mentions, plausible};

/// Distances less apart than this are the same: tables are written to the metre at best.
const SAME_M: f64 = 0.5;

/// Checks every file against the others. `routed` says whether there is anything to take the
/// names of stations from.
pub(super) fn check(inputs: &Inputs, routed: bool, sources: &Sources, notes: &mut Notes) {
    // What was said about each file alone tells where names and times may be missing.
    let mut all = notes.clone();
    between_files(inputs, routed, sources, &mut all);
    let found = all.all().get(notes.all().len()..).unwrap_or_default();
    let (shown, left) = found.split_at(found.len().min(limits::PROBLEMS_SHOWN));
    shown.iter().for_each(|problem| notes.push(problem.clone()));
    if let Some(severity) = left.iter().map(|problem| problem.severity).max() {
        notes.push(Diagnostic {
            severity,
            ..Diagnostic::error(format!("{} more contradictions", left.len()))
        });
    }
}

fn between_files(inputs: &Inputs, routed: bool, sources: &Sources, notes: &mut Notes) {
    let said = Said::new(sources);
    clock(&inputs.course, notes);
    plausible::check(inputs, notes);
    stations(&inputs.stations, &said, notes);
    beyond_the_end(inputs, &said, notes);
    cutoff_order::check(&inputs.stations, &inputs.course, &said, notes);
    surfaces(&inputs.surfaces, &said, notes);
    twice(inputs, &said, notes);
    if let Some(crew) = &inputs.crew {
        drives(crew, &said, notes);
    }
    mentions::check(inputs, routed, sources, notes);
}

fn clock(course: &CourseFile, notes: &mut Notes) {
    let written = course.start.and_then(|start| start.span);
    let written = written.or(course.timezone.and_then(|zone| zone.span));
    let mut spoilt = notes.all().iter().filter(|p| p.severity == Severity::Error);
    // What could not be read is not missing.
    if spoilt.any(|p| p.at.map(|span| span.file) == written.map(|span| span.file)) {
        return;
    }
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
                format!("expected at most {}", said.distance(total.value, here.span)),
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
                .at(row.span, format!("expected at most {all}"))
                .hint("the course's length is `official_distance` in `course.toml`"),
        );
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
    // an hour that the clocks show twice may have a row for each time
    let zone = inputs.course.timezone.as_ref().map(|zone| zone.value);
    let mut met = std::collections::BTreeMap::new();
    let hours = inputs.weather.iter().map(|row| {
        let place = row.place.as_deref().map(folded);
        let key = (row.time, place, row.elevation_m.map(f64::to_bits));
        let before: u32 = *met.entry(key.clone()).and_modify(|n| *n += 1).or_insert(0);
        let shown_twice =
            zone.is_some_and(|z| matches!(on_the_wall(row.time, z), WallTime::Twice(..)));
        ((key, if shown_twice { before.min(1) } else { 0 }), row)
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
        let ends = listed_with(&[&drive.from.value, &drive.to.value], "and");
        let line = said.line(first.from.span);
        notes.push(
            Diagnostic::error(format!("the drive between {ends} is listed twice"))
                .at(drive.from.span, format!("expected once, as on line {line}"))
                .hint("one entry covers both directions"),
        );
    }
}
