//! TOML settings read key by key. What is never asked for is unknown and refused, so that the
//! readers are the only list of keys there is.

use toml::Spanned as TomlSpanned;
use toml::de::{DeTable, DeValue};

use crate::diagnostics::{Diagnostic, FileId, Notes, SourceFile, Span, did_you_mean};
use crate::words::listed_with;

use super::limits;
use super::synonyms;
use super::table::too_large;
use super::toml_words::explained;
use super::values::{either, quoted, with_hint};

/// Keys that records once had; lines with them, or with their uncertainty, are read over.
const RETIRED: [&str; 3] = ["climb_multiplier", "descent_multiplier", "stop_multiplier"];
const RETIRED_IN: &str = "run.pacing";

/// Sections that are usually one line, and that line.
const LINES: [(&str, &str); 2] = [
    ("weather.day", "`day = { temp_c = 24 }`"),
    ("weather.night", "`night = { temp_c = 10 }`"),
];

/// The state kept while one file is read.
pub(super) struct Reading {
    id: FileId,
    /// Bytes of the byte-order mark before the text.
    offset: usize,
    /// Mistakes so far.
    pub(super) notes: Notes,
    /// Each key that was asked for, by section.
    asked: Vec<(String, String)>,
    /// Each key that nobody asked for.
    unknown: Vec<(String, String, Span)>,
}

/// One table of the file; empty where the file has none.
pub(super) struct Section<'t> {
    /// As between the brackets, such as `stops.at`; empty for what stands above all sections.
    pub(super) path: String,
    /// Its start; `None` where the file has no such section.
    pub(super) span: Option<Span>,
    entries: Vec<Entry<'t>>,
}

/// A key and its value.
#[derive(Clone, Copy)]
pub(super) struct Entry<'t> {
    pub(super) key: &'t str,
    pub(super) key_span: Span,
    pub(super) value: &'t DeValue<'t>,
    pub(super) span: Span,
}

