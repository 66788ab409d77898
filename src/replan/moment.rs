//! Times as they are shouted at a station: the watch, the clock on the wall, the day with it.

use chrono::{DateTime, Datelike, FixedOffset, NaiveDate, NaiveDateTime, NaiveTime, Weekday};

use crate::inputs::limits::DATE_YEARS;
use crate::time::{DAY_NAMES, Elapsed};

/// The time at which something was seen, as written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum WrittenTime {
    /// `+20:31`: since the runner's own start.
    Since(Elapsed),
    /// `14:32`, `Sun 02:31`, `02:31²`, `02:31+01:00`: the clock on the wall, and what tells which
    /// of several such times is meant.
    Clock {
        /// The day of the week.
        day: Option<Weekday>,
        /// Hours, minutes and perhaps seconds. Up to 24 h where there is a clock; where the race
        /// has none it is the time since the start.
        time: Elapsed,
        /// The one of two meant where the clocks go back.
        which: Option<Which>,
    },
    /// `2026-10-25T02:31`: the date and the clock on the wall.
    Local(NaiveDateTime, Option<Which>),
    /// `2026-10-25T02:31+01:00`.
    Instant(DateTime<FixedOffset>),
}

/// One of two times that the clocks show alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// `¹`: before they go back.
    First,
    /// `²`: after.
    Second,
    /// `+01:00`: the one at so many seconds east of UTC.
    Offset(i32),
}

/// The expectation, and the way out.
pub(super) type NoMoment = (String, Option<String>);

impl WrittenTime {
    /// Reads a moment.
    ///
    /// ```
    /// use sutler::replan::WrittenTime;
    /// use sutler::time::Elapsed;
    /// let (moment, to_the_minute) = WrittenTime::parse("+20:31").expect("a race time");
    /// assert_eq!(moment, WrittenTime::Since(Elapsed::from_secs(20 * 3600 + 31 * 60)));
    /// assert!(to_the_minute);
    /// assert!(WrittenTime::parse("half past two").is_err());
    /// ```
    ///
    /// The flag says whether seconds were left out.
    ///
    /// # Errors
    /// In words, what was expected, and the way out where one is plain.
    pub fn parse(text: &str) -> Result<(WrittenTime, bool), (String, Option<String>)> {
        let text = text.trim();
        if let Some(since) = text.strip_prefix('+') {
            let time = Elapsed::parse(since).map_err(|expected| (expected, None))?;
            return Ok((WrittenTime::Since(time), to_the_minute(since)));
        }
        let (rest, which) = marked(text);
        if rest.starts_with(|c: char| c.is_ascii_digit()) && rest.contains('-') {
            return dated(rest, which);
        }
        let (rest, which) = match which {
            Some(which) => (rest, Some(which)),
            None => offset(rest)?,
        };
        let (day, time) = match rest.split_once(char::is_whitespace) {
            Some((day, time)) if day.chars().all(char::is_alphabetic) => {
                (Some(weekday(day)?), time.trim())
            }
            _ => (None, rest),
        };
        let elapsed = Elapsed::parse(time).map_err(|_| (expected(), rewritten(time)))?;
        let clock = WrittenTime::Clock {
            day,
            time: elapsed,
            which,
        };
        Ok((clock, to_the_minute(time)))
    }
}

/// The clock time of a [`WrittenTime::Clock`], where it is one of a day's.
pub(super) fn time_of_day(time: Elapsed) -> Option<NaiveTime> {
    let seconds = u32::try_from(time.as_secs()).ok()?;
    NaiveTime::from_num_seconds_from_midnight_opt(seconds, 0)
}

fn expected() -> String {
    "expected a clock time such as `14:32` or `Sun 02:31`, `+20:31` since the start, or a date \
     and time"
        .to_owned()
}

fn to_the_minute(time: &str) -> bool {
    time.matches(':').count() < 2
}

/// The mark that reports put on a time that comes twice, taken off.
fn marked(text: &str) -> (&str, Option<Which>) {
    if let Some(rest) = text.strip_suffix('¹') {
        (rest.trim_end(), Some(Which::First))
    } else if let Some(rest) = text.strip_suffix('²') {
        (rest.trim_end(), Some(Which::Second))
    } else {
        (text, None)
    }
}

