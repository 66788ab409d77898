//! The keys of a section as values.

use chrono::{NaiveDate, NaiveDateTime};
use toml::de::DeValue;

use crate::diagnostics::{Diagnostic, Spanned};
use crate::time::Elapsed;

use super::cells::kept;
use super::limits::{self, Range};
use super::moments::{self, TimeReading};
use super::target::Target;
use super::toml_reader::{Entry, Reading, Section};
use super::values::{self, quoted, with_hint};
use crate::words::Named;

impl<'t> Section<'t> {
    /// A name that the section cannot do without.
    pub(super) fn name(&mut self, key: &str, reading: &mut Reading) -> Option<Spanned<String>> {
        self.need(key, reading);
        self.words(key, limits::NAME_CHARS, reading)
    }

    /// A name or a sentence.
    pub(super) fn words(
        &mut self,
        key: &str,
        longest: usize,
        reading: &mut Reading,
    ) -> Option<Spanned<String>> {
        self.take(key, reading)?.words(longest, reading)
    }

    /// Notes that a key is missing which the section cannot do without.
    pub(super) fn need(&mut self, key: &str, reading: &mut Reading) {
        if !self.has(key) {
            self.miss(&[key.to_owned()], reading);
        }
    }

    /// A number, under the key of any of its units.
    pub(super) fn number(&mut self, range: &Range, reading: &mut Reading) -> Option<Spanned<f64>> {
        let mut found: Option<Entry<'t>> = None;
        let mut value = None;
        for unit in range.units {
            let Some(entry) = self.take(&range.key(*unit), reading) else {
                continue;
            };
            if let Some(twin) = found {
                reading.notes.push(
                    Diagnostic::error(format!(
                        "`{}` and `{}` say the same thing",
                        twin.key, entry.key
                    ))
                    .at(entry.key_span, "expected one of the two")
                    .hint("keep the key with the unit you use"),
                );
                continue;
            }
            found = Some(entry);
            value = entry.number(range, *unit, reading);
        }
        value
    }

    /// A number that the section cannot do without.
    pub(super) fn needed(&mut self, range: &Range, reading: &mut Reading) -> Option<Spanned<f64>> {
        let keys = range.keys();
        if !keys.iter().any(|key| self.has(key)) {
            self.miss(&keys, reading);
        }
        self.number(range, reading)
    }

    /// A count of things.
    pub(super) fn whole(&mut self, range: &Range, reading: &mut Reading) -> Option<u32> {
        let number = self.number(range, reading)?;
        let checked = values::whole(range, range.name, number.value, number.span?);
        kept(checked, &mut reading.notes)
    }

    /// `true` or `false`, where the key is there.
    pub(super) fn flag(&mut self, key: &str, reading: &mut Reading) -> Option<bool> {
        Some(self.take(key, reading)?.flag(reading))
    }

    /// One of the words of an enum.
    pub(super) fn choice<T: Named>(&mut self, key: &str, reading: &mut Reading) -> Option<T> {
        let entry = self.take(key, reading)?;
        entry.choice(T::WORDS, reading).map(|choice| choice.value)
    }

