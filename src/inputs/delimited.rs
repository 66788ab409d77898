//! Places of the cells of a table in its text, which the `csv` crate does not say.

use std::ops::Range;

use crate::diagnostics::Span;
use crate::words::trimmed;

/// One cell as written.
#[derive(Clone, Debug, PartialEq)]
pub struct RawCell {
    /// The bytes between the separators, quotes and outer spaces left out.
    pub range: Range<usize>,
    /// All bytes between the separators.
    pub whole: Range<usize>,
    /// The mistake in its quotes.
    pub(super) flaw: Option<Flaw>,
}

/// The rows of a text that are neither blank nor comments, column names first, by their bytes.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    /// The separator between cells.
    pub separator: char,
    /// Rows of cells.
    pub rows: Vec<Vec<RawCell>>,
}

impl Grid {
    /// The rows of a table.
    #[must_use]
    pub fn of(text: &str) -> Grid {
        let mut at = text.len() - text.trim_start_matches('\u{feff}').len();
        let separator = separator(&text[at..]);
        let mut rows = Vec::new();
        loop {
            at = row_start(text, at);
            if at >= text.len() {
                break;
            }
            let row = cells(text, at, separator);
            at = row.last().map_or(text.len(), |cell| cell.whole.end);
            if row
                .iter()
                .any(|cell| !text[cell.range.clone()].trim().is_empty())
            {
                rows.push(row);
            }
        }
        Grid {
            separator: char::from(separator),
            rows,
        }
    }
}

/// The separator of the cells: what the line of column names is split by.
pub(super) fn separator(text: &str) -> u8 {
    let start = row_start(text, 0);
    let header = text[start..].lines().next().unwrap_or_default();
    [b',', b';', b'\t']
        .into_iter()
        .find(|separator| header.as_bytes().contains(separator))
        .unwrap_or(b',')
}

/// A cell's text, where it stands, and what is wrong with its quotes.
pub(super) struct DelimitedField {
    pub(super) text: String,
    pub(super) span: Span,
    pub(super) flaw: Option<Flaw>,
}

/// A mistake in quotes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Flaw {
    /// A quote is opened and never closed.
    Open,
    /// Something follows the closing quote.
    Trailing,
    /// A quote does not follow the separator directly.
    Late,
}

/// The start of the row at or after a byte: blank lines and comment lines are passed over.
pub(super) fn row_start(text: &str, mut at: usize) -> usize {
    let bytes = text.as_bytes();
    loop {
        match bytes.get(at) {
            Some(b'\n' | b'\r') => at += 1,
            Some(b'#') => at += line_length(&bytes[at..]),
            _ => return at,
        }
    }
}

fn line_length(bytes: &[u8]) -> usize {
    bytes
        .iter()
        .position(|b| *b == b'\n')
        .map_or(bytes.len(), |end| end + 1)
}

/// The cells of the row that starts at a byte.
pub(super) fn cells(text: &str, start: usize, separator: u8) -> Vec<RawCell> {
    let bytes = text.as_bytes();
    let mut cells = Vec::new();
    let mut at = start;
    loop {
        let (cell, end) = cell(text, at, separator);
        cells.push(cell);
        if bytes.get(end) != Some(&separator) {
            return cells;
        }
        at = end + 1;
    }
}

/// One cell, and the byte that ends it: a separator, a line's end or the text's.
fn cell(text: &str, start: usize, separator: u8) -> (RawCell, usize) {
    let bytes = text.as_bytes();
    let ends = |from: usize| {
        bytes[from..]
            .iter()
            .position(|b| *b == separator || matches!(b, b'\n' | b'\r'))
            .map_or(bytes.len(), |length| from + length)
    };
    if bytes.get(start) != Some(&b'"') {
        let end = ends(start);
        let range = trimmed(text, start..end);
        let flaw =
            (bytes.get(range.start) == Some(&b'"') && !range.is_empty()).then_some(Flaw::Late);
        let whole = start..end;
        return (RawCell { range, whole, flaw }, end);
    }
    let inside = start + 1;
    let Some(close) = closing_quote(bytes, inside) else {
        let range = trimmed(text, start..ends(start));
        let (flaw, whole) = (Some(Flaw::Open), start..bytes.len());
        return (RawCell { range, whole, flaw }, bytes.len());
    };
    let end = ends(close + 1);
    let flaw = (!text[close + 1..end].trim().is_empty()).then_some(Flaw::Trailing);
    let range = if flaw.is_some() {
        start..end
    } else {
        inside..close
    };
    (
        RawCell {
            range: trimmed(text, range),
            whole: start..end,
            flaw,
        },
        end,
    )
}

/// The quote that closes a cell: one that is not doubled.
fn closing_quote(bytes: &[u8], mut at: usize) -> Option<usize> {
    while let Some(step) = bytes.get(at..)?.iter().position(|b| *b == b'"') {
        at += step;
        if bytes.get(at + 1) != Some(&b'"') {
            return Some(at);
        }
        at += 2;
    }
    None
}
