//! What the recordings are of, and so what they cannot tell.

use chrono::NaiveDate;

use crate::conditions::Conditions;
use crate::diagnostics::Notes;
use crate::inputs::Inputs;
use crate::time::RaceClock;

use super::recording::Recording;

/// The reach of the recordings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seen {
    /// The day of the first and of the last run (UTC), where their clocks are believable.
    pub dates: Option<(NaiveDate, NaiveDate)>,
    /// The shortest run, start to finish, hours.
    pub shortest_h: f64,
    /// The longest.
    pub longest_h: f64,
    /// All runs, metres.
    pub length_m: f64,
    /// The highest point, metres.
    pub highest_m: f64,
    /// Metres of climbs of 10 % and more.
    pub steep_up_m: f64,
    /// Metres of descents of 10 % and more.
    pub steep_down_m: f64,
    /// Hours in the dark, by where and when the recordings say they were; `None` where they do not.
    pub dark_h: Option<f64>,
}

/// Recorders that were never set start in 1970, 1980 or 2000.
const BELIEVED_FROM_YEAR: i32 = 2001;

impl Seen {
    pub(super) fn on(recordings: &[&Recording]) -> Seen {
        let over = |read: fn(&Recording) -> f64, join: fn(f64, f64) -> f64| {
            recordings
                .iter()
                .map(|r| read(r))
                .reduce(join)
                .unwrap_or(0.0)
        };
        let days: Option<Vec<NaiveDate>> = recordings.iter().map(|r| day(r)).collect();
        Seen {
            dates: days.and_then(|days| Some((*days.iter().min()?, *days.iter().max()?))),
            shortest_h: over(Recording::hours, f64::min),
            longest_h: over(Recording::hours, f64::max),
            length_m: over(|r| r.course.profile.length_m(), |a, b| a + b),
            highest_m: over(highest_m, f64::max),
            steep_up_m: over(|r| steeper_m(r, |gradient| gradient >= 0.10), |a, b| a + b),
            steep_down_m: over(|r| steeper_m(r, |gradient| gradient <= -0.10), |a, b| a + b),
            dark_h: recordings.iter().map(|r| dark_h(r)).sum(),
        }
    }
}

fn day(recording: &Recording) -> Option<NaiveDate> {
    use chrono::Datelike;
    let day = recording.start()?.date_naive();
    (BELIEVED_FROM_YEAR..=2100)
        .contains(&day.year())
        .then_some(day)
}

fn highest_m(recording: &Recording) -> f64 {
    let heights = recording.course.profile.elevation_m.iter().copied();
    heights.fold(f64::NEG_INFINITY, f64::max)
}

fn steeper_m(recording: &Recording, steep: fn(f64) -> bool) -> f64 {
    let profile = &recording.course.profile;
    let steps = 0..profile.elevation_m.len().saturating_sub(1);
    steps.filter(|i| steep(profile.gradient(*i))).count() as f64 * profile.spacing_m
}

/// Darker than civil twilight, hours.
fn dark_h(recording: &Recording) -> Option<f64> {
    const EVERY_S: f64 = 600.0;
    day(recording)?;
    let start = recording.start()?.with_timezone(&chrono_tz::UTC);
    let conditions = Conditions::over(
        &recording.course,
        &Inputs::default(),
        Some(&RaceClock::starting(start)),
        recording.finish_s,
        &mut Notes::new(),
    );
    if !conditions.knows_daylight() {
        return None;
    }
    let looks = (recording.finish_s / EVERY_S).ceil() as usize;
    let dark = (0..looks)
        .map(|i| i as f64 * EVERY_S)
        .filter(|s| conditions.is_dark(recording.distance_at_m(*s), *s))
        .count();
    Some(dark as f64 / looks.max(1) as f64 * recording.hours())
}
