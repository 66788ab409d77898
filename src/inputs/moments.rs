//! Times in the many ways that people write them, as these files write them.

use chrono::{Datelike, NaiveDate, NaiveDateTime, TimeDelta, Weekday};

use super::values::{self, day_named};
use crate::time::Elapsed;

/// The reading of a bare `10:30`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum TimeReading {
    Clock,
    Elapsed,
}

const MONTHS: [&str; 12] = [
    "jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec",
];
/// Words for going out of a station, for coming in, and those that lead to a time.
pub(super) const LEAVING: &str = "out leave leaving departure depart exit ab abgang abfahrt départ \
    partenza uscita salida";
pub(super) const COMING: &str = "in arrival arrive arrivée ankunft an arrivo llegada";
const LEADING: &str = "by bis until before latest spätestens max";
/// Other words that say nothing the figures do not.
const FILLERS: &str = "must at no later than uhr o clock cutoff time race elapsed the on of closes \
    closed um jusqu à avant entro ore alle hasta las antes";

/// True where a word is one of a list.
pub(super) fn is_one(word: &str, of: &str) -> bool {
    of.split_whitespace().any(|own| own == word)
}

/// True where a word tells of going out or of coming in, such as `out` after a time.
pub(super) fn is_event(word: &str) -> bool {
    is_one(word, LEAVING) || is_one(word, COMING)
}

/// True where a word leads to a time, such as `bis` before it.
pub(super) fn leads(word: &str) -> bool {
    is_one(word, LEADING)
}

/// A piece of a cell: figures, a word or a plus.
#[derive(Clone, Debug, PartialEq)]
enum TimePiece {
    Figures(String),
    Word(String),
    Plus,
}

/// A cutoff taken apart.
#[derive(Default)]
struct Parts {
    day: Option<Weekday>,
    /// The day of the race, 1 on the day of the start.
    race_day: Option<u32>,
    /// Day and month, or two figures of which either may be the month.
    date: Option<(u32, u32, bool)>,
    afternoon: Option<bool>,
    hours: Option<u32>,
    minutes: u32,
    seconds: u32,
    since_start: bool,
}

/// The cutoff of a cell, as `stations.csv` writes it.
pub(super) fn cutoff(
    text: &str,
    reading: TimeReading,
    start: Option<NaiveDateTime>,
) -> Result<String, String> {
    if let Some(local) = values::local_time(text) {
        return Ok(local.format("%Y-%m-%dT%H:%M").to_string());
    }
    if values::offset_time(text).is_some() {
        return Ok(text.trim().to_owned());
    }
    let parts = Parts::of(text, reading).ok_or("not a time that can be read")?;
    let hours = parts.hours.ok_or("no hour in it")?;
    if parts.minutes > 59 || parts.seconds > 59 {
        return Err("minutes and seconds go up to 59".to_owned());
    }
    let dated = parts.day.is_some() || parts.date.is_some() || parts.race_day.is_some();
    let clock =
        dated || parts.afternoon.is_some() || (reading == TimeReading::Clock && hours <= 24);
    if parts.since_start || !clock {
        return elapsed(hours, &parts);
    }
    on_the_clock(hours, &parts, start)
}

/// The cutoff of a cell that has other words around the one time in it.
pub(super) fn cutoff_among_words(
    text: &str,
    reading: TimeReading,
    start: Option<NaiveDateTime>,
) -> Option<String> {
    let mut figures = 0;
    let kept = pieces(text).into_iter().filter_map(|piece| match piece {
        TimePiece::Figures(time) => {
            figures += if time.contains(':') { 1 } else { 2 };
            Some(time)
        }
        TimePiece::Word(word) => {
            let tells = word == "am" || word == "pm" || day_named(&word).is_some();
            tells.then_some(word)
        }
        TimePiece::Plus => Some("+".to_owned()),
    });
    let kept: Vec<String> = kept.collect();
    let found = cutoff(&kept.join(" "), reading, start).ok();
    found.filter(|_| figures == 1)
}

