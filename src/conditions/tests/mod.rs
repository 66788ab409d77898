//! Daylight and weather as a field over courses made by hand.
#![allow(clippy::unwrap_used)]

mod daylight;
mod weather;

use chrono::{NaiveDate, NaiveDateTime};
use chrono_tz::Tz;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::Rng;

use crate::course::tests::{course, station};
use crate::course::{Course, Profile, Station};
use crate::inputs::surfaces_csv::Surface;
use crate::time::{RaceClock, WallTime, on_the_wall};

/// A course in a straight line on the map.
struct Line {
    from_deg: (f64, f64),
    to_deg: (f64, f64),
    length_m: f64,
    /// Place, distance and height of each station.
    stations: Vec<(&'static str, f64, f64)>,
}

impl Line {
    /// A hundred miles from the start to the finish, both at sea level.
    fn hundred_miles(from_deg: (f64, f64), to_deg: (f64, f64)) -> Line {
        Line {
            from_deg,
            to_deg,
            length_m: 160_934.4,
            stations: vec![("Start", 0.0, 0.0), ("Finish", 160_934.4, 0.0)],
        }
    }

    fn course(&self) -> Course {
        let nodes = (self.length_m / 25.0).round() as usize + 1;
        let part = |i: usize| i as f64 / (nodes - 1) as f64;
        let between = |a: f64, b: f64, part: f64| a + (b - a) * part;
        let position = |part: f64| {
            let lon_deg = between(self.from_deg.1, self.to_deg.1, part);
            (
                between(self.from_deg.0, self.to_deg.0, part),
                if lon_deg > 180.0 {
                    lon_deg - 360.0
                } else {
                    lon_deg
                },
            )
        };
        let profile = Profile {
            spacing_m: self.length_m / (nodes - 1) as f64,
            elevation_m: vec![self.stations[0].2; nodes],
            position_deg: (0..nodes).map(|i| position(part(i))).collect(),
            surface: vec![Surface::SmoothTrail; nodes - 1],
        };
        let stations = self
            .stations
            .iter()
            .map(|(name, distance_m, elevation_m)| Station {
                elevation_m: *elevation_m,
                position_deg: self.from_deg,
                ..station(name, *distance_m)
            });
        course(profile, stations.collect())
    }
}

/// `2026-10-24T06:00` as on the wall.
fn local(text: &str) -> NaiveDateTime {
    NaiveDateTime::parse_from_str(text, "%Y-%m-%dT%H:%M").unwrap()
}

fn clock(text: &str, zone: Tz) -> RaceClock {
    match on_the_wall(local(text), zone) {
        WallTime::Once(instant) | WallTime::Twice(instant, _) => RaceClock::starting(instant),
        WallTime::Never => panic!("{text} does not exist in {zone}"),
    }
}

/// A number between two, from a seeded source.
fn between(random: &mut ChaCha8Rng, low: f64, high: f64) -> f64 {
    low + (high - low) * f64::from(random.next_u32()) / f64::from(u32::MAX)
}

fn some_day(random: &mut ChaCha8Rng) -> NaiveDate {
    let first = NaiveDate::from_ymd_opt(1950, 1, 1).unwrap();
    let days = between(random, 0.0, 141.0 * 365.25) as i64;
    first + chrono::Duration::days(days)
}
