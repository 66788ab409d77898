//! Runs nobody ran: tracks with times of a runner whose figures are known, by the solver itself,
//! with the noise of days, trails and receivers on top.

use sutler::conditions::Conditions;
use sutler::course::{Course, distance_m};
use sutler::diagnostics::Notes;
use sutler::fit::USUAL_FADE;
use sutler::inputs::route_gpx::TrackPoint;
use sutler::inputs::{Inputs, Track};
use sutler::pacing::{Fade, Goal, PacingSettings, solve, usual_stop_share};

use super::course_maker::chance::{Chance, Wander};

/// What is known of a made runner.
#[derive(Clone, Copy, Debug)]
pub struct Runner {
    /// Share of the recorded slowing, while moving.
    pub fade: f64,
    /// Time stood still over the usual.
    pub stop_multiplier: f64,
}

impl Runner {
    pub const USUAL: Runner = Runner {
        fade: USUAL_FADE,
        stop_multiplier: 1.0,
    };
}

/// What a made recording is of.
#[derive(Clone, Debug)]
pub struct Recorded {
    pub seed: u64,
    pub length_km: f64,
    /// Start to finish, stops included.
    pub hours: f64,
    pub runner: Runner,
    /// Deviation of the logarithm of the time for each kilometre.
    pub noise: f64,
    /// Where the runner stands, and for how many minutes.
    pub stops: Vec<(f64, f64)>,
    /// Seconds since 1970.
    pub start_s: f64,
}

/// 2026-05-03T06:00:00Z by `date -u -d ... +%s`.
pub const FIRST_START_S: f64 = 1_777_788_000.0;
/// Between points, metres.
const STEP_M: f64 = 20.0;
/// While standing a point is recorded every so many seconds ...
const STANDING_STEP_S: f64 = 10.0;
/// ... within so many metres of the place.
const WANDER_M: f64 = 2.0;

impl Recorded {
    /// A hilly run of one of a runner's days, a week after the one before, with stops as they are
    /// usual for that runner.
    pub fn day(seed: u64, runner: Runner) -> Recorded {
        let mut chance = Chance::new(seed, 5);
        let hours = chance.between(5.0, 12.0);
        let mut recorded = Recorded {
            seed,
            length_km: hours * chance.between(6.0, 7.5),
            hours,
            runner,
            noise: 0.05,
            stops: Vec::new(),
            start_s: FIRST_START_S + seed as f64 * 7.0 * 86_400.0,
        };
        let stood_min = runner.stop_multiplier * usual_stop_share(hours) * hours * 60.0;
        let count = 6;
        recorded.stops = (1..=count)
            .map(|i| recorded.length_km * f64::from(i) / f64::from(count + 1))
            .map(|km| (km, stood_min / f64::from(count)))
            .filter(|(_, minutes)| *minutes > 1.5)
            .collect();
        recorded
    }

    /// As a track.
    pub fn track(&self) -> Track {
        let way = self.way();
        let mut chance = Chance::new(self.seed, 7);
        let moving_s = self.moving_s(&way, &mut chance);
        let mut points = Vec::new();
        let mut stood_s = 0.0;
        let mut stops = self.stops.iter().peekable();
        for (place, (along_m, moving_s)) in way.points.iter().zip(way.along_m.iter().zip(&moving_s))
        {
            let now_s = self.start_s + moving_s + stood_s;
            let timed = |time_s: f64| TrackPoint {
                time_s: Some(time_s),
                ..*place
            };
            points.push(timed(now_s));
            while let Some((_, minutes)) = stops.next_if(|(km, _)| km * 1000.0 <= *along_m) {
                let stop_s = minutes * 60.0;
                for i in 1..(stop_s / STANDING_STEP_S) as usize {
                    let mut point = timed(now_s + i as f64 * STANDING_STEP_S);
                    point.lat += chance.between(-WANDER_M, WANDER_M) / 111_000.0;
                    point.lon += chance.between(-WANDER_M, WANDER_M) / 77_000.0;
                    points.push(point);
                }
                stood_s += stop_s;
                points.push(timed(now_s + stop_s));
            }
        }
        Track {
            points,
            ..Track::default()
        }
    }

