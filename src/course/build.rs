//! From records to a checked course, step by step.

use chrono::{DateTime, Duration};
use chrono_tz::Tz;

use crate::diagnostics::{Diagnostic, Notes};
use crate::inputs::{Inputs, zones};
use crate::time::{WallTime, on_the_wall};
use crate::words::count;

use super::profile::{MeasuredProfile, measure};
use super::route::Route;
use super::scale::Scale;
use super::words::km;
use super::{Course, RouteComparison, place, profile::Profile, segment};

/// Official and route length may differ by this before it is said.
const NOTABLE_RATIO: f64 = 0.03;
/// Route over official length beyond which the two are not of one course.
const SAME_COURSE: std::ops::RangeInclusive<f64> = 0.5..=2.0;

pub(super) fn build(inputs: &Inputs, all_notes: &mut Notes) -> Option<Course> {
    // Kept apart from what other stages found, so that only our own errors stop us.
    let mut notes = Notes::new();
    let course = course(inputs, &mut notes);
    let failed = notes.has_errors();
    all_notes.extend(notes);
    course.filter(|_| !failed)
}

fn course(inputs: &Inputs, notes: &mut Notes) -> Option<Course> {
    let official_start = official_start(inputs, notes);
    zone_of_the_place(inputs, notes);
    let lap = Route::lay(inputs, notes)?;
    let (route, measured) = measure(lap, inputs, notes)?;
    let MeasuredProfile {
        mut profile,
        sums,
        raw_m,
        filtered_m,
        repairs,
    } = measured;
    let placed = place::place(&route, &profile, inputs, notes);
    say_ratio(&route, placed.official_length_m, inputs, notes);
    lay_ground(&mut profile, &placed.scale, inputs, notes);
    if notes.has_errors() {
        return None;
    }
    Some(Course {
        name: name(inputs),
        origin: inputs.course.origin.clone(),
        official_start,
        segments: segment::segments(&profile, &sums, &placed.stations),
        profile,
        stations: placed.stations,
        places: placed.places,
        survey: RouteComparison {
            route_length_m: route.length_m(),
            jitter: route.jitter,
            official_length_m: placed.official_length_m,
            raw_climb_m: raw_m.0,
            raw_descent_m: raw_m.1,
            filtered_climb_m: filtered_m.0,
            filtered_descent_m: filtered_m.1,
            official_climb_m: inputs.course.official_climb_m.as_ref().map(|c| c.value),
            points: route.points_in_file,
            repairs,
        },
        mandatory_kit: inputs
            .course
            .mandatory_kit
            .iter()
            .map(|item| item.value.clone())
            .collect(),
        hand_in: inputs.course.hand_in.clone(),
        rules: inputs.course.rules.clone(),
    })
}

fn name(inputs: &Inputs) -> String {
    (inputs.course.name.iter().chain(&inputs.track.name))
        .map(|name| name.trim())
        .find(|name| !name.is_empty())
        .unwrap_or("Unnamed course")
        .to_owned()
}

/// The instant that the organiser's clock time means.
/// A zone whose clocks are hours off those of the place, or one that knows no summer time.
fn zone_of_the_place(inputs: &Inputs, notes: &mut Notes) {
    let (Some(start), Some(zone)) = (inputs.course.start, inputs.course.timezone) else {
        return;
    };
    let place = inputs.track.points.first();
    let Some(near) = place.and_then(|place| zones::nearest(place.lat, place.lon)) else {
        return;
    };
    let ahead_h = |zone| zones::ahead_h(zone, start.value);
    let off_h = ahead_h(zone.value) - ahead_h(near);
    let name = zone.value.name();
    // a neighbour's zone may be two hours off; one with summer time beside one without, one
    let fixed = !name.contains('/') || name.starts_with("Etc/");
    if off_h.abs() < if fixed { 0.4 } else { 2.6 } {
        return;
    }
    let side = if off_h > 0.0 { "ahead of" } else { "behind" };
    let why = if fixed {
        ": it is the same all year round"
    } else {
        ""
    };
    notes.push(
        Diagnostic::warning(format!(
            "`timezone` {} is {} h {side} the clocks near the route on {}{why}",
            format_args!("`{name}`"),
            off_h.abs(),
            start.value.date()
        ))
        .at(zone.span, "expected the zone of the start's place")
        .hint(format!("the nearest zone of the IANA list is `{near}`")),
    );
}

