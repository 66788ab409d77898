//! Stations on the route: from drafts with an official distance, a place on the route or both, to
//! checked stations in course order and the places they visit.

use crate::diagnostics::{Diagnostic, Notes, Span};
use crate::inputs::stations_csv::{StationKind, StationRow, is_water};
use crate::inputs::{CourseFile, Inputs};
use crate::words::folded;

use super::assign::APART_M;
use super::draft::Draft;
use super::profile::Profile;
use super::route::Route;
use super::scale::Scale;
use super::words::km;
use super::{Place, Station, StationRole, list, marks, waypoints};

/// Official and route length of the way between two anchors may differ by this share ...
const ODD_SHARE: f64 = 0.25;
/// ... or by so many metres, before it is said.
const ODD_M: f64 = 1000.0;
/// Visits to one place lie within this, metres, before it is said.
const ONE_PLACE_M: f64 = 1500.0;

/// Stations and places, and how the two distances compare.
#[derive(Debug)]
pub(super) struct Placed {
    pub(super) stations: Vec<Station>,
    pub(super) places: Vec<Place>,
    pub(super) scale: Scale,
    pub(super) official_length_m: Option<f64>,
}

/// Puts start, stations and finish on the route; problems go to `notes`.
pub(super) fn place(
    route: &Route,
    profile: &Profile,
    inputs: &Inputs,
    notes: &mut Notes,
) -> Placed {
    let (mut drafts, official_length_m) = if inputs.stations.is_empty() {
        let given = inputs.course.official_distance_m.as_ref().map(|d| d.value);
        let drafts = if inputs.track.waypoints.is_empty() {
            marks::drafts(route.length_m())
        } else {
            waypoints::drafts(inputs, route, notes)
        };
        (drafts, given.filter(|m| m.is_finite() && *m > 0.0))
    } else {
        let list = list::read(inputs, route, notes);
        (list.drafts, list.official_m)
    };
    let end_m = official_length_m.unwrap_or(route.length_m());
    add_ends(&mut drafts, route.length_m());
    let scale = Scale {
        anchors: anchors(&drafts, end_m, route.length_m()),
    };
    say_odd_stretches(&drafts, &scale, notes);
    let lengths: Vec<(f64, f64)> = drafts.iter().map(|d| both_lengths(d, &scale)).collect();
    check_order(&drafts, &lengths, notes);
    say_one_lap_list(&drafts, &lengths, route, notes);
    let mut stations: Vec<Station> = (drafts.iter().zip(&lengths))
        .map(|(draft, lengths)| station(draft, *lengths, profile, &inputs.course, notes))
        .collect();
    let places = places(&drafts, &mut stations, notes);
    Placed {
        stations,
        places,
        scale,
        official_length_m,
    }
}

fn add_ends(drafts: &mut Vec<Draft<'_>>, length_m: f64) {
    let end = |role: StationRole, name: &str, route_m: f64| Draft {
        name: name.to_owned(),
        place: name.to_owned(),
        role,
        row: None,
        span: None,
        official_m: None,
        route_m: Some(route_m),
        position_deg: None,
    };
    if drafts.first().is_none_or(|d| d.role != StationRole::Start) {
        drafts.insert(0, end(StationRole::Start, "Start", 0.0));
    }
    if drafts.last().is_none_or(|d| d.role != StationRole::Finish) {
        drafts.push(end(StationRole::Finish, "Finish", length_m));
    }
}

