//! Lists of words in files of their own: a head, a colon and its words a line.

/// The lines of a list as heads and words, comments left out.
pub(super) fn entries(list: &'static str) -> impl Iterator<Item = (&'static str, &'static str)> {
    let lines = list.lines().filter(|line| !line.starts_with('#'));
    lines.filter_map(|line| line.split_once(": "))
}
