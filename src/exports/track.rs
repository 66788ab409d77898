//! The course as a GPX 1.1 track with the stations as waypoints; where the race has a clock, every
//! point has the instant at which the plan passes it, stops included.

use crate::course::{Course, Role};
use crate::inputs::stations_csv::StationKind;
use crate::pictures::words::{clean, escaped};
use crate::plan::Plan;
use crate::reports::View;
use crate::time::{Elapsed, RaceClock};

use super::utc;

/// An instant as the schema wants it (`xsd:dateTime`, in UTC).
const INSTANT: &str = "%Y-%m-%dT%H:%M:%SZ";
/// Points nearer to a station than this make way for the station's own, metres.
const NEAR_M: f64 = 1.0;

/// The track; of a view without a plan, without times.
#[must_use]
pub fn track(view: &View<'_>) -> String {
    let course = &view.race.course;
    let timed = view.plans.first().zip(view.race.clock.as_ref());
    let name = escaped(&clean(&course.name));
    let mut text = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"sutler\" \
         xmlns=\"http://www.topografix.com/GPX/1/1\">\n",
    );
    text += &format!("<metadata><name>{name}</name>");
    if let Some((_, clock)) = timed {
        let start = utc(clock, Elapsed::ZERO, INSTANT);
        text += &format!("<time>{start}</time>");
    }
    text += "</metadata>\n";
    for station in 0..course.stations.len() {
        text += &waypoint(view, station);
    }
    text += &format!("<trk><name>{name}</name><trkseg>\n");
    text += &points(course, timed);
    text + "</trkseg></trk>\n</gpx>\n"
}

/// A station, with its times in words for devices that show no other.
fn waypoint(view: &View<'_>, index: usize) -> String {
    let course = &view.race.course;
    let station = &course.stations[index];
    let mut about = vec![format!(
        "{} {}",
        view.units.distance_number(station.official_m),
        view.units.distance_symbol()
    )];
    let mut time = String::new();
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
            let instant = utc(clock, split.arrival, INSTANT);
            time = format!("<time>{instant}</time>");
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
    format!(
        "<wpt {}>{}{time}<name>{}</name><desc>{}</desc><type>{kind}</type></wpt>\n",
        position(station.position_deg),
        elevation(station.elevation_m),
        escaped(&clean(&station.name)),
        escaped(&about.join("; ")),
    )
}

/// The profile's nodes, and every station twice where the runner stops: on arrival and departure.
fn points(course: &Course, timed: Option<(&Plan, &RaceClock)>) -> String {
    let profile = &course.profile;
    let mut text = String::new();
    let mut add = |distance_m: f64, at: Elapsed| {
        let time = timed.map_or(String::new(), |(_, clock)| {
            format!("<time>{}</time>", utc(clock, at, INSTANT))
        });
        text += &format!(
            "<trkpt {}>{}{time}</trkpt>\n",
            position(profile.position_at_deg(distance_m)),
            elevation(profile.elevation_at_m(distance_m)),
        );
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
    text
}

/// Latitude and longitude within the bounds of the schema, which takes 180° for -180°.
fn position((lat, lon): (f64, f64)) -> String {
    let lon = format!("{lon:.6}");
    let lon = if lon == "180.000000" {
        "-180.000000"
    } else {
        &lon
    };
    format!("lat=\"{lat:.6}\" lon=\"{lon}\"")
}

fn elevation(height_m: f64) -> String {
    format!("<ele>{height_m:.1}</ele>")
}