/// True where a cell can only be the one: a day, am, a plus, more than 24 hours.
pub(super) fn evident(text: &str) -> Option<TimeReading> {
    if values::local_time(text).is_some() {
        return Some(TimeReading::Clock);
    }
    let parts = Parts::of(text, TimeReading::Clock)?;
    let dated = parts.day.is_some() || parts.date.is_some() || parts.race_day.is_some();
    if parts.since_start || parts.hours.is_some_and(|hours| hours > 24) {
        Some(TimeReading::Elapsed)
    } else if dated || parts.afternoon.is_some() || text.to_lowercase().contains("uhr") {
        Some(TimeReading::Clock)
    } else {
        None
    }
}

/// The hour of a cell that holds a time written with hours and minutes, or with am or pm.
pub(super) fn hour(text: &str) -> Option<f64> {
    let lower = text.to_lowercase();
    let words = ["am", "pm", "a.m", "p.m", "noon", "midnight", "h"];
    let timed = lower.contains(':')
        || (words.iter().any(|word| lower.contains(word))
            && lower.contains(|c: char| c.is_ascii_digit()))
        || lower == "noon";
    let parts = Parts::of(text, TimeReading::Clock).filter(|_| timed)?;
    let hours = twelve(parts.hours?, parts.afternoon)?;
    Some(f64::from(hours) + f64::from(parts.minutes) / 60.0)
}

fn elapsed(hours: u32, parts: &Parts) -> Result<String, String> {
    let time = format!("{hours}:{:02}:{:02}", parts.minutes, parts.seconds);
    let time = values::race_time(&time)?;
    let exact = time.to_seconds_text();
    let exact = exact.strip_suffix(":00").unwrap_or(&exact);
    Ok(format!("+{exact}"))
}

/// The hour of 24, or none where am and pm make it impossible.
fn twelve(hours: u32, afternoon: Option<bool>) -> Option<u32> {
    match afternoon {
        None => Some(hours),
        Some(_) if !(1..=12).contains(&hours) => None,
        Some(afternoon) => Some(hours % 12 + if afternoon { 12 } else { 0 }),
    }
}

fn on_the_clock(hours: u32, parts: &Parts, start: Option<NaiveDateTime>) -> Result<String, String> {
    let hour = twelve(hours, parts.afternoon).ok_or("am and pm go with hours from 1 to 12")?;
    if hour > 24 || (hour == 24 && parts.minutes > 0) {
        return Err("the clock goes up to 24:00".to_owned());
    }
    // midnight at the end of a day is the start of the next
    let over = i64::from(hour == 24);
    let time = format!("{:02}:{:02}", hour % 24, parts.minutes);
    if let Some(day) = parts.day {
        let day = if over == 1 { day.succ() } else { day };
        return Ok(format!("{day} {time}"));
    }
    if let Some(date) = parts.date {
        let start = start
            .ok_or("the date of the start is not known; write the weekday, such as `Sun 10:30`")?;
        let date = near(date, start.date()).ok_or("no date within two weeks of the start")?;
        return Ok(format!("{}T{time}", date + TimeDelta::days(over)));
    }
    if let Some(race_day) = parts.race_day {
        let start = start
            .ok_or("the day of the start is not known; write the weekday, such as `Sun 10:30`")?;
        let days = i64::from(race_day) - 1 + over;
        let date = start.date().checked_add_signed(TimeDelta::days(days));
        return date
            .map(|date| format!("{date}T{time}"))
            .ok_or_else(|| "no such day".to_owned());
    }
    Ok(time)
}

/// The date within two weeks of the start that a day and a month mean.
fn near((one, other, either): (u32, u32, bool), start: NaiveDate) -> Option<NaiveDate> {
    let years = [start.year(), start.year() + 1];
    let mut orders = vec![(one, other)];
    if either {
        orders.push((other, one));
    }
    let dates = orders.into_iter().flat_map(|(day, month)| {
        years
            .into_iter()
            .filter_map(move |year| NaiveDate::from_ymd_opt(year, month, day))
    });
    let mut dates = dates.filter(|date| (0..=14).contains(&(*date - start).num_days()));
    dates.next()
}