    /// A list, each of its values read by `each`.
    pub(super) fn list<T>(
        &mut self,
        key: &str,
        what: &str,
        reading: &mut Reading,
        each: impl FnMut(Entry<'t>, &mut Reading) -> Option<T>,
    ) -> Vec<T> {
        match self.take(key, reading) {
            Some(entry) => entry.list(what, reading, each),
            None => Vec::new(),
        }
    }

    /// A list of sentences or names.
    pub(super) fn texts(
        &mut self,
        key: &str,
        longest: usize,
        reading: &mut Reading,
    ) -> Vec<Spanned<String>> {
        self.list(key, "text in quotes", reading, |entry, reading| {
            entry.words(longest, reading)
        })
    }

    /// Race time in quotes.
    pub(super) fn race_time(
        &mut self,
        key: &str,
        reading: &mut Reading,
    ) -> Option<Spanned<Elapsed>> {
        self.take(key, reading)?.race_time(reading)
    }

    /// A finish in quotes, or a range of them.
    pub(super) fn target(&mut self, key: &str, reading: &mut Reading) -> Option<Spanned<Target>> {
        self.take(key, reading)?.parsed(Target::parse, reading)
    }

    /// A local date and time, in quotes or bare.
    pub(super) fn local_time(
        &mut self,
        key: &str,
        reading: &mut Reading,
    ) -> Option<Spanned<NaiveDateTime>> {
        const EXPECTED: &str = "expected a date and time, such as `2026-10-24T06:00`";
        let entry = self.take(key, reading)?;
        let written = match entry.value {
            DeValue::String(text) => text.to_string(),
            DeValue::Datetime(moment) => moment.to_string(),
            _ => {
                reading.notes.push(entry.wrong(EXPECTED));
                return None;
            }
        };
        if let Some(time) = values::local_time(&written) {
            return Some(Spanned::at(time, entry.span));
        }
        let hint = if values::offset_time(&written).is_some() {
            Some("leave out the offset; `timezone` says it".to_owned())
        } else if values::date(&written).is_some() {
            Some(format!("add the time of day, such as `{written}T06:00`"))
        } else {
            let (day, clock) = match written.split_once([' ', 'T']) {
                Some((day, clock)) if values::date(day).is_some() => (Some(day), clock),
                _ => (None, &*written),
            };
            let read = moments::cutoff(clock, TimeReading::Clock, None).ok();
            let time = read
                .as_deref()
                .and_then(|read| read.get(read.len().checked_sub(5)?..));
            time.map(|time| match day {
                Some(day) => format!("write `{day}T{time}`"),
                None => format!("write the date before it: `2026-10-24T{time}`, with yours"),
            })
        };
        let problem =
            Diagnostic::error(format!("`{key}` is {}", quoted(&written))).at(entry.span, EXPECTED);
        reading.notes.push(with_hint(problem, hint));
        None
    }

    /// A date, in quotes or bare.
    pub(super) fn date(&mut self, key: &str, reading: &mut Reading) -> Option<NaiveDate> {
        let entry = self.take(key, reading)?;
        let date = match entry.value {
            DeValue::String(text) => values::date(text),
            DeValue::Datetime(moment) => values::date(&moment.to_string()),
            _ => None,
        };
        if date.is_none() {
            let expected = "expected a date, such as `2026-10-24`";
            reading.notes.push(entry.wrong(expected));
        }
        date
    }

    fn has(&self, key: &str) -> bool {
        self.entry_keys().any(|known| known == key)
    }
}

impl<'t> Entry<'t> {
    /// A name or sentence.
    pub(super) fn words(&self, longest: usize, reading: &mut Reading) -> Option<Spanned<String>> {
        let DeValue::String(text) = self.value else {
            reading.notes.push(self.wrong("expected text in quotes"));
            return None;
        };
        let checked = values::check_text(self.key, text, longest, self.span);
        kept(checked, &mut reading.notes).map(|text| Spanned::at(text, self.span))
    }

    /// The key itself, where it is a name of the user's.
    pub(super) fn named(&self, what: &str, reading: &mut Reading) -> Option<Spanned<String>> {
        let checked = values::check_text(what, self.key, limits::NAME_CHARS, self.key_span);
        kept(checked, &mut reading.notes).map(|name| Spanned::at(name, self.key_span))
    }

    /// A number in a range, as records keep it.
    pub(super) fn number(
        &self,
        range: &Range,
        unit: limits::Unit,
        reading: &mut Reading,
    ) -> Option<Spanned<f64>> {
        let Some(number) = plain_number(self.value) else {
            let expected = match unit.symbol {
                "" => "expected a number".to_owned(),
                symbol => format!("expected a number ({symbol})"),
            };
            let mut problem = self.wrong(&expected);
            if let DeValue::String(text) = self.value
                && let Some(number) = values::leading_number(text)
            {
                let share = number.parse::<f64>().map(|percent| percent / 100.0);
                problem = problem.hint(if number == text.trim() {
                    format!("leave out the quotes: `{number}`")
                } else if let (true, true, Ok(share)) =
                    (unit.suffix.is_empty(), text.contains('%'), share)
                {
                    format!("a share, 1 for all of it; write `{share}`")
                } else {
                    format!("the key says the unit; write `{number}`")
                });
            }
            reading.notes.push(problem);
            return None;
        };
        let checked = values::in_range(range, unit, self.key, number, self.span);
        kept(checked, &mut reading.notes).map(|number| Spanned::at(number, self.span))
    }

