//! Cutoffs as written become race time on the runner's own watch.

use chrono::{
    DateTime, Datelike, Days, NaiveDate, NaiveDateTime, NaiveTime, TimeZone, Utc, Weekday,
};
use chrono_tz::Tz;

use crate::course::Course;
use crate::diagnostics::{Diagnostic, Notes, Span};
use crate::inputs::stations_csv::{Cutoff, CutoffOn};
use crate::time::{Elapsed, WallTime, on_the_wall};

use super::Limit;

/// Every station's cutoff in race time from the runner's own start, `None` where it has none.
///
/// Elapsed cutoffs count from the official start, so a later wave loses its offset. A clock time
/// without a day is its first occurrence after the cutoff before, or after the start.
#[must_use]
pub fn resolve_cutoffs(
    course: &Course,
    wave_offset_s: f64,
    notes: &mut Notes,
) -> Vec<Option<Limit>> {
    let offset = Elapsed::from_s(wave_offset_s);
    let mut after: Option<DateTime<Tz>> = course.official_start;
    course
        .stations
        .iter()
        .map(|station| {
            let (cutoff, on, span) = station.cutoff?;
            let official = match (cutoff, course.official_start) {
                (Cutoff::Elapsed(elapsed), _) => Some(elapsed),
                (_, None) => {
                    notes.push(needs_start(&station.name, span));
                    None
                }
                (_, Some(start)) => {
                    let asked = Asked {
                        name: &station.name,
                        span,
                        zone: start.timezone(),
                    };
                    let instant = asked.instant(cutoff, after.unwrap_or(start), notes)?;
                    Some(Elapsed::from_secs((instant - start).num_seconds()))
                }
            }?;
            if let Some(start) = course.official_start {
                after = Some(start + chrono::Duration::seconds(official.as_secs()));
            }
            Some(Limit {
                elapsed: official - offset,
                on: effective(on, course, station.role),
            })
        })
        .collect()
}

/// Nobody leaves the finish, so its cutoff limits the arrival.
fn effective(on: CutoffOn, _course: &Course, role: crate::course::Role) -> CutoffOn {
    if role == crate::course::Role::Finish {
        CutoffOn::Arrival
    } else {
        on
    }
}

fn needs_start(name: &str, span: Option<Span>) -> Diagnostic {
    Diagnostic::error(format!(
        "the cutoff of `{name}` is a clock time, and the start is unknown"
    ))
    .at(span, "expected time since the start, such as `+31:30`")
    .hint("give `start` and `timezone` in course.toml, or write the cutoff as elapsed time")
}

/// A cutoff being made an instant.
struct Asked<'a> {
    name: &'a str,
    span: Option<Span>,
    zone: Tz,
}

impl Asked<'_> {
    fn instant(
        &self,
        cutoff: Cutoff,
        after: DateTime<Tz>,
        notes: &mut Notes,
    ) -> Option<DateTime<Tz>> {
        match cutoff {
            Cutoff::Elapsed(_) => None,
            Cutoff::Instant(utc) => Some(Utc.from_utc_datetime(&utc).with_timezone(&self.zone)),
            Cutoff::Local(local) => self.on_the_wall(local, notes),
            Cutoff::Clock(day, time) => self.on_the_wall(next(day, time, after), notes),
        }
    }

    /// Of two instants that the clocks show alike, the earlier is the safe one to plan for.
    fn on_the_wall(&self, local: NaiveDateTime, notes: &mut Notes) -> Option<DateTime<Tz>> {
        match on_the_wall(local, self.zone) {
            WallTime::Once(instant) => Some(instant),
            WallTime::Twice(first, second) => {
                let shown = local.format("%H:%M");
                notes.push(
                    Diagnostic::warning(format!(
                        "the cutoff of `{}` at {shown} comes twice, as the clocks go back; the first is taken",
                        self.name
                    ))
                    .at(self.span, "ambiguous time")
                    .hint(format!(
                        "write `{}` or `{}` to say which",
                        first.format("%Y-%m-%dT%H:%M%:z"),
                        second.format("%Y-%m-%dT%H:%M%:z")
                    )),
                );
                Some(first)
            }
            WallTime::Never => {
                notes.push(
                    Diagnostic::error(format!(
                        "the cutoff of `{}` at {} does not exist: the clocks go forward past it",
                        self.name,
                        local.format("%H:%M")
                    ))
                    .at(self.span, "expected a time that the clocks show")
                    .hint("write it with its offset from UTC, or as elapsed time"),
                );
                None
            }
        }
    }
}

/// The first time on the wall after an instant that shows this clock time, on this weekday if
/// one is given.
fn next(day: Option<Weekday>, time: NaiveTime, after: DateTime<Tz>) -> NaiveDateTime {
    let local = after.naive_local();
    let today: NaiveDate = local.date();
    (0..=8)
        .filter_map(|days| today.checked_add_days(Days::new(days)))
        .map(|date| date.and_time(time))
        .find(|candidate| {
            let right_day = day.is_none_or(|d| candidate.weekday() == d);
            right_day && (*candidate > local || (day.is_some() && candidate.date() > today))
        })
        .unwrap_or_else(|| today.and_time(time))
}