impl Parts {
    fn of(text: &str, reading: TimeReading) -> Option<Parts> {
        let mut parts = Parts::default();
        let pieces = pieces(text);
        let mut at = 0;
        while let Some(piece) = pieces.get(at) {
            let next = pieces.get(at + 1);
            let used = match piece {
                TimePiece::Plus => parts.plus(next),
                TimePiece::Word(word) => parts.word(word, next)?,
                TimePiece::Figures(figures) => parts.figures(figures, next, reading)?,
            };
            at += used;
        }
        parts.hours.is_some().then_some(parts)
    }

    /// A plus before the time counts from the start, `+1` after it means the day after.
    fn plus(&mut self, next: Option<&TimePiece>) -> usize {
        match next {
            Some(TimePiece::Figures(days)) if self.hours.is_some() => {
                self.race_day = days.parse::<u32>().ok().map(|days| days.saturating_add(1));
                2
            }
            _ => {
                self.since_start = true;
                1
            }
        }
    }

    fn word(&mut self, word: &str, next: Option<&TimePiece>) -> Option<usize> {
        let figures = match next {
            Some(TimePiece::Figures(figures)) => figures.parse::<u32>().ok(),
            _ => None,
        };
        if let Some(day) = day_named(word) {
            self.day = Some(day);
        } else if matches!(word, "day" | "d" | "tag" | "jour") && figures.is_some() {
            self.race_day = figures.filter(|day| (1..=15).contains(day));
            return Some(2);
        } else if let Some(month) = month(word) {
            let (day, used) = match (self.hours.filter(|_| self.minutes == 0), figures) {
                // `24 Oct`: the day was taken for an hour
                (Some(day), _) => (day, 1),
                (None, Some(day)) => (day, 2),
                _ => return None,
            };
            if used == 1 {
                self.hours = None;
            }
            self.date = Some((day, month, false));
            return Some(used);
        } else if word == "am" || word == "pm" {
            self.afternoon = Some(word == "pm");
        } else if matches!(word, "a" | "p") && self.hours.is_some() && self.afternoon.is_none() {
            // `3:30p`
            self.afternoon = Some(word == "p");
        } else if word == "noon" || word == "midnight" {
            self.hours = Some(if word == "noon" { 12 } else { 24 });
        } else if !(is_event(word) || leads(word) || is_one(word, FILLERS)) {
            return None;
        }
        Some(1)
    }

