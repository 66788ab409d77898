//! The planned way: minutes of standing and moving, each in its weather.

use crate::conditions::{Conditions, Light, Weather};
use crate::course::Course;
use crate::pacing::Pacing;
use crate::schedule::Schedule;
use crate::time::S_PER_HOUR;

/// The weather is looked up about this often, seconds.
const LOOK_EVERY_S: f64 = 600.0;

/// A few minutes at one speed in one weather.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Spell {
    /// The time of it, hours.
    pub hours: f64,
    /// Own speed, m/s; 0 at a stop.
    pub speed_mps: f64,
    /// The forecast, where there is one.
    pub weather: Option<Weather>,
    /// True where the sun is up.
    pub sun_up: bool,
    /// True where a lamp is needed.
    pub dark: bool,
    /// Height of the ground, metres.
    pub elevation_m: f64,
}

/// One segment with the stop before it, cut into steps.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Exposure {
    /// The stop at the station that the segment leaves; empty at the start.
    pub stop: Vec<Spell>,
    /// The way to the next station.
    pub moving: Vec<Spell>,
    /// Cost of the way, joules per kilogram of body mass.
    pub cost_j_per_kg: f64,
    /// Share of the moving time in the dark.
    pub dark_share: f64,
    /// Share of the moving time that is walked.
    pub walk_share: f64,
}

impl Exposure {
    /// Length of the stop, hours.
    #[must_use]
    pub fn stop_h(&self) -> f64 {
        self.stop.iter().map(|step| step.hours).sum()
    }

    /// Time between the stations, hours.
    #[must_use]
    pub fn moving_h(&self) -> f64 {
        self.moving.iter().map(|step| step.hours).sum()
    }

    /// Stop and way, hours.
    #[must_use]
    pub fn hours(&self) -> f64 {
        self.stop_h() + self.moving_h()
    }

    /// Every step, the stop's first.
    pub fn steps(&self) -> impl Iterator<Item = &Spell> {
        self.stop.iter().chain(&self.moving)
    }
}

/// Cuts every segment of a paced course into steps.
pub(super) fn along(
    course: &Course,
    conditions: &Conditions,
    pacing: &Pacing,
    schedule: &Schedule,
) -> Vec<Exposure> {
    let along = Along {
        course,
        conditions,
        arrival_s: &pacing.arrival_s,
        departure_s: &pacing.departure_s,
        node_s: &pacing.node_s,
    };
    (0..course.segments.len())
        .map(|i| {
            let leg = schedule.legs.get(i);
            Exposure {
                stop: if i == 0 { Vec::new() } else { along.stop(i) },
                moving: along.way(i),
                cost_j_per_kg: pacing.segments[i].energy_j_per_kg,
                dark_share: leg.map_or(0.0, |leg| leg.dark_share),
                walk_share: leg.map_or(0.0, |leg| leg.walk_share),
            }
        })
        .collect()
}

/// A paced course in its weather.
struct Along<'a> {
    course: &'a Course,
    conditions: &'a Conditions,
    arrival_s: &'a [f64],
    departure_s: &'a [f64],
    node_s: &'a [f64],
}

impl Along<'_> {
    /// The stop at a station, in equal steps.
    fn stop(&self, station: usize) -> Vec<Spell> {
        let from_s = self.arrival_s[station];
        let length_s = self.departure_s[station] - from_s;
        if length_s <= 0.0 {
            return Vec::new();
        }
        let count = (length_s / LOOK_EVERY_S).ceil();
        let at_m = self.course.stations[station].distance_m;
        (0..count as usize)
            .map(|k| {
                let middle_s = from_s + length_s * (k as f64 + 0.5) / count;
                self.step(at_m, middle_s, length_s / count, 0.0)
            })
            .collect()
    }

    /// The way through a segment, a step ending at the first node of the profile past each ten
    /// minutes, and the last one at the station.
    fn way(&self, segment: usize) -> Vec<Spell> {
        let from_m = self.course.stations[segment].distance_m;
        let to_m = self.course.stations[segment + 1].distance_m;
        let from_s = self.departure_s[segment];
        let to_s = self.arrival_s[segment + 1];
        let spacing_m = self.course.profile.spacing_m;
        let first = (from_m / spacing_m).floor() as usize + 1;
        let nodes = (first..self.node_s.len())
            .map(|node| (node as f64 * spacing_m, self.node_s[node]))
            // a node just past a stop holds the stop in its time, so times are held to the way
            .take_while(|(at_m, _)| *at_m < to_m)
            .map(|(at_m, at_s)| (at_m, at_s.clamp(from_s, to_s)));
        let mut steps = Vec::new();
        let mut last = (from_m, from_s);
        for (at_m, at_s) in nodes.chain([(to_m, to_s)]) {
            let (length_m, length_s) = (at_m - last.0, at_s - last.1);
            if length_s <= 0.0 || (length_s < LOOK_EVERY_S && at_m < to_m) {
                continue;
            }
            let (middle_m, middle_s) = ((at_m + last.0) / 2.0, (at_s + last.1) / 2.0);
            steps.push(self.step(middle_m, middle_s, length_s, length_m / length_s));
            last = (at_m, at_s);
        }
        steps
    }

    fn step(&self, at_m: f64, at_s: f64, length_s: f64, speed_mps: f64) -> Spell {
        let heights = &self.course.profile.elevation_m;
        let node = (at_m / self.course.profile.spacing_m).round() as usize;
        let elevation_m = heights
            .get(node)
            .or(heights.last())
            .copied()
            .unwrap_or_default();
        let light = self.conditions.light(at_m, at_s);
        Spell {
            hours: length_s / S_PER_HOUR,
            speed_mps,
            weather: self.conditions.weather(at_m, elevation_m, at_s),
            sun_up: light == Light::Day,
            dark: light == Light::Dark,
            elevation_m,
        }
    }
}

#[cfg(test)]
#[path = "tests/way.rs"]
mod tests;
