//! A text with one thing changed, every other byte as it was.

pub(super) mod settings;
pub(super) mod table;

#[cfg(test)]
mod tests;

/// The ends of lines of a text.
fn newline(text: &str) -> &'static str {
    if text.contains("\r\n") { "\r\n" } else { "\n" }
}

/// The byte after the end of the line that a byte is in.
fn line_end(text: &str, at: usize) -> usize {
    text[at..]
        .find('\n')
        .map_or(text.len(), |length| at + length + 1)
}

/// The first byte of the line that a byte is in.
fn line_start(text: &str, at: usize) -> usize {
    text[..at].rfind('\n').map_or(0, |at| at + 1)
}

/// A text with some bytes replaced.
fn spliced(text: &str, range: std::ops::Range<usize>, new: &str) -> String {
    format!("{}{new}{}", &text[..range.start], &text[range.end..])
}

/// A text that ends with a line's end, so that a line can follow.
fn closed(text: &str) -> String {
    if text.is_empty() || text.ends_with('\n') {
        text.to_owned()
    } else {
        format!("{text}{}", newline(text))
    }
}