fn official_start(inputs: &Inputs, notes: &mut Notes) -> Option<DateTime<Tz>> {
    let start = inputs.course.start.as_ref()?;
    let Some(zone) = inputs.course.timezone.as_ref() else {
        notes.push(
            Diagnostic::warning("the start has no time zone, so no clock times can be given")
                .at(start.span, "expected a `timezone` beside it")
                .hint("add the zone of the race to `course.toml`, such as `timezone = \"Europe/Vienna\"`"),
        );
        return None;
    };
    let written = start.value.format("%Y-%m-%d %H:%M");
    match on_the_wall(start.value, zone.value) {
        WallTime::Once(instant) => Some(instant),
        WallTime::Twice(first, second) => {
            notes.push(
                Diagnostic::warning(format!(
                    "the clocks go back and show `{written}` twice; the first, {}, is taken",
                    first.format("%H:%M %Z")
                ))
                .at(
                    start.span,
                    format!(
                        "expected a time that comes once; the second is {}",
                        second.format("%H:%M %Z")
                    ),
                ),
            );
            Some(first)
        }
        WallTime::Never => {
            let after = start.value + Duration::hours(1);
            notes.push(
                Diagnostic::error(format!(
                    "the clocks in `{}` go forward past `{written}`",
                    zone.value.name()
                ))
                .at(start.span, "expected a time that the clocks show")
                .hint(format!(
                    "in the new time that is `{}`",
                    after.format("%Y-%m-%dT%H:%M")
                )),
            );
            None
        }
    }
}

fn say_ratio(route: &Route, official_m: Option<f64>, inputs: &Inputs, notes: &mut Notes) {
    let Some(official_m) = official_m else { return };
    let length_m = route.length_m();
    let ratio = length_m / official_m;
    if (ratio - 1.0).abs() <= NOTABLE_RATIO {
        return;
    }
    let lengths = format!(
        "the route file is {} long and the organiser counts {}",
        km(length_m),
        km(official_m)
    );
    let given = inputs.course.official_distance_m.as_ref();
    let listed = inputs
        .stations
        .last()
        .and_then(|row| row.distance_m.as_ref());
    let at = given.or(listed).and_then(|d| d.span).or(inputs.track.span);
    let expected = format!("expected about {}", km(length_m));
    notes.push(if SAME_COURSE.contains(&ratio) {
        let percent = 100.0 * (ratio - 1.0);
        Diagnostic::warning(format!(
            "{lengths}, {percent:+.1} %; stations are placed in proportion"
        ))
        .at(at, expected)
        .hint("check that the route file is this year's course, with all its laps")
    } else {
        Diagnostic::error(lengths).at(at, expected).hint(
            "check the distance and its unit, and set `laps` in `course.toml` if the route file is run several times",
        )
    });
}

/// Puts stretches of surface under the steps of the profile; a later row goes over an earlier one.
fn lay_ground(profile: &mut Profile, scale: &Scale, inputs: &Inputs, notes: &mut Notes) {
    let end_m = scale.anchors.last().map_or(0.0, |a| a.0);
    let mut laid: Vec<(f64, f64)> = Vec::new();
    let mut overlaps = 0;
    for row in &inputs.surfaces {
        if row.from_m >= row.to_m || row.from_m >= end_m || !row.to_m.is_finite() {
            notes.push(
                Diagnostic::warning(format!(
                    "the surface from {} to {} covers none of the course",
                    km(row.from_m),
                    km(row.to_m)
                ))
                .at(
                    row.span,
                    format!("expected a stretch between 0 and {}", km(end_m)),
                ),
            );
            continue;
        }
        let touches = |other: &&(f64, f64)| row.from_m < other.1 - 1.0 && other.0 < row.to_m - 1.0;
        overlaps += usize::from(laid.iter().any(|other| touches(&other)));
        laid.push((row.from_m, row.to_m));
        let (from_m, to_m) = (scale.route_m(row.from_m), scale.route_m(row.to_m));
        // A step has the ground of its middle.
        let node_after = |m: f64| (m / profile.spacing_m - 0.5).ceil().max(0.0) as usize;
        let steps = profile.surface.len();
        let (from, to) = (node_after(from_m).min(steps), node_after(to_m).min(steps));
        profile.surface[from..to.max(from)].fill(row.surface);
    }
    if overlaps > 0 {
        notes.push(
            Diagnostic::warning(format!(
                "{} of `surfaces.csv` overlap earlier ones, and replace them there",
                count(overlaps, "row")
            ))
            .at(
                inputs.surfaces.first().and_then(|row| row.span),
                "expected stretches that do not overlap",
            ),
        );
    }
}
