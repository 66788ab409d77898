//! A season of long runs of the demo's runner, recorded on her routes at home. What she ate and
//! noted is written by hand beside them.

use chrono::{DateTime, TimeDelta, Utc};
use sutler::pacing::cost::run_cost_j_per_kg_m;

use super::chance::{Chance, Wander};
use super::line::{Line, Node};
use super::track::{Receiver, Sample, to_gpx};
use super::{Folder, spec};

/// One long run.
struct LongRun {
    file: &'static str,
    seed: u64,
    start: &'static str,
    /// Parts of routes, one after the other: the route, and from where to where as shares of it.
    legs: &'static [(&'static str, f64, f64)],
    /// Seconds for a level kilometre at the start.
    level_s_per_km: f64,
    /// Kilometres run, minutes stood.
    stops: &'static [(f64, f64)],
}

const HILLS: (&str, f64, f64) = ("local-hills", 0.0, 1.0);
const RIVER: (&str, f64, f64) = ("local-river", 0.0, 1.0);
/// Ten kilometres down the river and the same way back.
const PART_OF_RIVER: [(&str, f64, f64); 2] =
    [("local-river", 0.0, 0.38), ("local-river", 0.38, 0.0)];

const SEASON: [LongRun; 8] = [
    LongRun {
        file: "2026-06-20-hills.gpx",
        seed: 62_001,
        start: "2026-06-20T05:00:00Z",
        legs: &[HILLS],
        level_s_per_km: 310.0,
        stops: &[(9.0, 3.0), (18.5, 5.0)],
    },
    LongRun {
        file: "2026-07-04-river.gpx",
        seed: 62_002,
        start: "2026-07-04T07:30:00Z",
        legs: &[RIVER],
        level_s_per_km: 360.0,
        stops: &[(6.5, 2.0), (12.6, 8.0), (19.0, 3.0)],
    },
    LongRun {
        file: "2026-08-01-hills.gpx",
        seed: 62_003,
        start: "2026-08-01T04:30:00Z",
        legs: &[HILLS],
        level_s_per_km: 352.0,
        stops: &[(8.0, 2.0), (16.5, 6.0)],
    },
    LongRun {
        file: "2026-08-22-hills-river.gpx",
        seed: 62_004,
        start: "2026-08-22T03:30:00Z",
        legs: &[HILLS, PART_OF_RIVER[0], PART_OF_RIVER[1]],
        level_s_per_km: 380.0,
        stops: &[(9.0, 3.0), (18.0, 2.0), (27.3, 10.0), (37.0, 4.0)],
    },
    LongRun {
        file: "2026-08-23-river.gpx",
        seed: 62_005,
        start: "2026-08-23T06:00:00Z",
        legs: &[RIVER],
        level_s_per_km: 388.0,
        stops: &[(12.5, 4.0)],
    },
    LongRun {
        file: "2026-09-05-night.gpx",
        seed: 62_006,
        start: "2026-09-05T18:00:00Z",
        legs: &[HILLS],
        level_s_per_km: 375.0,
        stops: &[(8.2, 4.0), (17.6, 7.0)],
    },
    LongRun {
        file: "2026-09-26-hills.gpx",
        seed: 62_007,
        start: "2026-09-26T05:00:00Z",
        legs: &[HILLS],
        level_s_per_km: 338.0,
        stops: &[(7.5, 4.0), (16.8, 3.0)],
    },
    LongRun {
        file: "2026-10-03-dawn.gpx",
        seed: 62_008,
        start: "2026-10-03T03:00:00Z",
        legs: &[HILLS],
        level_s_per_km: 348.0,
        stops: &[(6.6, 3.0), (14.5, 6.0)],
    },
];

/// Between points.
const STEP_S: i64 = 30;
/// A gradient is felt over so many metres to either side.
const FELT_M: f64 = 50.0;
/// How a day's pace wanders: metres between knots, share of it.
const MOOD: (f64, f64) = (2500.0, 0.05);