    fn figures(
        &mut self,
        figures: &str,
        next: Option<&TimePiece>,
        reading: TimeReading,
    ) -> Option<usize> {
        let unit = match next {
            Some(TimePiece::Word(word)) => Some(word.as_str()),
            _ => None,
        };
        let marks = |mark: char| figures.matches(mark).count();
        let separated = |mark: char| -> Option<Vec<u32>> {
            figures.split(mark).map(|p| p.parse().ok()).collect()
        };
        let is_hours = matches!(
            unit,
            Some("h" | "hr" | "hrs" | "hour" | "hours" | "std" | "hs")
        );
        // `14.30 h` has minutes behind its point, `5.5 h` a share of an hour
        if unit == Some("h")
            && let Some((hours, minutes)) = figures.split_once(['.', ','])
            && minutes.len() == 2
            && let (Ok(hours), Ok(minutes @ ..=59)) = (hours.parse(), minutes.parse())
        {
            (self.hours, self.minutes) = (Some(hours), minutes);
            return Some(2);
        }
        if is_hours && let Ok(hours) = figures.replace(',', ".").parse::<f64>() {
            self.hours = Some(hours as u32);
            self.minutes = (hours.fract() * 60.0).round() as u32;
            // `10h30` is a clock time where clock times are read, `5.5 h` and `5 hours` never are
            self.since_start |= hours.fract() > 0.0 || unit != Some("h");
            return Some(2);
        }
        if matches!(unit, Some("min" | "mins" | "minutes" | "m")) {
            self.minutes = figures.parse().ok()?;
            self.hours.get_or_insert(0);
            if self.minutes > 59 {
                self.hours = Some(self.minutes / 60);
                self.minutes %= 60;
            }
            self.since_start = true;
            return Some(2);
        }
        if marks(':') > 0 {
            let time = Elapsed::parse(figures).ok()?.as_secs();
            self.hours = u32::try_from(time / 3600).ok();
            self.minutes = u32::try_from(time / 60 % 60).ok()?;
            self.seconds = u32::try_from(time % 60).ok()?;
            return Some(1);
        }
        if let Some(numbers) = separated('/')
            .or_else(|| separated('.'))
            .filter(|n| n.len() > 1)
        {
            return self.dotted(figures, &numbers, next, reading);
        }
        let number: u32 = figures.parse().ok()?;
        if self.hours.is_some() && figures.len() == 2 {
            // the minutes of `10h30`
            self.minutes = number;
        } else if figures.len() == 4 && reading == TimeReading::Clock {
            (self.hours, self.minutes) = (Some(number / 100), number % 100);
        } else if unit.is_some() || (reading == TimeReading::Elapsed && number <= 240) {
            self.hours = Some(number);
        } else {
            return None;
        }
        Some(1)
    }

    /// `10.30`, or the date of a time that follows it.
    fn dotted(
        &mut self,
        figures: &str,
        numbers: &[u32],
        next: Option<&TimePiece>,
        reading: TimeReading,
    ) -> Option<usize> {
        let (one, other) = (*numbers.first()?, *numbers.get(1)?);
        let followed = match next {
            Some(TimePiece::Figures(time)) => time.contains([':', '.']),
            Some(TimePiece::Word(word)) => word == "at",
            _ => false,
        };
        if figures.contains('/') || numbers.len() == 3 || (followed && self.hours.is_none()) {
            self.date = Some((one, other, figures.contains('/')));
            return Some(1);
        }
        let minutes = figures
            .split_once('.')
            .is_some_and(|(_, minutes)| minutes.len() == 2);
        if !minutes && reading == TimeReading::Elapsed {
            let hours = figures.parse::<f64>().ok()?;
            self.hours = Some(hours as u32);
            self.minutes = (hours.fract() * 60.0).round() as u32;
            return Some(1);
        }
        (self.hours, self.minutes) = (Some(one), other);
        minutes.then_some(1)
    }
}

fn month(word: &str) -> Option<u32> {
    let at = MONTHS
        .iter()
        .position(|month| word.len() >= 3 && word.starts_with(month))?;
    u32::try_from(at + 1).ok()
}

fn pieces(text: &str) -> Vec<TimePiece> {
    let lower = text
        .to_lowercase()
        .replace("a.m.", "am")
        .replace("p.m.", "pm");
    let chars: Vec<char> = lower.chars().collect();
    let mut pieces = Vec::new();
    let mut at = 0;
    while let Some(c) = chars.get(at) {
        let from = at;
        if c.is_ascii_digit() {
            let figure = |at: usize| chars.get(at).is_some_and(char::is_ascii_digit);
            while figure(at)
                || (chars
                    .get(at)
                    .is_some_and(|c| matches!(c, ':' | '.' | ',' | '/'))
                    && figure(at + 1))
            {
                at += 1;
            }
            pieces.push(TimePiece::Figures(chars[from..at].iter().collect()));
        } else if c.is_alphabetic() {
            while chars.get(at).is_some_and(|c| c.is_alphabetic()) {
                at += 1;
            }
            pieces.push(TimePiece::Word(chars[from..at].iter().collect()));
        } else {
            if *c == '+' {
                pieces.push(TimePiece::Plus);
            }
            at += 1;
        }
    }
    pieces
}
