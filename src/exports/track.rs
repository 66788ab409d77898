//! The course as a GPX 1.1 track with the stations as waypoints; where the race has a clock, every
//! point has the instant at which the plan passes it, stops included.

use geo::Point;
use gpx::{Gpx, GpxVersion, Metadata, Track, TrackSegment, Waypoint};
use time::OffsetDateTime;

use crate::facts::{Facts, Moment, PointFacts, SplitFacts, StationFacts, TrackFacts};
use crate::pictures::words::clean;

/// The track; of facts without a plan, without times.
///
/// # Panics
/// Never: text in memory takes all that is written, and times are within what the schema holds.
#[must_use]
pub fn track(facts: &Facts, track: &TrackFacts) -> String {
    let race = &facts.race.0;
    let splits = facts.planned().map_or(&[][..], |plan| &plan.splits);
    let name = Some(clean(&race.course));
    let stations = facts.stations.iter().enumerate();
    let gpx = Gpx {
        version: GpxVersion::Gpx11,
        creator: Some("sutler".to_owned()),
        metadata: Some(Metadata {
            name: name.clone(),
            time: splits.first().and_then(|split| instant(&split.arrival)),
            ..Metadata::default()
        }),
        waypoints: stations
            .map(|(index, station)| waypoint(station, splits.get(index)))
            .collect(),
        tracks: vec![Track {
            name,
            segments: vec![TrackSegment {
                points: track.points.iter().map(passed).collect(),
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
fn waypoint(station: &StationFacts, split: Option<&SplitFacts>) -> Waypoint {
    let mut about = vec![station.official.text.clone()];
    if let Some(split) = split {
        about.push(format!("arrive {}", split.arrival.text));
        if split.stop.is_some() {
            about.push(format!("leave {}", split.departure.text));
        }
        if split.early.elapsed < split.late.elapsed {
            about.push(format!(
                "early {}, late {}",
                split.early.text, split.late.text
            ));
        }
        if let Some(cutoff) = &split.cutoff {
            about.push(format!("cutoff {}", cutoff.text));
        }
        if let Some(latest) = &split.latest_departure {
            about.push(format!("leave by {}", latest.text));
        }
    }
    let mut waypoint = point((station.lat, station.lon), station.elevation.value);
    waypoint.time = split.and_then(|split| instant(&split.arrival));
    waypoint.name = Some(clean(&station.station));
    waypoint.description = Some(clean(&about.join("; ")));
    waypoint.type_ = Some(station.kind.to_owned());
    waypoint
}

/// A point of the way.
fn passed(passed: &PointFacts) -> Waypoint {
    let mut point = point((passed.lat, passed.lon), passed.elevation_m);
    point.time = passed.at.as_ref().and_then(instant);
    point
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

/// An instant of the race; none without a clock, or after the year 9999, which the schema has no
/// room for.
fn instant(at: &Moment) -> Option<gpx::Time> {
    let moment = OffsetDateTime::from_unix_timestamp(at.at?.timestamp()).ok()?;
    (0..=9999).contains(&moment.year()).then(|| moment.into())
}
