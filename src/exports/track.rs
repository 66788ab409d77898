//! The course as a GPX 1.1 track with the stations as waypoints; where the race has a clock, every
//! point has the instant at which the plan passes it, stops included.

use geo::Point;
use gpx::{Gpx, GpxVersion, Metadata, Track, TrackSegment, Waypoint};
use time::OffsetDateTime;

use crate::course::{Course, Role};
use crate::inputs::stations_csv::StationKind;
use crate::pictures::words::clean;
use crate::plan::Plan;
use crate::reports::View;
use crate::time::{Elapsed, RaceClock};

/// Points nearer to a station than this make way for the station's own, metres.
const NEAR_M: f64 = 1.0;

/// The track; of a view without a plan, without times.
///
/// # Panics
/// Never: text in memory takes all that is written, and times are within what the schema holds.
#[must_use]
pub fn track(view: &View<'_>) -> String {
    let course = &view.race.course;
    let timed = view.plans.first().zip(view.race.clock.as_ref());
    let name = Some(clean(&course.name));
    let gpx = Gpx {
        version: GpxVersion::Gpx11,
        creator: Some("sutler".to_owned()),
        metadata: Some(Metadata {
            name: name.clone(),
            time: timed.and_then(|(_, clock)| instant(clock, Elapsed::ZERO)),
            ..Metadata::default()
        }),
        waypoints: (0..course.stations.len())
            .map(|station| waypoint(view, station))
            .collect(),
        tracks: vec![Track {
            name,
            segments: vec![TrackSegment {
                points: points(course, timed),
            }],
            ..Track::default()
        }],
        ..Gpx::default()
    };
    let mut bytes = Vec::new();
    gpx::write(&gpx, &mut bytes).expect("a track fits into memory");
    let mut text = String::from_utf8(bytes).expect("a track is UTF-8");
    text.push('\n');
    text
}

/// A station, with its times in words for devices that show no other.
fn waypoint(view: &View<'_>, index: usize) -> Waypoint {
    let course = &view.race.course;
    let station = &course.stations[index];
    let mut about = vec![format!(
        "{} {}",
        view.units.distance_number(station.official_m),
        view.units.distance_symbol()
    )];
    let mut time = None;
    if let Some(plan) = view.plans.first() {
        let (split, show) = (&plan.schedule.splits[index], |at| plan.schedule.show(at));
        about.push(format!("arrive {}", show(split.arrival)));
        if split.departure > split.arrival {
            about.push(format!("leave {}", show(split.departure)));
        }
        if split.early < split.late {
            let (early, late) = (show(split.early), show(split.late));
            about.push(format!("early {early}, late {late}"));
        }
        if let Some(cutoff) = split.cutoff {
            about.push(format!("cutoff {}", show(cutoff.elapsed)));
        }
        if let Some(clock) = &view.race.clock {
            time = instant(clock, split.arrival);
        }
    }
    let kind = match station.role {
        Role::Start => "start",
        Role::Finish => "finish",
        Role::Between(StationKind::Water) => "water",
        Role::Between(StationKind::Checkpoint) => "checkpoint",
        Role::Between(StationKind::CrewOnly) => "crew",
        Role::Between(StationKind::Aid) => "aid station",
    };
    let mut waypoint = point(station.position_deg, station.elevation_m);
    waypoint.time = time;
    waypoint.name = Some(clean(&station.name));
    waypoint.description = Some(clean(&about.join("; ")));
    waypoint.type_ = Some(kind.to_owned());
    waypoint
}

/// The profile's nodes, and every station twice where the runner stops: on arrival and departure.
fn points(course: &Course, timed: Option<(&Plan, &RaceClock)>) -> Vec<Waypoint> {
    let profile = &course.profile;
    let mut points = Vec::new();
    let mut add = |distance_m: f64, at: Elapsed| {
        let position_deg = profile.position_at_deg(distance_m);
        let mut point = point(position_deg, profile.elevation_at_m(distance_m));
        point.time = timed.and_then(|(_, clock)| instant(clock, at));
        points.push(point);
    };
    let mut node = 0;
    for (index, station) in course.stations.iter().enumerate() {
        let split = timed.map(|(plan, _)| &plan.schedule.splits[index]);
        while (node as f64) * profile.spacing_m < station.distance_m - NEAR_M {
            let at_s = timed.and_then(|(plan, _)| plan.pacing.node_s.get(node));
            let latest = split.map_or(Elapsed::ZERO, |split| split.arrival);
            let at = at_s.map_or(Elapsed::ZERO, |s| Elapsed::from_s(*s));
            add(node as f64 * profile.spacing_m, at.min(latest));
            node += 1;
        }
        while (node as f64) * profile.spacing_m <= station.distance_m + NEAR_M {
            node += 1;
        }
        let (arrival, departure) = split.map_or((Elapsed::ZERO, Elapsed::ZERO), |split| {
            (split.arrival, split.departure)
        });
        add(station.distance_m, arrival);
        if departure > arrival {
            add(station.distance_m, departure);
        }
    }
    points
}

/// A point to a tenth of a metre, within the bounds of the schema, which takes 180° for -180°.
fn point((lat, lon): (f64, f64), elevation_m: f64) -> Waypoint {
    let rounded = |value: f64, digits: f64| (value * digits).round() / digits;
    let lon = match rounded(lon, 1e6) {
        180.0 => -180.0,
        lon => lon,
    };
    let mut point = Waypoint::new(Point::new(lon, rounded(lat, 1e6)));
    point.elevation = Some(rounded(elevation_m, 10.0));
    point
}

/// An instant of the race; none after the year 9999, which the schema has no room for.
fn instant(clock: &RaceClock, elapsed: Elapsed) -> Option<gpx::Time> {
    let moment = OffsetDateTime::from_unix_timestamp(clock.at(elapsed).timestamp()).ok()?;
    (0..=9999).contains(&moment.year()).then(|| moment.into())
}
