//! Stations from the organiser's list: which rows are start and finish, where the rows with
//! coordinates touch the route, and where the others lie between them.

use crate::diagnostics::{Diagnostic, Notes, Span};
use crate::inputs::Inputs;
use crate::inputs::StationRow;

use super::Role;
use super::assign::{APART_M, Visit, assign};
use super::geodesy::Spot;
use super::place::{AT_END_M, Draft, NEAR_M, TOO_FAR_M};
use super::route::Route;
use super::snap::passes;
use super::words::km;

/// A last row at this share of the course or more is the finish: nobody runs a station there.
const FINISH_SHARE: f64 = 0.995;
/// The organiser's count may exceed the route file by this and the last row still be the finish.
const BEYOND: f64 = 1.03;
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
        first.role = Role::Start;
        first.official_m = Some(0.0);
        first.route_m = Some(0.0);
    }
    let mut official_m = given_m;
    let last = drafts.last_mut().filter(|d| d.role != Role::Start);
    if let Some(last) = last.filter(|d| is_finish(d, given_m, route)) {
        last.role = Role::Finish;
        official_m = given_m.or(last.official_m);
        say_two_lengths(last, given_m, notes);
        last.official_m = official_m;
        last.route_m = Some(route.length_m());
    }
    let end_m = official_m.unwrap_or(route.length_m());
    check_distances(&drafts, end_m, official_m.is_some(), notes);
    snap(&mut drafts, route, end_m, notes);
    List { drafts, official_m }
}

fn named(draft: &Draft<'_>, name: &str) -> bool {
    draft.name.trim().eq_ignore_ascii_case(name)
}

fn is_start(draft: &Draft<'_>, route: &Route) -> bool {
    named(draft, "start")
        || match draft.official_m {
            Some(m) => m <= 0.0,
            None => near_spot(draft, route.spots.first()),
        }
}

