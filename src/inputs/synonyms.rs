//! Words that people type for keys and columns, and the ones meant.

use super::word_lists::entries;

const LINES: &str = include_str!("synonyms.txt");

/// A key or column, the file that it belongs to where only one has it, and what is typed for it.
/// A typed word may stand for several: the file that is read knows only some of them.
struct Meant {
    name: &'static str,
    file: Option<&'static str>,
    words: &'static str,
}

fn all() -> impl Iterator<Item = Meant> {
    entries(LINES).map(|(head, words)| {
        let (name, file) = match head.split_once(' ') {
            Some((name, file)) => (name, Some(file)),
            None => (head, None),
        };
        Meant { name, file, words }
    })
}

fn folded(typed: &str) -> String {
    typed.trim().to_lowercase().replace([' ', '-'], "_")
}

impl Meant {
    fn is_typed(&self, typed: &str) -> bool {
        self.words.split(' ').any(|word| word == typed)
    }
}

/// The known keys or columns that a typed word stands for.
pub(super) fn meant<'k>(typed: &str, known: &[&'k str]) -> Vec<&'k str> {
    let typed = folded(typed);
    let all: Vec<Meant> = all().filter(|meant| meant.is_typed(&typed)).collect();
    let stands_for = |name: &&&str| all.iter().any(|meant| meant.name == **name);
    known.iter().filter(stands_for).copied().collect()
}

/// A key of another file that a typed word is or stands for, and that file.
pub(super) fn in_another_file(typed: &str) -> Option<(&'static str, &'static str)> {
    let typed = folded(typed);
    let mut all = all().filter(|meant| meant.name == typed || meant.is_typed(&typed));
    all.find_map(|meant| Some((meant.name, meant.file?)))
}
