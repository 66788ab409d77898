//! Records that are written as they are read: their fields, keys and units are said once.

use chrono::NaiveDate;
use toml_edit::{Array, Value};

use super::asked::{Asked, Each, Here, Or, Part, Sentence, Within};
use super::gear_csv::GearRule;
use super::limits::Range;
use super::toml_reader::{Reading, Section};
use crate::diagnostics::{Span, Spanned};
use crate::time::Elapsed;
use crate::words::Named;

/// A record that is read from a section, and written as one again in the order of its fields.
macro_rules! recorded {
    ($(
        $(#[$about:meta])*
        pub struct $name:ident {
            $( $(#[$doc:meta])* pub $field:ident : $kind:ty = $how:expr, )+
        }
    )+) => {
        crate::inputs::asked::section! { $(
            $(#[$about])*
            pub struct $name {
                $( $(#[$doc])* pub $field : $kind = $how, )+
            }
        )+ }

        $( impl crate::inputs::record_lines::Recorded for $name {
            fn put_all(&self, to: &mut crate::inputs::record_lines::RecordLines) {
                $( crate::inputs::record_lines::Put::put(&self.$field, $how, to); )+
            }
        } )+
    };
}
pub(super) use recorded;

/// A record with its fields as lines.
pub(super) trait Recorded {
    fn put_all(&self, to: &mut RecordLines);
}

/// A value as the line that [`Asked`] reads it from; what is missing or empty has none.
pub(super) trait Put<How> {
    fn put(&self, how: How, to: &mut RecordLines);
}

/// Any of some words of an enum.
pub(super) struct Of<T: 'static>(
    pub(super) &'static str,
    pub(super) &'static [(&'static str, T)],
);

impl Asked<Of<GearRule>> for Vec<GearRule> {
    fn asked(how: Of<GearRule>, section: &mut Section<'_>, r: &mut Reading) -> Option<Self> {
        let listed = section.list(how.0, "words", r, |entry, r| entry.choice(how.1, r));
        Some(listed.into_iter().map(|rule| rule.value).collect())
    }
}

/// Lines of an entry.
#[derive(Default)]
pub(super) struct RecordLines(Vec<String>);

/// The lines of one entry of an array of tables.
pub(super) fn entry(name: &str, record: &impl Recorded) -> String {
    let mut lines = RecordLines(vec![format!("[[{name}]]")]);
    record.put_all(&mut lines);
    lines.0.join("\n") + "\n"
}

impl RecordLines {
    fn line(&mut self, key: &str, value: impl Into<Value>) {
        self.0.push(format!("{key} = {}", value.into()));
    }

    /// In the usual unit, without zeros at its end or a sign on nothing.
    fn number(&mut self, range: &Range, number: f64) {
        let unit = range.units[0];
        let number = unit.from_record(number);
        // no finer than it was measured
        let decimals: usize = match unit.suffix {
            "m" | "pct" | "ml" | "mg" | "kcal_per_h" | "kmh" => 0,
            "min" | "g" | "c" | "mm_per_h" => 1,
            "km" => 2,
            _ => 3,
        };
        let text = format!("{number:.decimals$}");
        let text = match decimals {
            0 => &text,
            _ => text.trim_end_matches('0').trim_end_matches('.'),
        };
        let text = if text == "-0" { "0" } else { text };
        self.0.push(format!("{} = {text}", range.key(unit)));
    }

    fn list<'t>(&mut self, key: &str, texts: impl Iterator<Item = &'t str>) {
        let list: Array = texts.collect();
        if !list.is_empty() {
            self.line(key, list);
        }
    }
}

/// Types of value, each with how it is read and written.
macro_rules! put {
    ($($kind:ty, $how:ty: |$own:ident, $key:pat_param, $to:ident| $write:expr;)+) => { $(
        impl Put<$how> for $kind {
            fn put(&self, $key: $how, $to: &mut RecordLines) {
                let $own = self;
                $write
            }
        }
    )+ };
}

type Key = &'static str;
type Number = &'static Range;

put! {
    f64, Number: |own, range, to| if own.is_finite() { to.number(range, *own) };
    Option<f64>, Number: |own, range, to| own.iter().for_each(|own| own.put(range, to));
    f64, Or<f64>: |own, Or(range, _), to| own.put(range, to);
    Option<u32>, Number: |own, range, to| own.map(f64::from).put(range, to);
    String, Key: |own, key, to| to.line(key, own.as_str());
    Option<String>, Key: |own, key, to| own.iter().for_each(|own| own.put(key, to));
    Option<String>, Sentence: |own, Sentence(key), to| own.put(key, to);
    Spanned<String>, Key: |own, key, to| own.value.put(key, to);
    Vec<String>, Sentence: |own, Sentence(key), to| to.list(key, own.iter().map(String::as_str));
    bool, Key: |own, key, to| if *own { to.line(key, true) };
    NaiveDate, Key: |own, key, to| to.0.push(format!("{key} = {own}"));
    Elapsed, Key: |own, key, to| to.line(key, own.to_seconds_text());
    Option<Span>, Here: |_own, _, _to| ();
}

impl<T: Named + PartialEq> Put<Of<T>> for Vec<T> {
    fn put(&self, Of(key, words): Of<T>, to: &mut RecordLines) {
        let own = words.iter().filter(|(_, word)| self.contains(word));
        to.list(key, own.map(|(name, _)| *name));
    }
}

impl<T: Named + PartialEq> Put<Key> for Vec<T> {
    fn put(&self, key: Key, to: &mut RecordLines) {
        self.put(Of(key, T::WORDS), to);
    }
}

impl<T: Named + PartialEq> Put<Key> for Option<T> {
    fn put(&self, key: Key, to: &mut RecordLines) {
        let own = T::WORDS
            .iter()
            .find(|(_, word)| self.as_ref() == Some(word));
        own.iter().for_each(|(name, _)| to.line(key, *name));
    }
}

impl<T: Recorded, F> Put<Part<F>> for T {
    fn put(&self, _how: Part<F>, to: &mut RecordLines) {
        self.put_all(to);
    }
}

impl<T: Recorded, F> Put<Within<F>> for T {
    fn put(&self, Within(key, _): Within<F>, to: &mut RecordLines) {
        let mut own = RecordLines::default();
        self.put_all(&mut own);
        if !own.0.is_empty() {
            to.0.push(format!("\n[run.{key}]"));
            to.0.append(&mut own.0);
        }
    }
}

impl<T: Recorded, F> Put<Each<F>> for Vec<T> {
    fn put(&self, Each(key, _): Each<F>, to: &mut RecordLines) {
        for one in self {
            to.0.push(format!("\n[[run.{key}]]"));
            one.put_all(to);
        }
    }
}
