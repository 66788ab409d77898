//! What each segment exposes the runner to: minutes of standing and moving, each in its weather.

use crate::conditions::{Conditions, Light, Weather};
use crate::course::Course;
use crate::pacing::Pacing;
use crate::schedule::Schedule;
use crate::time::S_PER_HOUR;

/// The weather is looked up about this often, seconds.
const LOOK_EVERY_S: f64 = 600.0;

/// A few minutes at one speed in one weather.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// How long, hours.
    pub hours: f64,
    /// Own speed, m/s; 0 at a stop.
    pub speed_mps: f64,
    /// The forecast, where there is one.
    pub weather: Option<Weather>,
    /// Whether the sun is up.
    pub sun_up: bool,
}

/// One segment with the stop before it, cut into steps.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Exposure {
    /// The stop at the station that the segment leaves; empty at the start.
    pub stop: Vec<Step>,
    /// The way to the next station.
    pub moving: Vec<Step>,
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
    pub fn steps(&self) -> impl Iterator<Item = &Step> {
        self.stop.iter().chain(&self.moving)
    }
}

/// Cuts every segment of a paced course into steps.
#[must_use]
pub fn exposures(
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
    fn stop(&self, station: usize) -> Vec<Step> {
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
    fn way(&self, segment: usize) -> Vec<Step> {
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

    fn step(&self, at_m: f64, at_s: f64, length_s: f64, speed_mps: f64) -> Step {
        let heights = &self.course.profile.elevation_m;
        let node = (at_m / self.course.profile.spacing_m).round() as usize;
        let elevation_m = heights
            .get(node)
            .or(heights.last())
            .copied()
            .unwrap_or_default();
        Step {
            hours: length_s / S_PER_HOUR,
            speed_mps,
            weather: self.conditions.weather(at_m, elevation_m, at_s),
            sun_up: self.conditions.light(at_m, at_s) == Light::Day,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::course::Profile;
    use crate::course::testing::{course, station};
    use crate::diagnostics::Notes;
    use crate::inputs::Inputs;
    use crate::inputs::surfaces_csv::Surface;

    const SPACING_M: f64 = 100.0;
    const SPEED_MPS: f64 = 2.0;
    const STOP_S: f64 = 900.0;

    /// Twelve flat kilometres with one station.
    fn flat(station_m: f64) -> Course {
        let nodes = 121;
        let profile = Profile {
            spacing_m: SPACING_M,
            elevation_m: vec![0.0; nodes],
            position_deg: vec![(46.0, 8.0); nodes],
            surface: vec![Surface::default(); nodes - 1],
        };
        let ends = [("Start", 0.0), ("Ford", station_m), ("Finish", 12_000.0)];
        course(
            profile,
            ends.map(|(name, at_m)| station(name, at_m)).to_vec(),
        )
    }

    /// Between two nodes of the profile; on a node; on one, but for the last digit.
    const STATIONS_M: [f64; 3] = [5050.0, 5000.0, 5_000.000_000_001];

    /// The steps of the stop, of the way after it, and of the way before.
    fn steps(station_m: f64) -> (Vec<Step>, Vec<Step>, Vec<Step>) {
        let course = flat(station_m);
        let conditions =
            Conditions::over(&course, &Inputs::default(), None, 9e4, &mut Notes::new());
        let stop_s = |at_m: f64| if at_m > station_m - 1e-6 { STOP_S } else { 0.0 };
        let node_s: Vec<f64> = (0..121)
            .map(|i| f64::from(i) * SPACING_M)
            .map(|at_m| at_m / SPEED_MPS + stop_s(at_m))
            .collect();
        let arrival_s = station_m / SPEED_MPS;
        let along = Along {
            course: &course,
            conditions: &conditions,
            arrival_s: &[0.0, arrival_s, 6900.0],
            departure_s: &[0.0, arrival_s + STOP_S, 6900.0],
            node_s: &node_s,
        };
        (along.stop(1), along.way(1), along.way(0))
    }

    #[test]
    fn steps_add_up_to_stop_and_way() {
        for at_m in STATIONS_M {
            let (stop, after, before) = steps(at_m);
            let seconds = |steps: &[Step]| steps.iter().map(|s| s.hours).sum::<f64>() * S_PER_HOUR;
            assert!((seconds(&stop) - STOP_S).abs() < 1e-6);
            assert!((seconds(&before) - at_m / SPEED_MPS).abs() < 1e-6);
            assert!((seconds(&after) - (12_000.0 - at_m) / SPEED_MPS).abs() < 1e-6);
        }
    }

    #[test]
    fn a_stop_slows_no_step_of_the_way() {
        for at_m in STATIONS_M {
            let (stop, after, before) = steps(at_m);
            assert!(stop.iter().all(|step| step.speed_mps == 0.0));
            for step in before.iter().chain(&after) {
                assert!((step.speed_mps - SPEED_MPS).abs() < 1e-6, "{step:?}");
            }
        }
    }

    #[test]
    fn the_weather_is_looked_up_at_least_every_ten_minutes_or_so() {
        let (stop, after, before) = steps(STATIONS_M[0]);
        let node_s = SPACING_M / SPEED_MPS;
        for step in stop.iter().chain(&before).chain(&after) {
            assert!(step.hours * S_PER_HOUR < LOOK_EVERY_S + node_s, "{step:?}");
        }
    }
}
