//! Names compared and things counted, the same way everywhere.

use std::ops::Range;

/// A name as it is compared: case and outer spaces do not count.
#[must_use]
pub fn folded(name: &str) -> String {
    name.trim().to_lowercase()
}

/// True if two names are the same but for case and outer spaces.
#[must_use]
pub fn same_name(one: &str, other: &str) -> bool {
    folded(one) == folded(other)
}

/// Letters, each with the marked ones that it stands for where somebody types in a hurry.
const PLAIN: &str = "aàáâãäåāăą cçćč dďđð eèéêëēėęě gğģ iìíîïīįı kķ lĺļľł nñńņň oòóôõöøōő rŕř \
                     sśşšș tťţț uùúûüūůűų yýÿ zźżž";

/// A name without its accents, and [`folded`]: what a hurried hand may type of it.
#[must_use]
pub fn plain(name: &str) -> String {
    let is_mark = |letter: &char| ('\u{300}'..='\u{36f}').contains(letter);
    let letters = folded(name).replace('ß', "ss");
    let letters = letters.chars().filter(|letter| !is_mark(letter));
    let plainer = letters.map(|letter| {
        let mut known = PLAIN.split_whitespace();
        let plain = known.find(|letters| letters.contains(letter));
        plain
            .and_then(|letters| letters.chars().next())
            .unwrap_or(letter)
    });
    plainer.collect()
}

/// A number of things whose plural ends in `s`: `no files`, `1 file`, `3 files`.
#[must_use]
pub fn count(number: usize, thing: &str) -> String {
    match number {
        0 => format!("no {thing}s"),
        1 => format!("1 {thing}"),
        many => format!("{many} {thing}s"),
    }
}

/// The form of a word or phrase that goes with a number: `week has` for 1, else `weeks have`.
#[must_use]
pub fn plural<'a>(number: usize, one: &'a str, many: &'a str) -> &'a str {
    if number == 1 { one } else { many }
}

/// Words after the worst of several: nothing, ` (and 1 more segment)`, ` (and 3 more segments)`.
#[must_use]
pub fn and_more(others: usize, one: &str, many: &str) -> String {
    match others {
        0 => String::new(),
        _ => format!(" (and {others} more {})", plural(others, one, many)),
    }
}

/// Names in backticks with commas between them: `` `km`, `mi` ``.
#[must_use]
pub fn listed<S: AsRef<str>>(names: impl IntoIterator<Item = S>) -> String {
    let names = names.into_iter();
    let names: Vec<String> = names.map(|name| format!("`{}`", name.as_ref())).collect();
    names.join(", ")
}

/// Names in backticks, the last after a word: `` `km`, `mi` or `m` ``.
#[must_use]
pub fn listed_with<S: AsRef<str>>(names: &[S], word: &str) -> String {
    match names.split_last() {
        Some((last, [])) => format!("`{}`", last.as_ref()),
        Some((last, rest)) => format!("{} {word} `{}`", listed(rest), last.as_ref()),
        None => String::new(),
    }
}

/// A range of a text without the blanks at its ends.
///
/// # Panics
/// If the range is not one of the text.
#[must_use]
pub fn trimmed(text: &str, range: Range<usize>) -> Range<usize> {
    let written = &text[range.clone()];
    let start = range.start + (written.len() - written.trim_start().len());
    start..start + written.trim().len()
}

/// An enum with its words, one of which stands in a file.
pub trait Named: Copy + 'static {
    /// Every value with its word.
    const WORDS: &'static [(&'static str, Self)];
}

/// Enums of which each value has a word in files: `Value = "word"`.
macro_rules! named {
    ($(
        $(#[$about:meta])*
        pub enum $name:ident {
            $( $(#[$says:meta])* $value:ident = $word:literal, )+
        }
    )+) => { $(
        $(#[$about])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum $name {
            $( $(#[$says])* $value, )+
        }

        impl $name {
            /// Every value with its word in files.
            pub const NAMES: [(&'static str, $name); [$($word),+].len()] =
                [$(($word, $name::$value)),+];

            /// The word in files.
            #[must_use]
            pub fn name(self) -> &'static str {
                match self {
                    $($name::$value => $word,)+
                }
            }
        }

        impl crate::words::Named for $name {
            const WORDS: &'static [(&'static str, $name)] = &$name::NAMES;
        }
    )+ };
}
pub(crate) use named;

#[cfg(test)]
mod tests;