fn is_finish(draft: &Draft<'_>, given_m: Option<f64>, route: &Route) -> bool {
    let end_m = given_m.unwrap_or(route.length_m());
    named(draft, "finish")
        || match draft.official_m {
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
            Role::Start => {
                before = Some((&draft.name, m));
                continue;
            }
            Role::Finish => break, // the rows before it are compared with the end
            Role::Between(_) => {}
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
    if let Some(last) = drafts.last()
        && let (Role::Between(_), Some(m), false) = (last.role, last.official_m, end_is_official)
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

/// Assigns rows with coordinates to passes of the route.
fn snap(drafts: &mut [Draft<'_>], route: &Route, end_m: f64, notes: &mut Notes) {
    let length_m = route.length_m();
    let scale = length_m / end_m;
    let mut which = Vec::new();
    let mut visits = Vec::new();
    for i in 0..drafts.len() {
        let draft = &drafts[i];
        let (Role::Between(_), Some(position_deg)) = (draft.role, draft.position_deg) else {
            continue;
        };
        let mut found = passes(route, position_deg, NEAR_M);
        if !is_near_enough(draft, found.first().map(|p| p.off_m), notes) {
            continue;
        }
        let inside = |m: f64, from_m: f64| (from_m..=length_m - from_m).contains(&m);
        // The ends have their own rows: a visit there is another lap's, where there is one.
        let on_the_way = found.iter().any(|p| inside(p.along_m, AT_END_M));
        let from_m = if on_the_way { AT_END_M } else { APART_M };
        found.retain(|p| inside(p.along_m, from_m));
        if !on_the_way && draft.official_m.is_none() {
            say_at_end(draft, notes);
            continue;
        }
        if found.is_empty() {
            continue; // its distance places it
        }
        let listed_m = |d: &Draft<'_>| d.official_m.map(|m| (m * scale).clamp(0.0, length_m));
        let before_m = drafts[..=i].iter().rev().find_map(listed_m);
        let after_m = drafts[i..].iter().find_map(listed_m);
        which.push(i);
        visits.push(Visit {
            passes: found,
            expected_m: (before_m.unwrap_or(0.0), after_m.unwrap_or(length_m)),
        });
    }
    let chosen = assign(&visits, length_m);
    for (k, i) in which.iter().enumerate() {
        drafts[*i].route_m = chosen[k].map(|pass| pass.along_m);
        if chosen[k].is_none() {
            say_no_order(&drafts[*i], &visits[k], notes);
        }
    }
    for (k, i) in which.iter().enumerate() {
        say_ambiguous(&drafts[*i], &visits[k], &chosen, k, length_m, notes);
    }
}

/// Whether coordinates may be used; far ones give way to a listed distance, wrong ones are said.
fn is_near_enough(draft: &Draft<'_>, off_m: Option<f64>, notes: &mut Notes) -> bool {
    let Some(off_m) = off_m else { return false };
    let at: Option<Span> = draft
        .row
        .and_then(|r| r.position.as_ref())
        .and_then(|p| p.span);
    if off_m <= NEAR_M {
        return true;
    }
    if off_m > TOO_FAR_M {
        notes.push(
            Diagnostic::error(format!(
                "station `{}` lies {} from the route",
                draft.name,
                km(off_m)
            ))
            .at(
                at.or(draft.span),
                format!("expected at most {}", km(TOO_FAR_M)),
            )
            .hint("check latitude and longitude, their order and sign, or give a distance instead"),
        );
        return false;
    }
    let listed = draft.official_m.is_some();
    let used = if listed {
        "its distance is used"
    } else {
        "the nearest point is used"
    };
    notes.push(
        Diagnostic::warning(format!(
            "station `{}` lies {off_m:.0} m from the route, and {used}",
            draft.name
        ))
        .at(at.or(draft.span), format!("expected at most {NEAR_M:.0} m"))
        .hint("check latitude and longitude"),
    );
    !listed
}

/// A row at an end of the route that is neither its start nor its finish.
fn say_at_end(draft: &Draft<'_>, notes: &mut Notes) {
    notes.push(
        Diagnostic::error(format!(
            "station `{}` lies where the route starts or ends, but is not the first or last row",
            draft.name
        ))
        .at(
            draft.span,
            format!("expected a station more than {AT_END_M:.0} m on the way"),
        )
        .hint("make it the first or the last row, give it a distance, or leave it out"),
    );
}

fn say_no_order(draft: &Draft<'_>, visit: &Visit, notes: &mut Notes) {
    let where_m: Vec<String> = visit.passes.iter().map(|p| km(p.along_m)).collect();
    notes.push(
        Diagnostic::error(format!(
            "station `{}` fits nowhere between its neighbours in the list: the route passes it at {}",
            draft.name,
            where_m.join(", ")
        ))
        .at(draft.span, "expected stations in course order")
        .hint("move the row, write one row for each visit, or correct its coordinates"),
    );
}

/// Where nothing in the list tells which of two passes is meant.
fn say_ambiguous(
    draft: &Draft<'_>,
    visit: &Visit,
    chosen: &[Option<super::snap::Pass>],
    k: usize,
    length_m: f64,
    notes: &mut Notes,
) {
    let (Some(meant), None) = (chosen[k], draft.official_m) else {
        return;
    };
    let from_m = chosen[..k]
        .iter()
        .rev()
        .flatten()
        .next()
        .map_or(0.0, |p| p.along_m);
    let to_m = chosen[k + 1..]
        .iter()
        .flatten()
        .next()
        .map_or(length_m, |p| p.along_m);
    let (from_m, to_m) = (from_m.max(visit.expected_m.0), to_m.min(visit.expected_m.1));
    let others: Vec<String> = (visit.passes.iter())
        .filter(|p| p.along_m > from_m + APART_M && p.along_m < to_m - APART_M)
        .filter(|p| (p.along_m - meant.along_m).abs() > 500.0 && p.off_m < meant.off_m + 40.0)
        .map(|p| km(p.along_m))
        .collect();
    if !others.is_empty() {
        notes.push(
            Diagnostic::warning(format!(
                "the route passes `{}` at {} and again at {}; the visit is taken to be at {}",
                draft.name,
                km(meant.along_m),
                others.join(", "),
                km(meant.along_m)
            ))
            .at(draft.span, "expected one row for each visit, or a distance")
            .hint("add a distance to the row, or a row for each visit"),
        );
    }
}

impl<'a> Draft<'a> {
    fn of_row(row: &'a StationRow) -> Draft<'a> {
        let name = row.name.value.clone();
        let place = if row.place.trim().is_empty() {
            name.clone()
        } else {
            row.place.clone()
        };
        Draft {
            name,
            place,
            role: Role::Between(row.kind),
            row: Some(row),
            span: row.span.or(row.name.span),
            official_m: row
                .distance_m
                .as_ref()
                .map(|d| d.value)
                .filter(|m| m.is_finite()),
            route_m: None,
            position_deg: row.position.as_ref().map(|p| p.value),
        }
    }

    fn distance_span(&self) -> Option<Span> {
        let distance = self.row.and_then(|r| r.distance_m.as_ref());
        distance.and_then(|d| d.span).or(self.span)
    }
}
