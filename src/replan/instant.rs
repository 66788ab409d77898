//! Every race time that a written moment can mean, near the time that was planned.

use chrono::{DateTime, Datelike, Days, NaiveDate, Offset, TimeZone, Utc};
use chrono_tz::Tz;

use crate::diagnostics::{Diagnostic, Span};
use crate::time::{Elapsed, RaceClock, WallTime, on_the_wall};

use super::moment::{Which, WrittenTime, time_of_day};

/// A clock time without a day is looked for this far from the plan: half a day, and half of the
/// hour by which a day may be longer.
const HALF_DAY: Elapsed = Elapsed::from_secs(12 * 3600 + 1800);
/// With a day of the week, half a week and as much.
const HALF_WEEK: Elapsed = Elapsed::from_secs(84 * 3600 + 1800);

/// A moment to be placed.
pub(super) struct TypedMoment<'a> {
    pub(super) moment: WrittenTime,
    /// As typed, for messages.
    pub(super) typed: &'a str,
    pub(super) span: Option<Span>,
    pub(super) clock: Option<RaceClock>,
    /// The arrival or departure that was planned there.
    pub(super) planned: Elapsed,
}

impl TypedMoment<'_> {
    /// The race times it can mean, earliest first; more than one only where clocks go back or
    /// the plan is half a day off.
    pub(super) fn race_times(&self) -> Result<Vec<Elapsed>, Diagnostic> {
        let Some(clock) = self.clock else {
            return self.without_clock();
        };
        let zone = clock.start().timezone();
        let mut times: Vec<Elapsed> = match self.moment {
            WrittenTime::Since(elapsed) => vec![elapsed],
            WrittenTime::Instant(instant) => vec![clock.elapsed_at(instant.with_timezone(&zone))],
            WrittenTime::Local(local, which) => self
                .shown(local.date(), local.time(), which, zone)?
                .into_iter()
                .map(|instant| clock.elapsed_at(instant))
                .collect(),
            WrittenTime::Clock { .. } => self.near_plan(&clock)?,
        };
        times.sort_unstable();
        times.dedup();
        Ok(times)
    }

    fn without_clock(&self) -> Result<Vec<Elapsed>, Diagnostic> {
        match self.moment {
            WrittenTime::Since(elapsed) => Ok(vec![elapsed]),
            // watches show the time since the start where the race has no clock
            WrittenTime::Clock {
                day: None,
                time,
                which: None,
            } => Ok(vec![time]),
            _ => Err(self
                .problem("is a time on the clock, and the race's start is not known")
                .at(self.span, "expected time since the start, such as `+20:31`")
                .hint("give `start` and `timezone` in course.toml, or --start and --timezone")),
        }
    }

    /// The instants with this clock time that lie nearest to the plan.
    fn near_plan(&self, clock: &RaceClock) -> Result<Vec<Elapsed>, Diagnostic> {
        let WrittenTime::Clock { day, time, which } = self.moment else {
            return Ok(Vec::new());
        };
        let Some(time) = time_of_day(time) else {
            return Err(self
                .problem("is not a time of day")
                .at(self.span, "expected a clock time up to 23:59")
                .hint(format!(
                    "for the time since the start, write `+{}`",
                    self.typed
                )));
        };
        let zone = clock.start().timezone();
        let reach = if day.is_some() { HALF_WEEK } else { HALF_DAY };
        let first = clock.at(self.planned).date_naive();
        let mut times = Vec::new();
        let mut never = None;
        for days in 0..=10_u64 {
            let Some(date) = (first - chrono::Duration::days(5)).checked_add_days(Days::new(days))
            else {
                continue;
            };
            if day.is_some_and(|day| date.weekday() != day) {
                continue;
            }
            let near = |at: Elapsed| apart(at, self.planned) <= reach;
            match self.shown(date, time, which, zone) {
                Ok(instants) => times.extend(
                    instants
                        .into_iter()
                        .map(|instant| clock.elapsed_at(instant))
                        .filter(|at| near(*at)),
                ),
                Err(problem) => {
                    // a day that is not meant may lack this time or this mark
                    let noon =
                        zone.from_local_datetime(&date.and_hms_opt(12, 0, 0).unwrap_or_default());
                    let close = noon
                        .earliest()
                        .is_some_and(|noon| near(clock.elapsed_at(noon)));
                    if close && never.is_none() {
                        never = Some(problem);
                    }
                }
            }
        }
        match never {
            Some(problem) if times.is_empty() => Err(problem),
            _ => Ok(times),
        }
    }

    /// The instants at which the clocks of a day show a time.
    fn shown(
        &self,
        date: NaiveDate,
        time: chrono::NaiveTime,
        which: Option<Which>,
        zone: Tz,
    ) -> Result<Vec<DateTime<Tz>>, Diagnostic> {
        let local = date.and_time(time);
        if let Some(Which::Offset(seconds)) = which {
            let utc = local - chrono::Duration::seconds(i64::from(seconds));
            let instant = Utc.from_utc_datetime(&utc).with_timezone(&zone);
            let kept = instant.offset().fix().local_minus_utc();
            return if kept == seconds {
                Ok(vec![instant])
            } else {
                Err(self
                    .problem("has an offset that the clocks of the race do not have then")
                    .at(self.span, format!("expected `{}`", instant.format("%:z")))
                    .hint("leave the offset out"))
            };
        }
        match (on_the_wall(local, zone), which) {
            (WallTime::Once(instant), None) => Ok(vec![instant]),
            (WallTime::Once(_), Some(_)) => Err(self
                .problem("is marked as one of two, and the clocks show it once")
                .at(self.span, "expected a time in the hour that comes twice")
                .hint("leave the mark out")),
            (WallTime::Twice(first, second), which) => Ok(match which {
                Some(Which::First) => vec![first],
                Some(_) => vec![second],
                None => vec![first, second],
            }),
            (WallTime::Never, _) => Err(self
                .problem("does not exist: the clocks go forward past it")
                .at(self.span, "expected a time that the clocks show")
                .hint("write `+20:31` for the time since the start, or add the offset from UTC")),
        }
    }

    fn problem(&self, what: &str) -> Diagnostic {
        Diagnostic::error(format!("`{}` {what}", self.typed))
    }
}

/// The time between two race times, in either order.
pub(super) fn apart(one: Elapsed, other: Elapsed) -> Elapsed {
    Elapsed::from_secs((one - other).as_secs().abs())
}
