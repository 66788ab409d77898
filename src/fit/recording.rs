//! A track with times as a course with a runner on it.

use chrono::{DateTime, Datelike, NaiveDate, Utc};

use crate::conditions::Conditions;
use crate::course::Course;
use crate::diagnostics::{Diagnostic, Notes};
use crate::inputs::route_gpx::TrackPoint;
use crate::inputs::{Inputs, Track};
use crate::time::{RaceClock, S_PER_HOUR};

use super::on_foot;
use super::points::{self, Fix};
use super::refusal::Refusal;
use super::stops::{self, Halt};

/// One run, as a course and as the times at which it was passed.
#[derive(Clone, Debug)]
pub struct Recording {
    /// As the user calls it.
    pub name: String,
    /// The way, from the recording's own points, with no station between start and finish.
    pub course: Course,
    /// Start to finish, seconds, stops included. What was stood before and after is left out.
    pub finish_s: f64,
    /// Every stretch of more than a minute below 0.3 m/s.
    pub stops: Vec<Halt>,
    /// The start, seconds since 1970.
    pub start_s: f64,
    /// Distance along the course, metres, and the elapsed time when it was first reached, seconds.
    passed: Vec<(f64, f64)>,
}

impl Recording {
    /// Makes a recording of a track.
    ///
    /// # Errors
    /// A warning that names the file and says why it is left out: points without times, gaps, a
    /// ride, a run too short to learn from.
    pub fn read(name: &str, track: &Track) -> Result<Recording, Diagnostic> {
        of(name, track).map_err(|refusal| refusal.about(name))
    }

    /// The elapsed time at which a distance was first reached, seconds.
    #[must_use]
    pub fn elapsed_at_s(&self, distance_m: f64) -> f64 {
        let after = self.passed.partition_point(|(m, _)| *m < distance_m);
        let Some((to_m, to_s)) = self.passed.get(after).copied() else {
            return self.finish_s;
        };
        let Some((from_m, from_s)) = after.checked_sub(1).map(|i| self.passed[i]) else {
            return 0.0;
        };
        from_s + (to_s - from_s) * (distance_m - from_m) / (to_m - from_m).max(f64::MIN_POSITIVE)
    }

    /// As [`Recording::elapsed_at_s`], with all stops before taken out.
    #[must_use]
    pub fn moving_at_s(&self, distance_m: f64) -> f64 {
        let elapsed_s = self.elapsed_at_s(distance_m);
        let stood: f64 = (self.stops.iter())
            .map(|stop| (elapsed_s - stop.from_s).clamp(0.0, stop.length_s))
            .sum();
        elapsed_s - stood
    }

    /// The distance covered at an elapsed time, metres.
    fn distance_at_m(&self, elapsed_s: f64) -> f64 {
        let after = self.passed.partition_point(|(_, s)| *s <= elapsed_s);
        after.checked_sub(1).map_or(0.0, |i| self.passed[i].0)
    }

    /// All stops, seconds.
    #[must_use]
    pub fn stopped_s(&self) -> f64 {
        self.stops.iter().fold(0.0, |sum, stop| sum + stop.length_s)
    }

    /// True where it is the same run, perhaps by another device: start and finish within ten
    /// minutes, length within 2 %.
    pub(super) fn is_same_as(&self, other: &Recording) -> bool {
        const NEAR_S: f64 = 600.0;
        const NEAR: f64 = 0.02;
        let (own_m, other_m) = (
            self.course.profile.length_m(),
            other.course.profile.length_m(),
        );
        (self.start_s - other.start_s).abs() < NEAR_S
            && (self.finish_s - other.finish_s).abs() < NEAR_S
            && (own_m / other_m - 1.0).abs() < NEAR
    }

    /// Start to finish, hours.
    #[must_use]
    pub fn hours(&self) -> f64 {
        self.finish_s / S_PER_HOUR
    }

    /// Its beginning, where the times can be.
    #[must_use]
    pub fn start(&self) -> Option<DateTime<Utc>> {
        DateTime::from_timestamp(self.start_s.round() as i64, 0)
    }

    /// The day (UTC) it was run, where its clock is believable: recorders that were never set start
    /// in 1970, 1980 or 2000.
    #[must_use]
    pub fn day(&self) -> Option<NaiveDate> {
        let day = self.start()?.date_naive();
        (2001..=2100).contains(&day.year()).then_some(day)
    }