    /// The meaning of a word.
    pub(super) fn choice<T: Copy>(
        &self,
        names: &[(&'static str, T)],
        reading: &mut Reading,
    ) -> Option<Spanned<T>> {
        let DeValue::String(text) = self.value else {
            let known: Vec<&str> = names.iter().map(|(name, _)| *name).collect();
            let expected = format!("expected {} in quotes", values::either(&known));
            reading.notes.push(self.wrong(&expected));
            return None;
        };
        let checked = values::choose(self.key, text, names, self.span);
        kept(checked, &mut reading.notes).map(|value| Spanned::at(value, self.span))
    }

    /// Race time in quotes.
    pub(super) fn race_time(&self, reading: &mut Reading) -> Option<Spanned<Elapsed>> {
        self.parsed(values::race_time, reading)
    }

    /// Race time of some form, in quotes.
    fn parsed<T>(
        &self,
        parse: impl FnOnce(&str) -> Result<T, String>,
        reading: &mut Reading,
    ) -> Option<Spanned<T>> {
        const EXPECTED: &str = "expected race time in quotes, such as `\"29:30:00\"`";
        let DeValue::String(text) = self.value else {
            reading.notes.push(self.wrong(EXPECTED));
            return None;
        };
        let checked = parse(text).map_err(|expected| {
            let problem = Diagnostic::error(format!("`{}` is {}", self.key, quoted(text)));
            let meant = moments::cutoff(text, TimeReading::Elapsed, None).ok();
            let meant = meant.and_then(|time| values::race_time(time.strip_prefix('+')?).ok());
            let meant = meant.map(|time| format!("write `\"{}\"`", time.to_seconds_text()));
            with_hint(problem.at(self.span, expected), meant)
        });
        kept(checked, &mut reading.notes).map(|time| Spanned::at(time, self.span))
    }

    /// A list, each of its values read by `each`.
    pub(super) fn list<T>(
        &self,
        what: &str,
        reading: &mut Reading,
        mut each: impl FnMut(Entry<'t>, &mut Reading) -> Option<T>,
    ) -> Vec<T> {
        let DeValue::Array(items) = self.value else {
            let expected = format!("expected a list of {what} in square brackets");
            reading.notes.push(self.wrong(&expected));
            return Vec::new();
        };
        if items.len() > limits::LIST_ENTRIES {
            reading.notes.push(
                Diagnostic::error(format!("`{}` lists {} values", self.key, items.len())).at(
                    self.span,
                    format!("expected at most {}", limits::LIST_ENTRIES),
                ),
            );
            return Vec::new();
        }
        let mut values = Vec::new();
        for item in items.iter() {
            let entry = Entry {
                value: item.get_ref(),
                span: reading.span_of(item),
                ..*self
            };
            values.extend(each(entry, reading));
        }
        values
    }

    fn flag(&self, reading: &mut Reading) -> bool {
        if let DeValue::Boolean(value) = self.value {
            return *value;
        }
        let expected = "expected `true` or `false`, without quotes";
        reading.notes.push(self.wrong(expected));
        false
    }
}

fn plain_number(value: &DeValue<'_>) -> Option<f64> {
    let number = match value {
        DeValue::Integer(integer) if integer.radix() == 10 => integer.as_str().parse::<f64>().ok(),
        DeValue::Integer(integer) => i64::from_str_radix(integer.as_str(), integer.radix())
            .ok()
            .map(|number| number as f64),
        DeValue::Float(float) => float.as_str().parse::<f64>().ok(),
        _ => None,
    };
    number.filter(|number| number.is_finite())
}
