//! Sections as records: each field says under which key it stands, its type how it is read and
//! whether the section can do without it.

use chrono::{NaiveDate, NaiveDateTime};

use crate::diagnostics::{Span, Spanned};
use crate::time::Elapsed;

use super::limits::{self, Range};
use super::toml_reader::{Reading, Section};
use crate::words::Named;

/// A type of value that sections give.
pub(super) trait Asked<How>: Sized {
    /// The value; `None` where the section cannot do without it, which has then been said.
    fn asked(how: How, section: &mut Section<'_>, r: &mut Reading) -> Option<Self>;
}

/// A text as long as a sentence; a key alone asks for a name.
pub(super) struct Sentence(pub(super) &'static str);
/// A number that stands for one nobody wrote.
pub(super) struct Or<T>(pub(super) &'static Range, pub(super) T);
/// Contents of a section of its own.
pub(super) struct Within<F>(pub(super) &'static str, pub(super) F);
/// Contents of each section of a name.
pub(super) struct Each<F>(pub(super) &'static str, pub(super) F);
/// Further contents of the same section.
pub(super) struct Part<F>(pub(super) F);
/// Keys with a reader of their own.
pub(super) struct By<F>(pub(super) F);
/// The place of the section itself.
pub(super) struct Here;

/// A record that is read from a section: `name: type = key`.
macro_rules! section {
    ($(
        $(#[$about:meta])*
        pub struct $name:ident {
            $( $(#[$doc:meta])* pub $field:ident : $kind:ty = $how:expr, )+
        }
    )+) => { $(
        $(#[$about])*
        pub struct $name {
            $( $(#[$doc])* pub $field: $kind, )+
        }

        impl $name {
            pub(super) fn read(
                section: &mut crate::inputs::toml_reader::Section<'_>,
                r: &mut crate::inputs::toml_reader::Reading,
            ) -> Option<Self> {
                // all are asked for, so that all that is missing is said
                $( let $field: Option<$kind> = crate::inputs::asked::Asked::asked($how, section, r); )+
                Some($name { $( $field: $field?, )+ })
            }
        }
    )+ };
}
pub(super) use section;

/// Types of value, each with what asks for it and how it is read.
macro_rules! asked {
    ($($kind:ty, $how:ty: |$key:pat_param, $section:ident, $r:ident| $read:expr;)+) => { $(
        impl Asked<$how> for $kind {
            fn asked($key: $how, $section: &mut Section<'_>, $r: &mut Reading) -> Option<Self> {
                $read
            }
        }
    )+ };
}

type Key = &'static str;
type Number = &'static Range;

asked! {
    Option<Spanned<f64>>, Number: |range, section, r| Some(section.number(range, r));
    Option<f64>, Number: |range, section, r| Some(value(section.number(range, r)));
    Option<u32>, Number: |range, section, r| Some(section.whole(range, r));
    Spanned<f64>, Number: |range, section, r| section.needed(range, r);
    f64, Number: |range, section, r| value(section.needed(range, r));
    f64, Or<f64>: |Or(range, usual), section, r| value(section.number(range, r)).or(Some(usual));
    u32, Or<u32>: |Or(range, usual), section, r| section.whole(range, r).or(Some(usual));
    Option<Spanned<String>>, Key: |key, section, r| Some(section.words(key, limits::NAME_CHARS, r));
    Option<String>, Key: |key, section, r| Some(value(section.words(key, limits::NAME_CHARS, r)));
    Spanned<String>, Key: |key, section, r| section.name(key, r);
    String, Key: |key, section, r| value(section.name(key, r));
    Vec<Spanned<String>>, Key: |key, section, r| Some(section.texts(key, limits::NAME_CHARS, r));
    Vec<String>, Key: |key, section, r| Some(values(section.texts(key, limits::NAME_CHARS, r)));
    Option<Spanned<String>>, Sentence: |Sentence(key), section, r|
        Some(section.words(key, limits::SENTENCE_CHARS, r));
    Option<String>, Sentence: |Sentence(key), section, r|
        Some(value(section.words(key, limits::SENTENCE_CHARS, r)));
    Vec<String>, Sentence: |Sentence(key), section, r|
        Some(values(section.texts(key, limits::SENTENCE_CHARS, r)));
    bool, Key: |key, section, r| Some(section.flag(key, r).unwrap_or(false));
    Option<bool>, Key: |key, section, r| Some(section.flag(key, r));
    Option<NaiveDate>, Key: |key, section, r| Some(section.date(key, r));
    NaiveDate, Key: |key, section, r| {
        section.need(key, r);
        section.date(key, r)
    };
    Option<Spanned<NaiveDateTime>>, Key: |key, section, r| Some(section.local_time(key, r));
    Option<Spanned<Elapsed>>, Key: |key, section, r| Some(section.race_time(key, r));
    Spanned<Elapsed>, Key: |key, section, r| {
        section.need(key, r);
        section.race_time(key, r)
    };
    Elapsed, Key: |key, section, r| value(Asked::asked(key, section, r));
    Option<Span>, Here: |_, section, _r| Some(section.span);
}

/// One of the words of an enum.
impl<T: Named> Asked<Key> for Option<T> {
    fn asked(key: Key, section: &mut Section<'_>, r: &mut Reading) -> Option<Self> {
        Some(section.choice(key, r))
    }
}

/// The same; what is usual where it is missing.
impl<T: Named + Default> Asked<Key> for T {
    fn asked(key: Key, section: &mut Section<'_>, r: &mut Reading) -> Option<Self> {
        section.choice(key, r).or(Some(T::default()))
    }
}

/// Any number of the words of an enum.
impl<T: Named> Asked<Key> for Vec<T> {
    fn asked(key: Key, section: &mut Section<'_>, r: &mut Reading) -> Option<Self> {
        let listed = section.list(key, "words", r, |entry, r| entry.choice(T::WORDS, r));
        Some(values(listed))
    }
}

impl<T, F> Asked<Within<F>> for T
where
    F: FnOnce(&mut Section<'_>, &mut Reading) -> Option<T>,
{
    fn asked(how: Within<F>, section: &mut Section<'_>, r: &mut Reading) -> Option<Self> {
        section.section(how.0, r, how.1)
    }
}

impl<T, F> Asked<Part<F>> for T
where
    F: FnOnce(&mut Section<'_>, &mut Reading) -> Option<T>,
{
    fn asked(how: Part<F>, section: &mut Section<'_>, r: &mut Reading) -> Option<Self> {
        (how.0)(section, r)
    }
}

impl<T, F> Asked<Each<F>> for Vec<T>
where
    F: FnMut(&mut Section<'_>, &mut Reading) -> Option<T>,
{
    fn asked(how: Each<F>, section: &mut Section<'_>, r: &mut Reading) -> Option<Self> {
        Some(section.sections(how.0, r, how.1))
    }
}

impl<T, F> Asked<By<F>> for T
where
    F: FnOnce(&mut Section<'_>, &mut Reading) -> T,
{
    fn asked(how: By<F>, section: &mut Section<'_>, r: &mut Reading) -> Option<Self> {
        Some((how.0)(section, r))
    }
}

fn value<T>(spanned: Option<Spanned<T>>) -> Option<T> {
    spanned.map(|spanned| spanned.value)
}

fn values<T>(spanned: Vec<Spanned<T>>) -> Vec<T> {
    spanned.into_iter().map(|spanned| spanned.value).collect()
}

impl Section<'_> {
    /// A value, or its default.
    pub(super) fn ask<How, T: Asked<How> + Default>(&mut self, how: How, r: &mut Reading) -> T {
        T::asked(how, self, r).unwrap_or_default()
    }
}