    /// Hours darker than civil twilight, by where and when it says it was; `None` where it does not.
    #[must_use]
    pub fn dark_h(&self) -> Option<f64> {
        const EVERY_S: f64 = 600.0;
        self.day()?;
        let start = self.start()?.with_timezone(&chrono_tz::UTC);
        let conditions = Conditions::over(
            &self.course,
            &Inputs::default(),
            Some(&RaceClock::starting(start)),
            self.finish_s,
            &mut Notes::new(),
        );
        let looks = (self.finish_s / EVERY_S).ceil() as usize;
        let dark = (0..looks)
            .map(|i| i as f64 * EVERY_S)
            .filter(|s| conditions.is_dark(self.distance_at_m(*s), *s))
            .count();
        let share = dark as f64 / looks.max(1) as f64;
        conditions.knows_daylight().then(|| share * self.hours())
    }

    /// Light and weather as nobody knows them: always day, never hot.
    #[must_use]
    pub fn plain_day(&self) -> Conditions {
        Conditions::over(
            &self.course,
            &Inputs::default(),
            None,
            self.finish_s,
            &mut Notes::new(),
        )
    }
}

fn of(name: &str, track: &Track) -> Result<Recording, Refusal> {
    let fixes = points::usable(track)?;
    let (fixes, standing) = stops::trimmed(&fixes, stops::find(&fixes));
    let start_s = fixes.first().ok_or_else(Refusal::no_course)?.time_s;
    let kept = points::thinned(fixes);
    let mut along_m = along(&kept);
    let stood_s: f64 = (standing.iter())
        .map(|stop| fixes[stop.last].time_s - fixes[stop.first].time_s)
        .sum();
    on_foot::check(&kept, &along_m, stood_s)?;
    let course = course(name, &kept)?;
    // the course measures the same points the same way, but for what it thins out itself
    let scale = course.profile.length_m() / along_m.last().copied().unwrap_or(1.0);
    along_m.iter_mut().for_each(|m| *m *= scale);
    let passed: Vec<(f64, f64)> = (along_m.iter().zip(&kept))
        .map(|(m, fix)| (*m, fix.time_s - start_s))
        .collect();
    let mut recording = Recording {
        name: name.to_owned(),
        finish_s: passed.last().map_or(0.0, |(_, s)| *s),
        course,
        stops: Vec::new(),
        start_s,
        passed,
    };
    recording.stops = (standing.iter())
        .map(|stop| recording.stop(fixes, stop))
        .collect();
    let pieces = (recording.course.profile.length_m() / 1000.0) as usize;
    let pieces_s: Vec<f64> = (0..pieces)
        .map(|km| km as f64 * 1000.0)
        .map(|m| recording.moving_at_s(m + 1000.0) - recording.moving_at_s(m))
        .collect();
    if on_foot::computed(&pieces_s) {
        return Err(Refusal::new(
            "every kilometre takes the same time",
            "such times come from a planner; give a recording",
        ));
    }
    Ok(recording)
}

impl Recording {
    fn stop(&self, fixes: &[Fix], standing: &stops::PointStop) -> Halt {
        let from_s = fixes[standing.first].time_s - self.start_s;
        Halt {
            from_s,
            length_s: fixes[standing.last].time_s - fixes[standing.first].time_s,
            distance_m: self.distance_at_m(from_s),
        }
    }
}

fn along(kept: &[Fix]) -> Vec<f64> {
    let mut along_m = Vec::with_capacity(kept.len());
    let mut total_m = 0.0;
    for (i, fix) in kept.iter().enumerate() {
        if i > 0 {
            total_m += kept[i - 1].distance_m(fix);
        }
        along_m.push(total_m);
    }
    along_m
}

/// The course of the points alone: no stations, no waypoints, nothing an organiser says.
fn course(name: &str, kept: &[Fix]) -> Result<Course, Refusal> {
    let points = kept.iter().map(|fix| TrackPoint {
        lat: fix.at_deg.0,
        lon: fix.at_deg.1,
        elevation_m: fix.height_m,
        time_s: None,
    });
    let inputs = Inputs {
        track: Track {
            name: Some(name.to_owned()),
            points: points.collect(),
            ..Track::default()
        },
        ..Inputs::default()
    };
    let course = Course::build(&inputs, &mut Notes::new()).ok_or_else(Refusal::no_course)?;
    if course.survey.repairs.flat {
        return Err(Refusal::new(
            "it has no heights",
            "export it with heights, or have them added from a terrain model",
        ));
    }
    Ok(course)
}
