//! The cells of the `cutoff` column: clock times, race times and dates tell themselves apart.

use chrono::{NaiveDateTime, NaiveTime, Weekday};

use crate::diagnostics::{Diagnostic, Notes, Span, Spanned};
use crate::time::Elapsed;

use super::table::Row;
use super::values::{local_time, offset_time, quoted, race_time, with_hint};

/// A time limit as written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cutoff {
    /// `14:30` or `Sun 14:30`: a clock time; without a day, the first one after the cutoff before.
    Clock(Option<Weekday>, NaiveTime),
    /// `+31:30` or `31:30:00`: since the official start. A sign or seconds tell it from a clock.
    Elapsed(Elapsed),
    /// `2026-10-25T14:30`: local date and time.
    Local(NaiveDateTime),
    /// `2026-10-25T02:30+01:00`: an instant, which a clock change leaves unambiguous. In UTC.
    Instant(NaiveDateTime),
}

/// Three letters or the whole name.
const DAYS: [(&str, Weekday); 7] = [
    ("monday", Weekday::Mon),
    ("tuesday", Weekday::Tue),
    ("wednesday", Weekday::Wed),
    ("thursday", Weekday::Thu),
    ("friday", Weekday::Fri),
    ("saturday", Weekday::Sat),
    ("sunday", Weekday::Sun),
];

/// What was expected, and the way out.
type Refusal = (String, Option<String>);

/// The cutoff of a row, where it has one.
pub(super) fn read(row: &Row, notes: &mut Notes) -> Option<Spanned<Cutoff>> {
    let cell = row.cell("cutoff")?;
    match parse(&cell.text) {
        Ok(cutoff) => {
            doubt(&cell.text, cell.span, notes);
            Some(Spanned::at(cutoff, cell.span))
        }
        Err(refusal) => {
            notes.push(refused(&cell.text, cell.span, refusal));
            None
        }
    }
}

/// Spreadsheets write the clock time `06:30` as `06:30:00`, which is race time here.
fn doubt(text: &str, span: Span, notes: &mut Notes) {
    let clock_like =
        text.starts_with('0') && text.ends_with(":00") && text.matches(':').count() == 2;
    if clock_like && !text.contains('-') {
        let clock = text.rsplit_once(':').map_or(text, |(clock, _)| clock);
        let problem =
            Diagnostic::warning(format!("`cutoff` {} counts from the start", quoted(text)));
        notes.push(problem.at(span, "read as race time").hint(format!(
            "for the time of day, write `{clock}`; for race time, `+{clock}`"
        )));
    }
}

fn refused(text: &str, span: Span, (expected, hint): Refusal) -> Diagnostic {
    let problem = Diagnostic::error(format!("`cutoff` is {}", quoted(text))).at(span, expected);
    with_hint(problem, hint)
}

fn parse(text: &str) -> Result<Cutoff, Refusal> {
    if let Some(elapsed) = text.strip_prefix('+') {
        return since_start(elapsed);
    }
    if let Some(time) = local_time(text) {
        return Ok(Cutoff::Local(time));
    }
    if let Some(time) = offset_time(text) {
        return Ok(Cutoff::Instant(time.naive_utc()));
    }
    if text.matches(':').count() == 2 && !text.contains(['-', ' ']) {
        return since_start(text);
    }
    match text.split_once(char::is_whitespace) {
        Some((day, time)) if day.chars().all(char::is_alphabetic) => {
            let day = weekday(day)?;
            clock(time.trim()).map(|time| Cutoff::Clock(Some(day), time))
        }
        _ => clock(text).map(|time| Cutoff::Clock(None, time)),
    }
}

fn since_start(text: &str) -> Result<Cutoff, Refusal> {
    race_time(text)
        .map(Cutoff::Elapsed)
        .map_err(|expected| (expected, None))
}

/// The day that a word names: the whole name, or three letters and more of it.
pub(super) fn day_named(word: &str) -> Option<Weekday> {
    let lower = word.to_lowercase();
    let mut days = DAYS.iter();
    let day = days.find(|(name, _)| lower.len() >= 3 && name.starts_with(lower.as_str()));
    day.map(|(_, day)| *day)
}

fn weekday(typed: &str) -> Result<Weekday, Refusal> {
    day_named(typed).ok_or_else(|| {
        let expected = "expected a day such as `Sun` before the clock time".to_owned();
        (
            expected,
            Some("days are Mon, Tue, Wed, Thu, Fri, Sat and Sun".to_owned()),
        )
    })
}

fn clock(text: &str) -> Result<NaiveTime, Refusal> {
    let expected = || {
        "expected a clock time `14:30` or `Sun 14:30`, race time `+31:30`, or a date and time"
            .to_owned()
    };
    let Ok(time) = Elapsed::parse(text) else {
        return Err((expected(), rewritten(text)));
    };
    let seconds = u32::try_from(time.as_secs()).unwrap_or(u32::MAX);
    let two_parts = text.matches(':').count() == 1;
    let found = two_parts.then(|| NaiveTime::from_num_seconds_from_midnight_opt(seconds, 0));
    match found.flatten() {
        Some(time) => Ok(time),
        None if two_parts && text == "24:00" => Err((
            "expected a clock time up to 23:59".to_owned(),
            Some("midnight is `00:00`; a day after the start is `+24:00`".to_owned()),
        )),
        None if two_parts => Err((
            "expected a clock time up to 23:59".to_owned(),
            Some(format!("for race time since the start, write `+{text}`")),
        )),
        None => Err((expected(), None)),
    }
}

/// How a time in another habit of writing goes here.
fn rewritten(text: &str) -> Option<String> {
    let lower = text.to_lowercase();
    let half = ["am", "pm", "a.m.", "p.m."].iter().find_map(|half| {
        let time = lower.strip_suffix(half)?.trim_end();
        Some((time.to_owned(), half.starts_with('p')))
    });
    if let Some((time, afternoon)) = half {
        let (hour, minute) = time.split_once([':', '.']).unwrap_or((&time, "00"));
        let minutes = minute.len() == 2 && minute.parse::<u32>().is_ok_and(|m| m < 60);
        let hour: u32 = hour.parse().ok().filter(|hour| (1..=12).contains(hour))?;
        let hour = hour % 12 + if afternoon { 12 } else { 0 };
        return minutes.then(|| format!("write it on the 24-hour clock: `{hour:02}:{minute}`"));
    }
    let colon = lower.replace(['.', 'h'], ":");
    Elapsed::parse(&colon).ok()?;
    Some(format!("write it with a colon: `{colon}`"))
}