    /// As a file.
    pub fn gpx(&self) -> String {
        gpx(&self.track())
    }

    /// Elapsed moving time at every point, seconds.
    fn moving_s(&self, way: &Way, chance: &mut Chance) -> Vec<f64> {
        let stood_s: f64 = self.stops.iter().map(|(_, minutes)| minutes * 60.0).sum();
        let (finish_s, moving_s) = (self.hours * 3600.0, self.hours * 3600.0 - stood_s);
        let settings = PacingSettings {
            fade: Fade::Slowing {
                strength: self.runner.fade,
            },
            ..PacingSettings::default()
        };
        let inputs = Inputs::default();
        let conditions = Conditions::over(&way.course, &inputs, None, finish_s, &mut Notes::new());
        // solved for the whole finish, for that is what the fade goes by
        let goal = Goal {
            finish_s,
            stops_s: vec![0.0; way.course.stations.len()],
        };
        let pacing = solve(&way.course, &conditions, &settings, &goal).expect("it can be run");
        let mut noisy_s = vec![0.0];
        let (mut factor, mut kilometre) = (1.0, usize::MAX);
        for pair in way.along_m.windows(2) {
            let here = (pair[1] / 1000.0) as usize;
            if here != kilometre {
                kilometre = here;
                factor = (self.noise * chance.bell()).exp();
            }
            let step_s = pacing.elapsed_at_s(&way.course, pair[1])
                - pacing.elapsed_at_s(&way.course, pair[0]);
            noisy_s.push(noisy_s[noisy_s.len() - 1] + step_s * factor);
        }
        let scale = moving_s / noisy_s[noisy_s.len() - 1];
        noisy_s.into_iter().map(|s| s * scale).collect()
    }

    fn way(&self) -> Way {
        let length_m = self.length_km * 1000.0;
        let mut chance = Chance::new(self.seed, 11);
        // what is asked of the curves runs ahead of the distance
        let curve_m = 2.0 * length_m;
        let long_hills = Wander::over(curve_m, 1500.0, 250.0, &mut chance);
        let short_hills = Wander::over(curve_m, 300.0, 40.0, &mut chance);
        let bends = Wander::over(curve_m, 800.0, 0.004, &mut chance);
        let mut points: Vec<TrackPoint> = Vec::new();
        let mut along_m = Vec::new();
        let mut total_m = 0.0;
        while total_m < length_m {
            let asked_m = points.len() as f64 * STEP_M;
            let point = TrackPoint {
                lat: 45.5 + asked_m * 0.85 / 111_200.0,
                lon: 14.2 + bends.at(asked_m),
                elevation_m: Some(900.0 + long_hills.at(asked_m) + short_hills.at(asked_m)),
                time_s: None,
            };
            if let Some(last) = points.last() {
                total_m += distance_m((last.lat, last.lon), (point.lat, point.lon));
            }
            points.push(point);
            along_m.push(total_m);
        }
        let inputs = Inputs {
            track: Track {
                points: points.clone(),
                ..Track::default()
            },
            ..Inputs::default()
        };
        let course = Course::build(&inputs, &mut Notes::new()).expect("it is a course");
        Way {
            points,
            along_m,
            course,
        }
    }
}

struct Way {
    points: Vec<TrackPoint>,
    along_m: Vec<f64>,
    course: Course,
}

/// A track as a file, as devices write it.
pub fn gpx(track: &Track) -> String {
    let mut text = String::from(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
         <gpx version=\"1.1\" creator=\"sutler tests\" \
         xmlns=\"http://www.topografix.com/GPX/1/1\"><trk><trkseg>\n",
    );
    for point in &track.points {
        text += &format!("<trkpt lat=\"{:.7}\" lon=\"{:.7}\">", point.lat, point.lon);
        if let Some(height_m) = point.elevation_m {
            text += &format!("<ele>{height_m:.1}</ele>");
        }
        if let Some(moment) = point
            .time_s
            .and_then(|s| chrono::DateTime::from_timestamp_millis((s * 1000.0) as i64))
        {
            text += &format!("<time>{}</time>", moment.format("%Y-%m-%dT%H:%M:%S%.3fZ"));
        }
        text += "</trkpt>\n";
    }
    text + "</trkseg></trk></gpx>\n"
}
