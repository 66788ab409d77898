//! The cells of the `cutoff` column: clock times, race times and dates tell themselves apart.

use chrono::{NaiveDateTime, NaiveTime, Weekday};

use crate::diagnostics::{Diagnostic, Notes, Span, Spanned};
use crate::time::Elapsed;

use super::moments::{self, TimeReading};
use super::table::TableRow;
use super::values::{day_named, local_time, offset_time, quoted, race_time, with_hint};

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
    /// `?`, with the organiser's words behind it: there is one, and nobody has read it.
    Unread,
}

/// The cutoff of a row, where it has one.
pub(super) fn read(row: &TableRow, notes: &mut Notes) -> Option<Spanned<Cutoff>> {
    let cell = row.cell("cutoff")?;
    if cell.text.starts_with('?') {
        let name = row.cell("name").map_or("", |cell| cell.text.as_str());
        let problem = Diagnostic::warning(format!("the cutoff of {} is not read", quoted(name)));
        notes.push(
            problem
                .at(cell.span, "expected a time: the plan knows none here")
                .hint("ask the organiser, and write it such as `14:30`, `Sun 14:30` or `+31:30`"),
        );
        return Some(Spanned::at(Cutoff::Unread, cell.span));
    }
    match parse(&cell.text) {
        Ok(cutoff) => {
            doubt(&cell.text, cell.span, notes);
            Some(Spanned::at(cutoff, cell.span))
        }
        Err(expected) => {
            let problem = Diagnostic::error(format!("`cutoff` is {}", quoted(&cell.text)));
            notes.push(with_hint(
                problem.at(cell.span, expected),
                rewritten(&cell.text),
            ));
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
            Diagnostic::warning(format!("`cutoff` {} may be a time of day", quoted(text)));
        notes.push(problem.at(span, "read as race time").hint(format!(
            "for the time of day, write `{clock}`; for race time, `+{clock}`"
        )));
    }
}

fn parse(text: &str) -> Result<Cutoff, String> {
    if let Some(elapsed) = text.strip_prefix('+') {
        return race_time(elapsed).map(Cutoff::Elapsed);
    }
    if let Some(time) = local_time(text) {
        return Ok(Cutoff::Local(time));
    }
    if let Some(time) = offset_time(text) {
        return Ok(Cutoff::Instant(time.naive_utc()));
    }
    if text.matches(':').count() == 2 && !text.contains(['-', ' ']) {
        return race_time(text).map(Cutoff::Elapsed);
    }
    match text.split_once(char::is_whitespace) {
        Some((day, time)) if day.chars().all(char::is_alphabetic) => {
            let expected = "expected a day such as `Sun` before the clock time";
            let day = day_named(day).ok_or(expected)?;
            clock(time.trim()).map(|time| Cutoff::Clock(Some(day), time))
        }
        _ => clock(text).map(|time| Cutoff::Clock(None, time)),
    }
}

fn clock(text: &str) -> Result<NaiveTime, String> {
    let time = Elapsed::parse(text)
        .ok()
        .filter(|_| text.matches(':').count() == 1);
    let seconds = time.and_then(|time| u32::try_from(time.as_secs()).ok());
    let clock =
        seconds.and_then(|seconds| NaiveTime::from_num_seconds_from_midnight_opt(seconds, 0));
    clock.ok_or_else(|| match time {
        Some(_) => "expected a clock time up to 23:59".to_owned(),
        None => {
            "expected a clock time `14:30` or `Sun 14:30`, race time `+31:30`, or a date and time"
                .to_owned()
        }
    })
}

/// A time in another habit of writing, as it goes here.
fn rewritten(text: &str) -> Option<String> {
    if text.trim() == "24:00" {
        return Some("midnight is `00:00`; a day after the start is `+24:00`".to_owned());
    }
    let cutoff = moments::cutoff(text, TimeReading::Clock, None).ok()?;
    Some(match cutoff.strip_prefix('+') {
        Some(_) => format!("for race time since the start, write `{cutoff}`"),
        None => format!("write `{cutoff}`"),
    })
}
