//! Cutoffs as written become race time on the runner's own watch.

use chrono::{
    DateTime, Datelike, Days, NaiveDate, NaiveDateTime, NaiveTime, TimeZone, Utc, Weekday,
};
use chrono_tz::Tz;

use crate::course::{Course, Station};
use crate::diagnostics::{Diagnostic, Notes, Span};
use crate::inputs::stations_csv::{Cutoff, CutoffOn};
use crate::pacing::FASTEST_LEVEL_MPS;
use crate::time::{Elapsed, WallTime, on_the_wall};

use super::Limit;

/// Hours that a clock time with its weekday may lie ahead of what stands before it, whatever the
/// distance: crews and sweepers close a station long before that.
const SLACK_H: f64 = 24.0;
/// Nobody is given more time than this pace takes, kilometres per hour; the longest limits of
/// races that go on for days come to about 2 (our choice).
const SLOWEST_KMH: f64 = 1.5;

/// Every station's cutoff in race time from the runner's own start, `None` where it has none.
///
/// Elapsed cutoffs count from the official start, so a later wave loses its offset. A clock time
/// without a day is its first occurrence after the cutoff before, or after the start. A clock time
/// with its day is refused where its first occurrence is most of a week away: it is before the
/// start, or before the cutoff before it.
#[must_use]
pub fn resolve_cutoffs(
    course: &Course,
    wave_offset_s: f64,
    notes: &mut Notes,
) -> Vec<Option<Limit>> {
    let offset = Elapsed::from_s(wave_offset_s);
    let mut before: Option<Before<'_>> = course.official_start.map(|start| Before {
        cutoff_of: None,
        instant: start,
        official_m: 0.0,
    });
    course
        .stations
        .iter()
        .map(|station| {
            let (cutoff, on, span) = station.cutoff?;
            let official = match (cutoff, course.official_start.zip(before)) {
                (Cutoff::Unread, _) => return None,
                (Cutoff::Elapsed(elapsed), None) => elapsed,
                (_, None) => {
                    notes.push(needs_start(&station.name, span));
                    return None;
                }
                (_, Some((start, earlier))) => {
                    let asked = WrittenCutoff {
                        station,
                        span,
                        start,
                        before: earlier,
                    };
                    let instant = asked.instant(cutoff, notes)?;
                    before = Some(Before {
                        cutoff_of: Some(&station.name),
                        instant,
                        official_m: station.official_m,
                    });
                    Elapsed::from_secs((instant - start).num_seconds())
                }
            };
            if official > Elapsed::ZERO && station.official_m > FASTEST_LEVEL_MPS * official.as_s()
            {
                notes.push(too_early(station, official, span));
            }
            Some(Limit {
                elapsed: official - offset,
                on: effective(on, station.role),
            })
        })
        .collect()
}

/// The start, or the cutoff before the one that is read.
#[derive(Clone, Copy)]
struct Before<'a> {
    /// The station whose cutoff it is; `None` for the start.
    cutoff_of: Option<&'a str>,
    instant: DateTime<Tz>,
    official_m: f64,
}

/// Nobody leaves the finish, so its cutoff limits the arrival.
fn effective(on: CutoffOn, role: crate::course::StationRole) -> CutoffOn {
    if role == crate::course::StationRole::Finish {
        CutoffOn::Arrival
    } else {
        on
    }
}

/// A cutoff that closes a station before anyone can be there.
fn too_early(station: &Station, official: Elapsed, span: Option<Span>) -> Diagnostic {
    let kmh = station.official_m / 1000.0 / official.as_hours();
    let clock = official.to_seconds_text();
    Diagnostic::warning(format!(
        "the cutoff of `{}` is {clock} after the start: nobody runs {kmh:.0} km/h that far",
        station.name
    ))
    .at(span, "expected a time that can be met")
    .hint("is it a clock time read as race time, or the distance in another unit?")
}