/// Start, finish, and every station of which both distances are known and rise.
fn anchors(drafts: &[Draft<'_>], end_m: f64, length_m: f64) -> Vec<(f64, f64)> {
    let mut anchors = vec![(0.0, 0.0)];
    for draft in drafts {
        if let (StationRole::Between(_), Some(official_m), Some(route_m)) =
            (draft.role, draft.official_m, draft.route_m)
            && let Some(before) = anchors.last()
            && official_m >= before.0 + APART_M
            && route_m >= before.1 + APART_M
            && official_m <= end_m - APART_M
            && route_m <= length_m - APART_M
        {
            anchors.push((official_m, route_m));
        }
    }
    anchors.push((end_m, length_m));
    anchors
}

/// Official and route distance of a draft, metres.
fn both_lengths(draft: &Draft<'_>, scale: &Scale) -> (f64, f64) {
    match (draft.official_m, draft.route_m) {
        (Some(official_m), Some(route_m)) if matches!(draft.role, StationRole::Between(_)) => {
            (official_m, route_m)
        }
        (_, Some(route_m)) => (scale.official_m(route_m), route_m),
        (Some(official_m), None) => (official_m, scale.route_m(official_m)),
        (None, None) => (0.0, 0.0), // no order was found for it, which has been said
    }
}

fn say_odd_stretches(drafts: &[Draft<'_>], scale: &Scale, notes: &mut Notes) {
    for pair in scale.anchors.windows(2) {
        let (official_m, route_m) = (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1);
        let off_m = (official_m - route_m).abs();
        if scale.anchors.len() == 2 || off_m <= ODD_M || off_m <= ODD_SHARE * official_m {
            continue;
        }
        let name_at = |anchor: (f64, f64)| drafts.iter().find(|d| d.route_m == Some(anchor.1));
        let names = |anchor| name_at(anchor).map_or("", |d| d.name.as_str());
        notes.push(
            Diagnostic::warning(format!(
                "from `{}` to `{}` the organiser counts {}, the route file {}",
                names(pair[0]),
                names(pair[1]),
                km(official_m),
                km(route_m)
            ))
            .at(
                name_at(pair[1])
                    .or_else(|| name_at(pair[0]))
                    .and_then(|d| d.span),
                format!("expected about {}", km(route_m)),
            )
            .hint("check the distances and coordinates of both"),
        );
    }
}

fn check_order(drafts: &[Draft<'_>], lengths: &[(f64, f64)], notes: &mut Notes) {
    // Rows that are out of order by the list's own figures would only be said twice.
    let said = notes.has_errors();
    let mut before: Option<(&str, f64)> = None;
    for (draft, (_, route_m)) in drafts.iter().zip(lengths) {
        if draft.official_m.is_none() && draft.route_m.is_none() {
            if draft.position_deg.is_none() {
                notes.push(
                    Diagnostic::error(format!("nothing says where station `{}` is", draft.name))
                        .at(draft.span, "expected a distance, or latitude and longitude"),
                );
            }
            continue;
        }
        if let Some((name, before_m)) = before
            && route_m - before_m < APART_M
            && !said
        {
            // At the finish the row before it is the one that can be corrected.
            let at = if draft.span.is_some() {
                draft.span
            } else {
                span_of(drafts, name)
            };
            notes.push(
                Diagnostic::error(format!(
                    "`{}` falls at {} of the route, but `{name}`, listed before it, at {}",
                    draft.name,
                    km(*route_m),
                    km(before_m)
                ))
                .at(
                    at,
                    format!("expected at least {APART_M:.0} m between stations"),
                )
                .hint("swap the rows, correct the distance, or leave one of them out"),
            );
        }
        before = Some((&draft.name, *route_m));
    }
}

fn span_of(drafts: &[Draft<'_>], name: &str) -> Option<Span> {
    drafts
        .iter()
        .rev()
        .find(|d| d.name == name)
        .and_then(|d| d.span)
}

fn say_one_lap_list(
    drafts: &[Draft<'_>],
    lengths: &[(f64, f64)],
    route: &Route,
    notes: &mut Notes,
) {
    let (laps, lap_m) = route.laps;
    let last = (drafts.iter().zip(lengths))
        .rfind(|(d, _)| matches!(d.role, StationRole::Between(_)) && d.row.is_some());
    if let Some((draft, (_, route_m))) = last
        && laps > 1
        && *route_m < 1.05 * lap_m
    {
        notes.push(
            Diagnostic::warning(format!("the stations cover only the first of {laps} laps"))
                .at(draft.span, "expected stations on every lap")
                .hint("write a row for each visit, with its distance from the start"),
        );
    }
}

fn station(
    draft: &Draft<'_>,
    (official_m, route_m): (f64, f64),
    profile: &Profile,
    course: &CourseFile,
    notes: &mut Notes,
) -> Station {
    let row = draft.row;
    let stop = row.and_then(|r| r.stop_s.as_ref());
    let stops_here = matches!(draft.role, StationRole::Between(_));
    if let Some(stop) = stop.filter(|s| !stops_here && s.value > 0.0) {
        notes.push(
            Diagnostic::warning(format!("the stop at `{}` is left out", draft.name))
                .at(stop.span, "expected no stop at the start or the finish"),
        );
    }
    Station {
        name: draft.name.clone(),
        place: 0,
        visit: 1,
        role: draft.role,
        distance_m: route_m,
        official_m,
        elevation_m: profile.elevation_at_m(route_m),
        position_deg: draft
            .position_deg
            .unwrap_or_else(|| profile.position_at_deg(route_m)),
        cutoff: row.and_then(|r| {
            let cutoff = r.cutoff.as_ref()?;
            Some((
                cutoff.value,
                r.cutoff_on.unwrap_or(course.cutoffs_on),
                cutoff.span,
            ))
        }),
        crew: row.is_some_and(|r| r.crew),
        drop_bag: row.is_some_and(|r| r.drop_bag),
        pacer: row.is_some_and(|r| r.pacer),
        stop_s: stop.map(|s| s.value).filter(|_| stops_here),
        has_water: has_water(draft.role, row),
        offers: row.map(foods).unwrap_or_default(),
        span: draft.span,
    }
}

/// True where there is water: where the row names it, and at every start, aid station and water point.
/// A start that is only a checkpoint has none.
fn has_water(role: StationRole, row: Option<&StationRow>) -> bool {
    let Some(row) = row else {
        return role == StationRole::Start;
    };
    let by_kind = match row.kind {
        StationKind::Aid | StationKind::Water => role != StationRole::Finish,
        StationKind::Checkpoint | StationKind::CrewOnly => false,
    };
    by_kind || row.offers.iter().any(|offer| is_water(&offer.value))
}

/// Offers of a row besides water.
fn foods(row: &StationRow) -> Vec<String> {
    let names = row.offers.iter().map(|offer| offer.value.clone());
    names.filter(|name| !is_water(name)).collect()
}

/// Gathers visits under their places and numbers them.
fn places(drafts: &[Draft<'_>], stations: &mut [Station], notes: &mut Notes) -> Vec<Place> {
    let mut places: Vec<Place> = Vec::new();
    let mut by_key = std::collections::BTreeMap::new();
    for (i, draft) in drafts.iter().enumerate() {
        let index = *by_key.entry(folded(&draft.place)).or_insert_with(|| {
            places.push(Place {
                name: draft.place.trim().to_owned(),
                visits: Vec::new(),
            });
            places.len() - 1
        });
        let place = &mut places[index];
        if let Some(first) = place.visits.first() {
            let apart_m =
                super::distance_m(stations[*first].position_deg, stations[i].position_deg);
            if apart_m > ONE_PLACE_M {
                notes.push(
                    Diagnostic::warning(format!(
                        "two visits to `{}` lie {} apart",
                        place.name,
                        km(apart_m)
                    ))
                    .at(draft.span, "expected visits to one place at one spot")
                    .hint("give different places different names"),
                );
            }
        }
        place.visits.push(i);
        stations[i].place = index;
        stations[i].visit = place.visits.len() as u32;
    }
    places
}
