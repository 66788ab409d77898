//! What a receiver records on the way, and its file.

use std::fmt::Write;

use chrono::{DateTime, Utc};

use super::chance::{Chance, Wander};
use super::line::{Line, Node};
use super::spec::Spec;

/// Metres over which an error of position or height is about the same.
const ERROR_LENGTH_M: f64 = 90.0;
/// Deviation of a fix from where the runner is, east and north each.
const POSITION_ERROR_M: f64 = 2.0;
/// Deviation of a height.
const HEIGHT_ERROR_M: f64 = 0.9;
/// Slow drift of the pressure that heights are taken from.
const DRIFT: (f64, f64) = (7000.0, 1.4);

/// One point of the track beside the truth.
pub struct Sample {
    pub run_m: f64,
    pub lat: f64,
    pub lon: f64,
    /// As recorded, metres.
    pub height_m: f64,
    /// As the ground is, metres.
    pub ground_m: f64,
    /// When it was recorded, where somebody ran.
    pub time: Option<DateTime<Utc>>,
}

/// A receiver on its way: how far off it is changes slowly.
pub struct Receiver {
    origin_deg: (f64, f64),
    chance: Chance,
    drift: Wander,
    errors: [f64; 3],
}

impl Receiver {
    pub fn over(length_m: f64, origin_deg: (f64, f64), seed: u64) -> Self {
        let mut chance = Chance::new(seed, 3);
        let drift = Wander::over(length_m, DRIFT.0, DRIFT.1, &mut chance);
        Receiver {
            origin_deg,
            chance,
            drift,
            errors: [0.0; 3],
        }
    }

    /// What it records at a place, `step_m` after the point before.
    pub fn fix(&mut self, there: Node, run_m: f64, step_m: f64) -> Sample {
        for error in &mut self.errors {
            // first-order noise whose deviation stays 1 however long the step
            let keep = 1.0 / (1.0 + step_m / ERROR_LENGTH_M);
            *error = *error * keep + (1.0 - keep * keep).sqrt() * self.chance.bell();
        }
        let (lat, lon) = to_degrees(
            self.origin_deg,
            there.at_m.0 + self.errors[0] * POSITION_ERROR_M,
            there.at_m.1 + self.errors[1] * POSITION_ERROR_M,
        );
        Sample {
            run_m,
            lat,
            lon,
            height_m: there.height_m + self.errors[2] * HEIGHT_ERROR_M + self.drift.at(run_m),
            ground_m: there.height_m,
            time: None,
        }
    }
}

/// Runs the course once with a receiver.
pub fn sample(spec: &Spec, line: &Line) -> Vec<Sample> {
    let mut receiver = Receiver::over(line.run_m(), spec.origin_deg, spec.seed);
    let (mut samples, mut run_m, mut step) = (Vec::new(), 0.0, ERROR_LENGTH_M);
    loop {
        let there = line.at(line.base_of(run_m));
        samples.push(receiver.fix(there, run_m, step));
        if line.run_m() <= run_m {
            return samples;
        }
        step = receiver.chance.between(spec.step_m.0, spec.step_m.1);
        // the last point is the finish, and not a crumb beside the one before
        let left = line.run_m() - run_m;
        if left < step * 1.5 {
            step = left;
        }
        run_m += step;
        if left <= step {
            run_m = line.run_m();
        }
    }
}

/// Degrees of a spot so many metres east and north of an origin near 46.5° N.
///
/// Lengths of a degree there on the WGS 84 ellipsoid, and how fast that of longitude shrinks.
pub fn to_degrees(origin_deg: (f64, f64), east_m: f64, north_m: f64) -> (f64, f64) {
    let lat = origin_deg.0 + north_m / 111_161.0;
    let lon_m = 76_762.0 - 1_408.0 * (lat - 46.5);
    (lat, origin_deg.1 + east_m / lon_m)
}

/// A GPX 1.1 file with one point a line.
pub fn to_gpx(name: &str, about: &str, samples: &[Sample]) -> String {
    let mut text = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <gpx version=\"1.1\" creator=\"sutler course maker\" \
         xmlns=\"http://www.topografix.com/GPX/1/1\">\n\
         <metadata><name>{name}</name><desc>{about}</desc>\
         </metadata>\n<trk><name>{name}</name><trkseg>\n"
    );
    for s in samples {
        let (lat, lon, height) = (s.lat, s.lon, s.height_m);
        let time = s.time.map_or_else(String::new, |time| {
            format!("<time>{}</time>", time.format("%Y-%m-%dT%H:%M:%SZ"))
        });
        let line = writeln!(
            text,
            "<trkpt lat=\"{lat:.6}\" lon=\"{lon:.6}\"><ele>{height:.1}</ele>{time}</trkpt>"
        );
        line.unwrap();
    }
    text + "</trkseg></trk>\n</gpx>\n"
}