/// The recordings of the season.
pub fn folder() -> Folder {
    let gpx = |run: &LongRun| {
        let name = run.file.trim_end_matches(".gpx");
        to_gpx(name, "An invented run.", &run.recorded())
    };
    Folder {
        path: "demo-data/long-runs",
        files: SEASON.iter().map(|run| (run.file, gpx(run))).collect(),
    }
}

/// Where each run stood: its file, and kilometres with minutes.
pub fn stops() -> impl Iterator<Item = (&'static str, &'static [(f64, f64)])> {
    SEASON.iter().map(|run| (run.file, run.stops))
}

impl LongRun {
    fn recorded(&self) -> Vec<Sample> {
        let way = Way::along(self.legs);
        let length_m = way.length_m();
        let mut receiver = Receiver::over(length_m, way.origin_deg, self.seed);
        let mood = Wander::over(length_m, MOOD.0, MOOD.1, &mut Chance::new(self.seed, 13));
        let start: DateTime<Utc> = self.start.parse().unwrap();
        let (mut samples, mut run_m, mut stood_s) = (Vec::<Sample>::new(), 0.0, 0.0);
        let mut stops = self.stops.iter().peekable();
        for second in 0.. {
            let is_over = length_m <= run_m;
            if second % STEP_S == 0 || is_over {
                let before_m = samples.last().map_or(0.0, |last| last.run_m);
                let mut fix = receiver.fix(way.at(run_m), run_m, run_m - before_m);
                fix.time = Some(start + TimeDelta::seconds(second));
                samples.push(fix);
            }
            if is_over {
                break;
            }
            if let Some((_, minutes)) = stops.peek().filter(|(km, _)| km * 1000.0 <= run_m) {
                stood_s += 1.0;
                if 60.0 * minutes <= stood_s {
                    stood_s = 0.0;
                    stops.next();
                }
                continue;
            }
            let s_per_m = self.level_s_per_km / 1000.0 * way.ratio(run_m) * slowing(second);
            run_m = length_m.min(run_m + 1.0 / (s_per_m * (1.0 + mood.at(run_m))));
        }
        samples
    }
}

/// The usual slowing of the hours, by square roots, which are the same on every machine.
fn slowing(second: i64) -> f64 {
    (1.0 + second as f64 / 10_800.0).sqrt().sqrt()
}

/// Parts of routes that meet, one after the other.
struct Way {
    origin_deg: (f64, f64),
    /// Each line with its ends, metres along it.
    legs: Vec<(Line, f64, f64)>,
}

impl Way {
    fn along(legs: &[(&'static str, f64, f64)]) -> Way {
        let laid = legs.iter().map(|&(name, from, to)| {
            let line = Line::lay(&spec(name));
            let length_m = line.run_m();
            (line, from * length_m, to * length_m)
        });
        Way {
            origin_deg: spec(legs[0].0).origin_deg,
            legs: laid.collect(),
        }
    }

    fn length_m(&self) -> f64 {
        self.legs
            .iter()
            .map(|(_, from, to)| (to - from).abs())
            .sum()
    }

    fn at(&self, run_m: f64) -> Node {
        let mut left_m = run_m;
        for (line, from, to) in &self.legs {
            let length_m = (to - from).abs();
            if left_m <= length_m {
                return line.at(from + left_m * (to - from).signum());
            }
            left_m -= length_m;
        }
        let (line, _, to) = &self.legs[self.legs.len() - 1];
        line.at(*to)
    }

    /// Time for a metre here over that for a level metre: hers, not that of any model, so that a
    /// model that is fitted anew does not run her long runs anew.
    fn ratio(&self, run_m: f64) -> f64 {
        let (behind_m, ahead_m) = ((run_m - FELT_M).max(0.0), run_m + FELT_M);
        let rise_m = self.at(ahead_m).height_m - self.at(behind_m).height_m;
        let gradient = rise_m / (ahead_m - behind_m);
        let energy = run_cost_j_per_kg_m(gradient) / run_cost_j_per_kg_m(0.0);
        if gradient >= 0.0 {
            return energy;
        }
        energy.max(1.0 / 1.11) + 8.0 * (-gradient.max(-0.45) - 0.15).max(0.0)
    }
}