/// The offset from UTC after a clock time, taken off.
fn offset(text: &str) -> Result<(&str, Option<Which>), NoMoment> {
    if let Some(rest) = text.strip_suffix(['Z', 'z']) {
        return Ok((rest, Some(Which::Offset(0))));
    }
    let Some(at) = text.rfind(['+', '-', '\u{2212}']) else {
        return Ok((text, None));
    };
    let (rest, signed) = text.split_at(at);
    let sign = if signed.starts_with('+') { 1 } else { -1 };
    let digits = signed.trim_start_matches(['+', '-', '\u{2212}']);
    let time = Elapsed::parse(digits)
        .ok()
        .filter(|t| t.as_secs() <= 14 * 3600);
    match time.and_then(|t| i32::try_from(t.as_secs()).ok()) {
        Some(seconds) => Ok((rest.trim_end(), Some(Which::Offset(sign * seconds)))),
        None => Err((
            "expected an offset from UTC such as `+01:00` after the time".to_owned(),
            None,
        )),
    }
}

fn dated(text: &str, which: Option<Which>) -> Result<(WrittenTime, bool), NoMoment> {
    let text = text.replacen(' ', "T", 1);
    let zoned = ["%Y-%m-%dT%H:%M%#z", "%Y-%m-%dT%H:%M:%S%#z"];
    if let (None, Some((form, instant))) = (
        which,
        first(&zoned, |form| {
            let instant = DateTime::parse_from_str(&text, form).ok()?;
            DATE_YEARS.contains(&instant.year()).then_some(instant)
        }),
    ) {
        return Ok((WrittenTime::Instant(instant), form == 0));
    }
    let local = ["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S"];
    if let Some((form, local)) = first(&local, |form| {
        let local = NaiveDateTime::parse_from_str(&text, form).ok()?;
        DATE_YEARS.contains(&local.year()).then_some(local)
    }) {
        return Ok((WrittenTime::Local(local, which), form == 0));
    }
    let hint = NaiveDate::parse_from_str(&text, "%Y-%m-%d")
        .is_ok()
        .then(|| format!("add the time of day, such as `{text}T14:32`"));
    Err((
        "expected a date and time such as `2026-10-25T02:31`".to_owned(),
        hint,
    ))
}

/// The first form that fits, and which of them it is.
fn first<T>(forms: &[&str], read: impl Fn(&str) -> Option<T>) -> Option<(usize, T)> {
    forms
        .iter()
        .enumerate()
        .find_map(|(at, form)| read(form).map(|value| (at, value)))
}

/// Three letters or the whole name, in any case.
fn weekday(typed: &str) -> Result<Weekday, NoMoment> {
    let typed_day: Option<Weekday> = typed.parse().ok();
    typed_day.ok_or_else(|| {
        (
            "expected a day such as `Sun` before the clock time".to_owned(),
            Some(format!("days are {}", DAY_NAMES.join(", "))),
        )
    })
}

/// The way to write here a time in another habit of writing.
fn rewritten(text: &str) -> Option<String> {
    let lower = text.to_lowercase();
    let half = [("am", 0), ("a.m.", 0), ("pm", 12), ("p.m.", 12)]
        .iter()
        .find_map(|(half, more)| Some((lower.strip_suffix(half)?.trim_end().to_owned(), *more)));
    if let Some((time, more)) = half {
        let time = if time.contains([':', '.']) {
            time.replace('.', ":")
        } else {
            time + ":00"
        };
        let seconds = Elapsed::parse(&time).ok()?.as_secs();
        let in_range = (3600..13 * 3600).contains(&seconds);
        let on_24 = Elapsed::from_secs(seconds % (12 * 3600) + more * 3600);
        let (hour, minute) = (on_24.as_secs() / 3600, on_24.as_secs() / 60 % 60);
        return in_range.then(|| format!("write it on the 24-hour clock: `{hour:02}:{minute:02}`"));
    }
    let digits = (3..=4).contains(&lower.len()) && lower.chars().all(|c| c.is_ascii_digit());
    let colon = match lower.len().checked_sub(2).filter(|_| digits) {
        Some(hours) => format!("{}:{}", &lower[..hours], &lower[hours..]),
        None => lower.replace(['.', 'h'], ":"),
    };
    Elapsed::parse(&colon).ok()?;
    Some(format!("write it with a colon: `{colon}`"))
}