fn needs_start(name: &str, span: Option<Span>) -> Diagnostic {
    Diagnostic::error(format!(
        "the cutoff of `{name}` is a clock time, and the start is unknown"
    ))
    .at(span, "expected time since the start, such as `+31:30`")
    .hint("give `start` and `timezone` in course.toml, or write the cutoff as elapsed time")
}

/// A cutoff being made an instant.
struct WrittenCutoff<'a> {
    station: &'a Station,
    span: Option<Span>,
    start: DateTime<Tz>,
    before: Before<'a>,
}

impl WrittenCutoff<'_> {
    /// The instant; `None`, with an error in `notes`, where there is none or it cannot be meant.
    fn instant(&self, cutoff: Cutoff, notes: &mut Notes) -> Option<DateTime<Tz>> {
        let zone = self.start.timezone();
        let instant = match cutoff {
            Cutoff::Unread => return None,
            Cutoff::Elapsed(elapsed) => self.start + chrono::Duration::seconds(elapsed.as_secs()),
            Cutoff::Instant(utc) => Utc.from_utc_datetime(&utc).with_timezone(&zone),
            Cutoff::Local(local) => self.on_the_wall(local, notes)?,
            Cutoff::Clock(day, time) => {
                let first = next(day, time, self.before.instant);
                if let Some(late) = day.and_then(|day| self.week_late(day, time, first)) {
                    notes.push(late);
                    return None;
                }
                self.on_the_wall(first, notes)?
            }
        };
        let is_back = match self.before.cutoff_of {
            Some(_) => instant < self.before.instant,
            None => instant <= self.before.instant,
        };
        if is_back {
            let hint = "cutoffs go in course order; correct one of the two";
            notes.push(self.backwards(&dated(instant.naive_local())).hint(hint));
            return None;
        }
        Some(instant)
    }

    /// A clock time with its day whose first occurrence is so far off that it was meant before.
    fn week_late(&self, day: Weekday, time: NaiveTime, first: NaiveDateTime) -> Option<Diagnostic> {
        let ahead_h = (first - self.before.instant.naive_local()).num_minutes() as f64 / 60.0;
        let ahead_km = (self.station.official_m - self.before.official_m).max(0.0) / 1000.0;
        let typed = format!("{day} {}", time.format("%H:%M"));
        (ahead_h > SLACK_H + ahead_km / SLOWEST_KMH).then(|| {
            self.backwards(&typed).hint(format!(
                "the next {typed} is {ahead_h:.0} h later; correct the day or the time, or write \
                 `{}` if that is meant",
                first.format("%Y-%m-%dT%H:%M")
            ))
        })
    }

    /// The diagnostic of a cutoff before the start or before the one before it.
    fn backwards(&self, typed: &str) -> Diagnostic {
        let limit = dated(self.before.instant.naive_local());
        let of = match self.before.cutoff_of {
            Some(name) => format!("that of `{name}`"),
            None => "the start".to_owned(),
        };
        let name = &self.station.name;
        Diagnostic::error(format!(
            "the cutoff of `{name}` ({typed}) is before {of} ({limit})"
        ))
        .at(self.span, format!("expected a time after {limit}"))
    }

    /// Of two instants that the clocks show alike, the earlier is the safe one to plan for.
    fn on_the_wall(&self, local: NaiveDateTime, notes: &mut Notes) -> Option<DateTime<Tz>> {
        match on_the_wall(local, self.start.timezone()) {
            WallTime::Once(instant) => Some(instant),
            WallTime::Twice(first, second) => {
                let shown = local.format("%H:%M");
                notes.push(
                    Diagnostic::warning(format!(
                        "the cutoff of `{}` at {shown} comes twice, as the clocks go back; the first is taken",
                        self.station.name
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
                        self.station.name,
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

/// A time on the wall with its day and date, such as `Sat 24 Oct 06:00`.
fn dated(local: NaiveDateTime) -> String {
    local.format("%a %-d %b %H:%M").to_string()
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
