//! Cutoffs that go backwards: clock times, race times and dates compared where they can be.

use chrono::{NaiveDateTime, TimeDelta, Timelike};
use chrono_tz::Tz;

use crate::diagnostics::{Diagnostic, Notes};
use crate::time::{WallTime, on_the_wall};

use super::CourseFile;
use super::cutoff::Cutoff;
use super::said::Said;
use super::stations_csv::StationRow;
use super::values::quoted;

/// Cutoffs as numbers that can be compared, where they are of the same sort.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Sort {
    SinceStart,
    OnTheWall,
    Instant,
    InTheWeek,
}

const WEEK_S: i64 = 7 * 86_400;

/// Checks that no cutoff comes before the start or before the cutoff before it.
pub(super) fn check(rows: &[StationRow], course: &CourseFile, said: &Said<'_>, notes: &mut Notes) {
    let mut before: Option<(&StationRow, Sort, i64)> = None;
    for row in rows {
        let Some(cutoff) = row.cutoff else { continue };
        let Some((sort, second)) = comparable(cutoff.value, course) else {
            before = None;
            continue;
        };
        if sort == Sort::Instant && start_s(course).is_some_and(|start| second <= start) {
            let name = quoted(&row.name.value);
            notes.push(
                Diagnostic::error(format!("the cutoff of {name} is not after the start")).at(
                    cutoff.span,
                    "expected a time after the `start` in `course.toml`",
                ),
            );
        }
        if let Some((earlier, _, limit)) = before.filter(|(_, s, _)| *s == sort) {
            // On a weekly dial only a short way back can be told from a long way on.
            let back = match sort {
                Sort::InTheWeek => (second - limit).rem_euclid(WEEK_S) > WEEK_S * 5 / 7,
                _ => second < limit,
            };
            if back {
                notes.push(backwards(earlier, row, said));
            }
        }
        before = Some((row, sort, second));
    }
}

fn backwards(earlier: &StationRow, row: &StationRow, said: &Said<'_>) -> Diagnostic {
    let span = |row: &StationRow| row.cutoff.and_then(|cutoff| cutoff.span);
    let limit = said.words(span(earlier));
    Diagnostic::error(format!(
        "the cutoff of {} ({}) is before that of {} ({limit})",
        quoted(&row.name.value),
        said.words(span(row)),
        quoted(&earlier.name.value),
    ))
    .at(span(row), format!("expected {limit} or later"))
    .hint("cutoffs go in course order; correct one of the two")
}

fn start_s(course: &CourseFile) -> Option<i64> {
    let (start, zone) = (course.start?.value, course.timezone?.value);
    wall_s(start, zone)
}

/// The earliest instant a time on the wall can mean.
fn wall_s(local: NaiveDateTime, zone: Tz) -> Option<i64> {
    match on_the_wall(local, zone) {
        WallTime::Once(instant) | WallTime::Twice(instant, _) => Some(instant.timestamp()),
        WallTime::Never => None,
    }
}

fn comparable(cutoff: Cutoff, course: &CourseFile) -> Option<(Sort, i64)> {
    let zone = course.timezone.map(|zone| zone.value);
    match cutoff {
        Cutoff::Elapsed(elapsed) => Some(match start_s(course) {
            Some(start) => (Sort::Instant, start + elapsed.as_secs()),
            None => (Sort::SinceStart, elapsed.as_secs()),
        }),
        Cutoff::Local(local) => match zone {
            Some(zone) => wall_s(local, zone).map(|second| (Sort::Instant, second)),
            None => Some((Sort::OnTheWall, local.and_utc().timestamp())),
        },
        Cutoff::Instant(utc) => Some((Sort::Instant, utc.and_utc().timestamp())),
        Cutoff::Clock(Some(day), time) => {
            let days = TimeDelta::days(i64::from(day.num_days_from_monday()));
            let second = days.num_seconds() + i64::from(time.num_seconds_from_midnight());
            Some((Sort::InTheWeek, second))
        }
        Cutoff::Clock(None, _) | Cutoff::Unread => None,
    }
}
