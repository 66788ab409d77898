//! Rows with coordinates: whether they are on the route, and which of its passes they mean.

use crate::diagnostics::{Diagnostic, Notes, Span};

use super::StationRole;
use super::assign::{APART_M, Visit, assign};
use super::draft::{AT_END_M, Draft, NEAR_M, TOO_FAR_M};
use super::route::Route;
use super::snap::{Pass, passes};
use super::words::km;

/// Another pass nearer than this along the route is not worth a word, metres: bends at a station.
const SAME_VISIT_M: f64 = 500.0;
/// A pass farther off than the meant one by more than this is on another path, metres.
const OTHER_PATH_M: f64 = 40.0;

/// Assigns rows with coordinates to passes of the route.
pub(super) fn snap(drafts: &mut [Draft<'_>], route: &Route, end_m: f64, notes: &mut Notes) {
    let length_m = route.length_m();
    let scale = length_m / end_m;
    let mut which = Vec::new();
    let mut visits = Vec::new();
    for i in 0..drafts.len() {
        let draft = &drafts[i];
        let (StationRole::Between(_), Some(position_deg)) = (draft.role, draft.position_deg) else {
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

/// True where coordinates may be used; far ones give way to a listed distance, wrong ones are said.
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

/// The mistake of a list that does not tell which of two passes is meant.
fn say_ambiguous(
    draft: &Draft<'_>,
    visit: &Visit,
    chosen: &[Option<Pass>],
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
        .filter(|p| {
            (p.along_m - meant.along_m).abs() > SAME_VISIT_M && p.off_m < meant.off_m + OTHER_PATH_M
        })
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
