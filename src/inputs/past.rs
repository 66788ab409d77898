//! `[past]` or `[[past]]` of the plan: what the runner has run before.

use chrono::NaiveDate;

use crate::diagnostics::{Diagnostic, Spanned};
use crate::time::Elapsed;

use super::limits;
use super::surfaces_csv::Surface;
use super::toml_reader::{Reading, Section};

/// One race or long run to judge a finish by.
#[derive(Clone, Debug, PartialEq)]
pub struct PastResult {
    /// `name`
    pub name: Option<String>,
    /// `date`
    pub date: Option<NaiveDate>,
    /// `distance_km` (or `_mi`, `_m`)
    pub distance_m: f64,
    /// `climb_m` (or `_ft`), 0 by default.
    pub climb_m: f64,
    /// `time`: from start to finish, such as `"9:40:00"`.
    pub time: Spanned<Elapsed>,
    /// `stopped_min`: how much of that was stops, 0 by default.
    pub stopped_s: f64,
    /// `surface`: the ground, where it was another than most of the course.
    pub surface: Option<Surface>,
}

/// Reads one of them.
pub(super) fn read(section: &mut Section<'_>, r: &mut Reading) -> Option<PastResult> {
    let name = section.text("name", r).map(|name| name.value);
    let date = section.date("date", r);
    let distance_m = section.needed(&limits::PAST_DISTANCE, r);
    let climb_m = section.number(&limits::PAST_CLIMB, r);
    let time = section.needed_race_time("time", r);
    let stopped = section.number(&limits::PAST_STOPPED, r);
    let surface = section.choice("surface", &Surface::NAMES, r);
    let (distance_m, time) = (distance_m?, time?);
    let stopped_s = stopped.map_or(0.0, |stopped| stopped.value);
    if stopped_s >= time.value.as_s() {
        r.notes
            .push(Diagnostic::error("the stops take as long as all of it").at(
                stopped.and_then(|stopped| stopped.span),
                format!("expected less than {}", time.value.to_seconds_text()),
            ));
        return None;
    }
    Some(PastResult {
        name,
        date,
        distance_m,
        climb_m: climb_m.map_or(0.0, |climb| climb.value),
        time,
        stopped_s,
        surface,
    })
}
