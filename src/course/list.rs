//! Stations from the organiser's list: which rows are start and finish, how long the course is by
//! its count, and whether its distances make sense.

use crate::diagnostics::{Diagnostic, Notes};
use crate::inputs::Inputs;
use crate::inputs::stations_csv::is_finish_word;
use crate::words::same_name;

use super::StationRole;
use super::assign::APART_M;
use super::coordinates::snap;
use super::draft::{AT_END_M, Draft};
use super::geodesy::Spot;
use super::route::Route;
use super::words::km;

/// A last row at this share of the course or more is the finish: nobody runs a station there.
const FINISH_SHARE: f64 = 0.995;
/// ... and this share where its coordinates are those of the route's end.
const FINISH_SHARE_THERE: f64 = 0.95;
/// The organiser's count may exceed the route file by this and the last row still be the finish.
const BEYOND: f64 = 1.10;
/// ... and from this share on where its name says so.
const NAMED_SHARE: f64 = 0.9;
/// A last row from this share on that is not the finish is pointed out.
const NEARLY_FINISH_SHARE: f64 = 0.97;

/// The list's rows with their ends told.
pub(super) struct List<'a> {
    pub(super) drafts: Vec<Draft<'a>>,
    /// The organiser's length, from the course's settings or the finish row.
    pub(super) official_m: Option<f64>,
}

/// Reads start, finish and official length out of the list and snaps rows to the route.
pub(super) fn read<'a>(inputs: &'a Inputs, route: &Route, notes: &mut Notes) -> List<'a> {
    let given_m = (inputs.course.official_distance_m.as_ref())
        .map(|d| d.value)
        .filter(|m| m.is_finite() && *m > 0.0);
    let mut drafts: Vec<Draft<'a>> = inputs.stations.iter().map(Draft::of_row).collect();
    if let Some(first) = drafts.first_mut().filter(|d| is_start(d, route)) {
        first.role = StationRole::Start;
        first.official_m = Some(0.0);
        first.route_m = Some(0.0);
    }
    let mut official_m = given_m;
    let last = drafts.last_mut().filter(|d| d.role != StationRole::Start);
    if let Some(last) = last.filter(|d| is_finish(d, given_m, route)) {
        last.role = StationRole::Finish;
        official_m = given_m.or(last.official_m);
        say_two_lengths(last, given_m, notes);
        last.official_m = official_m;
        last.route_m = Some(route.length_m());
    }
    let end_m = official_m.unwrap_or(route.length_m());
    check_distances(&drafts, end_m, official_m.is_some(), notes);
    say_nearly_finish(&drafts, end_m, official_m.is_some(), notes);
    snap(&mut drafts, route, end_m, notes);
    List { drafts, official_m }
}

fn named(draft: &Draft<'_>, name: &str) -> bool {
    same_name(&draft.name, name)
}

fn is_start(draft: &Draft<'_>, route: &Route) -> bool {
    named(draft, "start")
        || match draft.official_m {
            Some(m) => m <= 0.0 && !named(draft, "finish"),
            None => near_spot(draft, route.spots.first()),
        }
}

fn is_finish(draft: &Draft<'_>, given_m: Option<f64>, route: &Route) -> bool {
    let end_m = given_m.unwrap_or(route.length_m());
    let near = |m: f64| (NAMED_SHARE * end_m..=BEYOND * end_m).contains(&m);
    let mut words = draft.name.split(|c: char| !c.is_alphanumeric());
    let worded = words.any(is_finish_word);
    named(draft, "finish")
        || worded && draft.official_m.is_some_and(near)
        || match draft.official_m {
            Some(m) if near_spot(draft, route.spots.last()) => {
                (FINISH_SHARE_THERE * end_m..=BEYOND * end_m).contains(&m)
            }
            Some(m) => (FINISH_SHARE * end_m..=BEYOND * end_m).contains(&m),
            None => near_spot(draft, route.spots.last()),
        }
}

fn near_spot(draft: &Draft<'_>, spot: Option<&Spot>) -> bool {
    match (draft.position_deg, spot) {
        (Some(deg), Some(spot)) => Spot::new(deg).chord_m(spot) <= AT_END_M,
        _ => false,
    }
}

fn say_two_lengths(finish: &Draft<'_>, given_m: Option<f64>, notes: &mut Notes) {
    if let (Some(listed_m), Some(given_m)) = (finish.official_m, given_m)
        && (listed_m - given_m).abs() > (1.0 - FINISH_SHARE) * given_m
    {
        notes.push(
            Diagnostic::warning(format!(
                "the list ends at {}, but the course's official distance is {}, which is used",
                km(listed_m),
                km(given_m)
            ))
            .at(finish.distance_span(), format!("expected {}", km(given_m)))
            .hint("correct one of them"),
        );
    }
}

/// Distances must rise from row to row and end before the finish.
fn check_distances(drafts: &[Draft<'_>], end_m: f64, end_is_official: bool, notes: &mut Notes) {
    let mut before: Option<(&str, f64)> = None;
    for draft in drafts {
        let Some(m) = draft.official_m else { continue };
        match draft.role {
            StationRole::Start => {
                before = Some((&draft.name, m));
                continue;
            }
            StationRole::Finish => break, // the rows before it are compared with the end
            StationRole::Between(_) => {}
        }
        let at = draft.distance_span();
        if m >= end_m {
            let hint = if end_is_official {
                "correct the distance or the official length of the course"
            } else {
                "correct the distance and its unit, set `official_distance_km` in `course.toml` if the organiser counts more than the route file, or `laps` if it is run several times"
            };
            notes.push(
                Diagnostic::error(format!(
                    "station `{}` ({}) is not before the end of the course ({})",
                    draft.name,
                    km(m),
                    km(end_m)
                ))
                .at(at, format!("expected less than {}", km(end_m)))
                .hint(hint),
            );
        }
        if let Some((name, before_m)) = before
            && m - before_m < APART_M
        {
            notes.push(
                Diagnostic::error(format!(
                    "station `{}` ({}) is listed after `{name}` ({})",
                    draft.name,
                    km(m),
                    km(before_m)
                ))
                .at(at, format!("expected more than {}", km(before_m)))
                .hint("stations go in course order; swap the rows, or correct the distance"),
            );
            continue; // the ones after it are compared with the row before it
        }
        before = Some((&draft.name, m));
    }
}

/// A list that stops a little short of the route probably ends with the finish.
fn say_nearly_finish(drafts: &[Draft<'_>], end_m: f64, end_is_official: bool, notes: &mut Notes) {
    if let Some(last) = drafts.last()
        && let (StationRole::Between(_), Some(m), false) =
            (last.role, last.official_m, end_is_official)
        && (NEARLY_FINISH_SHARE * end_m..end_m).contains(&m)
    {
        notes.push(
            Diagnostic::warning(format!(
                "`{}` is taken as a station {} before the finish",
                last.name,
                km(end_m - m)
            ))
            .at(last.distance_span(), format!("expected {} for the finish", km(end_m)))
            .hint("if it is the finish, name it `Finish`, or set `official_distance_km` in `course.toml`"),
        );
    }
}
