//! Stations from the waypoints of a route file, where there is no list: they have no order, so the
//! route orders them, and one that it passes again is visited again.

use crate::diagnostics::{Diagnostic, Notes};
use crate::inputs::Inputs;
use crate::inputs::stations_csv::StationKind;

use super::StationRole;
use super::assign::APART_M;
use super::draft::{AT_END_M, Draft, NEAR_M, TOO_FAR_M};
use super::route::Route;
use super::snap::{Pass, passes};
use super::words::km;

/// Passes nearer to each other along the route than this are one visit: a spur to the station, or
/// the bends around it.
const ONE_VISIT_M: f64 = 500.0;
/// A pass farther off than the nearest one by more than this goes by on another path.
const OTHER_PATH_M: f64 = 40.0;

/// Drafts in course order, without start and finish where no waypoint is there.
pub(super) fn drafts<'a>(inputs: &Inputs, route: &Route, notes: &mut Notes) -> Vec<Draft<'a>> {
    let visits = visits(inputs, route, notes);
    let last = visits.len().saturating_sub(1);
    let mut drafts: Vec<Draft<'a>> = Vec::new();
    for (i, (pass, index)) in visits.iter().enumerate() {
        let waypoint = &inputs.track.waypoints[*index];
        let role = if i == 0 && pass.along_m <= AT_END_M {
            StationRole::Start
        } else if i == last && pass.along_m >= route.length_m() - AT_END_M {
            StationRole::Finish
        } else {
            StationRole::Between(StationKind::Checkpoint)
        };
        let along_m = match role {
            StationRole::Start => 0.0,
            StationRole::Finish => route.length_m(),
            StationRole::Between(_) => pass.along_m,
        };
        let before = drafts.last().map(|d| d.route_m.unwrap_or(0.0));
        let crowded = before.is_some_and(|m| along_m - m < APART_M)
            || matches!(role, StationRole::Between(_))
                && !(APART_M..=route.length_m() - APART_M).contains(&along_m);
        if crowded {
            notes.push(
                Diagnostic::warning(format!(
                    "waypoint `{}` is where another one or an end of the route is, and is left out",
                    waypoint.name.value
                ))
                .at(waypoint.name.span, "expected another place"),
            );
            continue;
        }
        drafts.push(Draft {
            name: waypoint.name.value.clone(),
            place: waypoint.name.value.clone(),
            role,
            row: None,
            span: waypoint.name.span,
            official_m: None,
            route_m: Some(along_m),
            position_deg: Some((waypoint.lat, waypoint.lon)),
        });
    }
    drafts
}

/// Every visit to every waypoint, in the order of the route.
fn visits(inputs: &Inputs, route: &Route, notes: &mut Notes) -> Vec<(Pass, usize)> {
    let mut visits: Vec<(Pass, usize)> = Vec::new();
    for (index, waypoint) in inputs.track.waypoints.iter().enumerate() {
        let found = passes(route, (waypoint.lat, waypoint.lon), NEAR_M);
        let nearest_m = found.iter().map(|p| p.off_m).fold(f64::INFINITY, f64::min);
        let name = &waypoint.name;
        if !(0.0..=TOO_FAR_M).contains(&nearest_m) {
            notes.push(
                Diagnostic::warning(format!(
                    "waypoint `{}` is not on the route and is left out",
                    name.value
                ))
                .at(
                    name.span,
                    format!("expected at most {} from the route", km(TOO_FAR_M)),
                ),
            );
            continue;
        }
        if nearest_m > NEAR_M {
            notes.push(
                Diagnostic::warning(format!(
                    "waypoint `{}` is {nearest_m:.0} m from the route, and its nearest point is used",
                    name.value
                ))
                .at(name.span, format!("expected at most {NEAR_M:.0} m from the route")),
            );
        }
        let near = found
            .into_iter()
            .filter(|p| p.off_m <= nearest_m + OTHER_PATH_M);
        visits.extend(one_per_visit(near).into_iter().map(|pass| (pass, index)));
    }
    visits.sort_by(|a, b| a.0.along_m.total_cmp(&b.0.along_m).then(a.1.cmp(&b.1)));
    visits
}

/// Of passes close together along the route only the nearest to the position.
fn one_per_visit(near: impl Iterator<Item = Pass>) -> Vec<Pass> {
    let mut visits: Vec<Pass> = Vec::new();
    let mut last_m = f64::NEG_INFINITY;
    for pass in near {
        match visits.last_mut() {
            Some(visit) if pass.along_m - last_m < ONE_VISIT_M => {
                if pass.off_m < visit.off_m {
                    *visit = pass;
                }
            }
            _ => visits.push(pass),
        }
        last_m = pass.along_m;
    }
    visits
}
