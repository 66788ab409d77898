//! Rules for texts and numbers of any file, and the words for those that break them.

use chrono::{DateTime, Datelike, FixedOffset, NaiveDate, NaiveDateTime, Weekday};

use crate::diagnostics::{Diagnostic, Span, did_you_mean};
use crate::time::Elapsed;
use crate::words::{self, folded};

use super::limits;

/// A value as quoted in a message: short, on one line.
pub(super) fn quoted(text: &str) -> String {
    const LONGEST: usize = 60;
    let mut shown: String = text.chars().take(LONGEST).collect();
    if shown.len() < text.len() {
        shown.push('…');
    }
    format!("`{}`", shown.replace(char::is_control, "\u{fffd}"))
}

/// Names one of which is wanted: "`km`, `mi` or `m`".
pub(super) fn either<S: AsRef<str>>(names: &[S]) -> String {
    words::listed_with(names, "or")
}

/// Adds a hint where there is one.
pub(super) fn with_hint(diagnostic: Diagnostic, hint: Option<String>) -> Diagnostic {
    match hint {
        Some(hint) => diagnostic.hint(hint),
        None => diagnostic,
    }
}

/// Checks a name or a sentence: short enough, no control character, something in it.
pub(super) fn check_text(
    key: &str,
    text: &str,
    longest: usize,
    span: Span,
) -> Result<String, Diagnostic> {
    let text = text.trim();
    if let Some(found) = text.chars().find(|c| c.is_control()) {
        let what = match found {
            '\n' | '\r' => "a line break".to_owned(),
            '\t' => "a tab".to_owned(),
            other => format!("the control character U+{:04X}", u32::from(other)),
        };
        return Err(
            Diagnostic::error(format!("`{key}` holds {what}")).at(span, "expected printable text")
        );
    }
    let length = text.chars().count();
    if length > longest {
        return Err(
            Diagnostic::error(format!("`{key}` is {length} characters long"))
                .at(span, format!("expected at most {longest} characters")),
        );
    }
    if text.is_empty() {
        return Err(Diagnostic::error(format!("`{key}` is empty")).at(span, "expected some text"));
    }
    Ok(text.to_owned())
}

/// The value that a word stands for.
pub(super) fn choose<T: Copy>(
    key: &str,
    typed: &str,
    names: &[(&'static str, T)],
    span: Span,
) -> Result<T, Diagnostic> {
    let wanted = folded(typed);
    if let Some((_, value)) = names.iter().find(|(name, _)| *name == wanted) {
        return Ok(*value);
    }
    let known: Vec<&str> = names.iter().map(|(name, _)| *name).collect();
    let hint = did_you_mean(typed, known.iter().copied());
    let problem = Diagnostic::error(format!("`{key}` is {}", quoted(typed)))
        .at(span, format!("expected {}", either(&known)));
    Err(with_hint(problem, hint))
}

/// The number that a text begins with, its decimal comma mended: 1.5 of `1,5 l`.
pub(super) fn leading_number(text: &str) -> Option<String> {
    let figures = |c: &char| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+');
    let head: String = text.trim().chars().take_while(figures).collect();
    let pointed = head.trim_end_matches(['.', ',']).replace(',', ".");
    let sound = pointed.len() < 20 && pointed.parse::<f64>().is_ok_and(f64::is_finite);
    sound.then_some(pointed)
}

/// A number in a range, as records keep it.
pub(super) fn in_range(
    range: &limits::Range,
    unit: limits::Unit,
    key: &str,
    number: f64,
    span: Span,
) -> Result<f64, Diagnostic> {
    range.check(number, unit).map_err(|expected| {
        Diagnostic::error(format!("`{key}` is {}", unit.show(number))).at(span, expected)
    })
}

/// The same, where it counts things.
pub(super) fn whole(
    range: &limits::Range,
    key: &str,
    number: f64,
    span: Span,
) -> Result<u32, Diagnostic> {
    if number.fract() == 0.0 && (0.0..=f64::from(u32::MAX)).contains(&number) {
        return Ok(number as u32);
    }
    Err(Diagnostic::error(format!("`{key}` is {number}")).at(
        span,
        format!(
            "expected a whole number from {} to {}",
            range.low, range.high
        ),
    ))
}

/// A time without a zone, such as `2026-10-24T06:00`, with or without seconds.
#[must_use]
pub fn local_time(text: &str) -> Option<NaiveDateTime> {
    [
        "%Y-%m-%dT%H:%M",
        "%Y-%m-%dT%H:%M:%S",
        "%Y-%m-%d %H:%M",
        "%Y-%m-%d %H:%M:%S",
    ]
    .iter()
    .find_map(|format| NaiveDateTime::parse_from_str(text.trim(), format).ok())
    .filter(|time| known_year(time.date()))
}

/// A time with its offset, such as `2026-10-25T02:30+01:00`.
pub(super) fn offset_time(text: &str) -> Option<DateTime<FixedOffset>> {
    ["%Y-%m-%dT%H:%M%#z", "%Y-%m-%dT%H:%M:%S%#z"]
        .iter()
        .find_map(|format| DateTime::parse_from_str(text.trim(), format).ok())
        .filter(|time| known_year(time.date_naive()))
}

/// A date, such as `2026-10-24`.
#[must_use]
pub fn date(text: &str) -> Option<NaiveDate> {
    NaiveDate::parse_from_str(text.trim(), "%Y-%m-%d")
        .ok()
        .filter(|date| known_year(*date))
}

fn known_year(date: NaiveDate) -> bool {
    limits::DATE_YEARS.contains(&date.year())
}

/// Race time, at least a minute and at most as long as any race.
///
/// # Errors
/// In words, what was expected.
pub(super) fn race_time(text: &str) -> Result<Elapsed, String> {
    let elapsed = Elapsed::parse(text)?;
    if (60..=limits::LONGEST_RACE_H * 3600).contains(&elapsed.as_secs()) {
        Ok(elapsed)
    } else {
        Err(format!("expected 0:01 to {}:00", limits::LONGEST_RACE_H))
    }
}

/// The days of the week, in the languages that tables come in.
const DAYS: [(&str, Weekday); 7] = [
    ("monday montag lundi lunes lunedì", Weekday::Mon),
    ("tuesday dienstag mardi martes martedì", Weekday::Tue),
    (
        "wednesday mittwoch mercredi miércoles mercoledì",
        Weekday::Wed,
    ),
    ("thursday donnerstag jeudi jueves giovedì", Weekday::Thu),
    ("friday freitag vendredi viernes venerdì", Weekday::Fri),
    ("saturday samstag samedi sábado sabato", Weekday::Sat),
    ("sunday sonntag dimanche domingo domenica", Weekday::Sun),
];

/// The day that a word names: the whole name, or three letters and more of it.
pub(super) fn day_named(word: &str) -> Option<Weekday> {
    let lower = word.to_lowercase();
    // `mar` is March too
    let long = lower.chars().count() >= 3 && lower != "mar";
    let named = |names: &str| {
        names
            .split(' ')
            .any(|name| name.starts_with(lower.as_str()))
    };
    let mut days = DAYS.iter();
    days.find(|(names, _)| long && named(names))
        .map(|(_, day)| *day)
}