/// Reads a file of settings with `body`, which is given what stands above all sections.
pub(super) fn read<T>(
    file: &SourceFile,
    id: FileId,
    notes: &mut Notes,
    body: impl FnOnce(&mut Section<'_>, &mut Reading) -> T,
) -> Option<T> {
    if file.text.len() > limits::SETTINGS_BYTES {
        notes.push(too_large(file, limits::SETTINGS_BYTES));
        return None;
    }
    let text = file.text.trim_start_matches('\u{feff}');
    let mut reading = Reading {
        id,
        offset: file.text.len() - text.len(),
        notes: Notes::new(),
        asked: Vec::new(),
        unknown: Vec::new(),
    };
    let (document, errors) = DeTable::parse_recoverable(text);
    let syntax = reading.syntax_errors(&errors, text);
    let mut root = Section::of(String::new(), None, document.get_ref(), &reading);
    let record = body(&mut root, &mut reading);
    root.close(&mut reading);
    let lines: Vec<_> = syntax
        .iter()
        .filter_map(|problem| Some(line(&file.text, problem.at?)))
        .collect();
    // Below a section's name that could not be made out, keys seem to be where they are not.
    let headless = lines
        .iter()
        .any(|line| file.text[line.clone()].trim_start().starts_with('['));
    if !headless {
        reading.report_unknown();
    }
    for problem in reading.notes.all() {
        let spoilt = |span: Span| lines.iter().any(|line| line.contains(&span.start));
        // What is said to be missing, or stands on a line that could not be made out, is only a
        // consequence.
        if lines.is_empty() || problem.at.is_some_and(|span| !spoilt(span)) {
            notes.push(problem.clone());
        }
    }
    syntax.into_iter().for_each(|problem| notes.push(problem));
    Some(record)
}

/// The bytes of the lines a span is on, with the end of the last one.
fn line(text: &str, span: Span) -> std::ops::Range<usize> {
    let start = text.floor_char_boundary(span.start);
    let end = text.ceil_char_boundary(span.end.max(start));
    let from = text[..start].rfind('\n').map_or(0, |at| at + 1);
    let to = text[end..].find('\n').map_or(text.len(), |at| end + at + 1);
    from..to
}

impl Reading {
    fn span(&self, range: std::ops::Range<usize>) -> Span {
        Span::new(self.id, range.start + self.offset..range.end + self.offset)
    }

    /// The place of a value of the tree.
    pub(super) fn span_of<T>(&self, value: &TomlSpanned<T>) -> Span {
        self.span(value.span())
    }

    /// The first of each line: what follows it there is a consequence.
    fn syntax_errors(&self, errors: &[toml::de::Error], text: &str) -> Vec<Diagnostic> {
        let mut kept: Vec<Diagnostic> = Vec::new();
        let mut done = 0;
        let mut errors: Vec<&toml::de::Error> = errors.iter().collect();
        errors.sort_by_key(|error| error.span().map_or(0, |span| span.start));
        for error in errors.into_iter().take(limits::PROBLEMS_SHOWN) {
            let problem = self.syntax_error(error, text);
            let Some(span) = problem.at else { continue };
            let at = span.start - self.offset;
            if kept.is_empty() || done <= at {
                let end = text.floor_char_boundary(at);
                done = text[end..]
                    .find('\n')
                    .map_or(text.len(), |length| end + length + 1);
                kept.push(problem);
            }
        }
        kept
    }

    fn syntax_error(&self, error: &toml::de::Error, text: &str) -> Diagnostic {
        let range = error.span().unwrap_or(0..0);
        let found = text.get(range.clone()).unwrap_or_default();
        let (before, rest) = text.split_at_checked(range.start).unwrap_or_default();
        let around = (
            before.rsplit('\n').next().unwrap_or_default(),
            rest.lines().next().unwrap_or_default(),
        );
        let words = explained(error.message(), found, around);
        let problem = Diagnostic::error(words.what).at(self.span(range), words.expected);
        with_hint(problem, words.hint)
    }

    /// The meaning of a word in another section.
    fn meant_elsewhere(&self, key: &str) -> Option<String> {
        let found = self
            .asked
            .iter()
            .find(|(_, name)| !synonyms::meant(key, &[name]).is_empty());
        found.map(|(section, name)| belongs(section, name))
    }

    fn report_unknown(&mut self) {
        let unknown = std::mem::take(&mut self.unknown);
        // Beyond what is shown, hints would be work for nothing.
        for (path, key, span) in unknown.into_iter().take(limits::PROBLEMS_SHOWN + 1) {
            let place = bracketed(&path);
            let figure = key.strip_suffix("_uncertainty").unwrap_or(&key);
            if path == RETIRED_IN && RETIRED.contains(&figure) {
                self.notes.push(
                    Diagnostic::warning(format!(
                        "{} in {place} is not used any more",
                        quoted(&key)
                    ))
                    .at(span, "left aside")
                    .hint("take the line out; everything else of the run counts"),
                );
                continue;
            }
            let known: Vec<&str> = self
                .asked
                .iter()
                .filter(|(section, _)| *section == path)
                .map(|(_, name)| name.as_str())
                .collect();
            let same = |name: &str| name == key || missing_unit(&key, &[name]).is_some();
            let elsewhere = self.asked.iter().find(|(_, name)| same(name));
            let meant = synonyms::meant(&key, &known);
            let meant = (!meant.is_empty()).then(|| format!("did you mean {}?", either(&meant)));
            let hint = missing_unit(&key, &known)
                .or(meant)
                .or_else(|| elsewhere.map(|(section, name)| belongs(section, name)))
                .or_else(|| self.meant_elsewhere(&key))
                .or_else(|| in_another_file(&key))
                .or_else(|| did_you_mean(&key, known.iter().copied()))
                .unwrap_or_else(|| format!("known here: {}", listed_with(&known, "and")));
            let whole = match path.as_str() {
                "" => format!("unknown key {}", quoted(&key)),
                _ => format!("unknown key {} in {place}", quoted(&key)),
            };
            self.notes.push(
                Diagnostic::error(whole)
                    .at(span, "expected a known key")
                    .hint(hint),
            );
        }
    }
}

fn bracketed(path: &str) -> String {
    format!("`[{path}]`")
}

fn belongs(section: &str, name: &str) -> String {
    match section {
        "" => format!("`{name}` belongs at the top, above the first `[section]`"),
        _ => format!("`{name}` belongs in {}", bracketed(section)),
    }
}

fn in_another_file(key: &str) -> Option<String> {
    let (name, file) = synonyms::in_another_file(key)?;
    Some(format!("`{name}` belongs in `{file}`"))
}

fn missing_unit(key: &str, known: &[&str]) -> Option<String> {
    let with_units: Vec<&str> = known
        .iter()
        .filter(|name| {
            name.strip_prefix(key)
                .is_some_and(|end| end.starts_with('_'))
        })
        .copied()
        .collect();
    (!with_units.is_empty()).then(|| format!("say the unit: {}", either(&with_units)))
}

impl<'t> Section<'t> {
    fn of(path: String, span: Option<Span>, table: &'t DeTable<'t>, reading: &Reading) -> Self {
        let mut entries: Vec<Entry<'t>> = table
            .iter()
            .map(|(key, value)| Entry {
                key: key.get_ref(),
                key_span: reading.span_of(key),
                value: value.get_ref(),
                span: reading.span_of(value),
            })
            .collect();
        // The tree is sorted by name; people read top-down.
        entries.sort_by_key(|entry| entry.key_span.start);
        Section {
            path,
            span,
            entries,
        }
    }

    fn close(&mut self, reading: &mut Reading) {
        for entry in self.entries.drain(..) {
            let unknown = (self.path.clone(), entry.key.to_owned(), entry.key_span);
            reading.unknown.push(unknown);
        }
    }

    /// The key's value; from now on the key is known.
    pub(super) fn take(&mut self, key: &str, reading: &mut Reading) -> Option<Entry<'t>> {
        let asked = (self.path.clone(), key.to_owned());
        if !reading.asked.contains(&asked) {
            reading.asked.push(asked);
        }
        let at = self.entries.iter().position(|entry| entry.key == key)?;
        Some(self.entries.remove(at))
    }

    /// The keys not taken yet.
    pub(super) fn entry_keys(&self) -> impl Iterator<Item = &str> {
        self.entries.iter().map(|entry| entry.key)
    }

    /// Every key that is left, where keys are names of the user's.
    pub(super) fn take_all(&mut self) -> Vec<Entry<'t>> {
        std::mem::take(&mut self.entries)
    }

    /// Reads the section of this name; an empty one where the file has none.
    pub(super) fn section<T>(
        &mut self,
        key: &str,
        reading: &mut Reading,
        body: impl FnOnce(&mut Section<'t>, &mut Reading) -> T,
    ) -> T {
        let path = self.path_of(key);
        let mut section = match self.take(key, reading) {
            Some(entry) => match entry.value {
                DeValue::Table(table) => Section::of(path, Some(entry.key_span), table, reading),
                _ => {
                    let expected = format!("expected a section, {}", bracketed(&path));
                    let line = LINES.iter().find(|(of, _)| *of == path);
                    let hint = line.map(|(_, line)| format!("write {line}"));
                    reading.notes.push(with_hint(entry.wrong(&expected), hint));
                    Section::empty(path)
                }
            },
            None => Section::empty(path),
        };
        let value = body(&mut section, reading);
        section.close(reading);
        value
    }

    /// Reads each of the sections of this name: `[[drive]]`.
    pub(super) fn sections<T>(
        &mut self,
        key: &str,
        reading: &mut Reading,
        mut body: impl FnMut(&mut Section<'t>, &mut Reading) -> Option<T>,
    ) -> Vec<T> {
        let path = self.path_of(key);
        let Some(entry) = self.take(key, reading) else {
            return Vec::new();
        };
        let expected = format!("expected sections that each start with `[[{path}]]`");
        let DeValue::Array(items) = entry.value else {
            reading.notes.push(entry.wrong(&expected));
            return Vec::new();
        };
        let mut values = Vec::new();
        for item in items.iter() {
            let span = reading.span_of(item);
            let DeValue::Table(table) = item.get_ref() else {
                let wrong = Entry {
                    value: item.get_ref(),
                    span,
                    ..entry
                };
                reading.notes.push(wrong.wrong(&expected));
                continue;
            };
            let mut section = Section::of(path.clone(), Some(span), table, reading);
            values.extend(body(&mut section, reading));
            section.close(reading);
        }
        values
    }

    /// Reads the one section of this name, `[past]`, or each of them, `[[past]]`.
    pub(super) fn one_or_more<T>(
        &mut self,
        key: &str,
        reading: &mut Reading,
        mut body: impl FnMut(&mut Section<'t>, &mut Reading) -> Option<T>,
    ) -> Vec<T> {
        let single = self
            .entries
            .iter()
            .any(|entry| entry.key == key && matches!(entry.value, DeValue::Table(_)));
        if single {
            self.section(key, reading, body).into_iter().collect()
        } else {
            self.sections(key, reading, &mut body)
        }
    }

    /// Notes that a section lacks a key it cannot do without; a file may lack the section itself.
    pub(super) fn miss(&self, keys: &[String], reading: &mut Reading) {
        if self.span.is_none() {
            return;
        }
        let keys = either(keys);
        reading.notes.push(
            Diagnostic::error(format!("the section `{}` has no {keys}", self.path))
                .at(self.span, format!("expected {keys} in this section")),
        );
    }

    fn empty(path: String) -> Self {
        Section {
            path,
            span: None,
            entries: Vec::new(),
        }
    }

    fn path_of(&self, key: &str) -> String {
        if self.path.is_empty() {
            key.to_owned()
        } else {
            format!("{}.{key}", self.path)
        }
    }
}

impl Entry<'_> {
    /// A value of another type than was expected.
    pub(super) fn wrong(&self, expected: &str) -> Diagnostic {
        let found = match self.value {
            DeValue::String(text) => format!("the text {}", quoted(text)),
            DeValue::Integer(number) => format!("the number {number}"),
            DeValue::Float(number) => format!("the number {number}"),
            DeValue::Boolean(value) => format!("{value}"),
            DeValue::Datetime(moment) => format!("the date or time {moment}"),
            DeValue::Array(_) => "a list".to_owned(),
            DeValue::Table(_) => "a section".to_owned(),
        };
        Diagnostic::error(format!("`{}` is {found}", self.key)).at(self.span, expected)
    }
}
