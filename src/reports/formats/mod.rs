//! A [`Document`] in, text out: one file per format, one line each in [`FORMATS`]. A format sees
//! documents, never plans; only JSON has output types of its own, in `super::json`.

mod csv;
mod markdown;
mod profile;
mod text;

use super::document::Document;

/// A way of putting a document into text.
#[derive(Clone, Copy, Debug)]
pub struct Format {
    /// As typed after `--format`.
    pub name: &'static str,
    /// Puts a document into text.
    pub write: fn(&Document, &TextSurface) -> String,
}

/// The surface the text is written onto.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TextSurface {
    /// Columns.
    pub width: usize,
    /// True where colours may be used.
    pub colour: bool,
}

impl Default for TextSurface {
    fn default() -> Self {
        TextSurface {
            width: 80,
            colour: false,
        }
    }
}

/// Every format but JSON.
pub const FORMATS: &[Format] = &[text::FORMAT, markdown::FORMAT, csv::FORMAT];

/// True where a character only changes the direction of the text around it: in a name it could show
/// the numbers beside it backwards.
fn turns(c: char) -> bool {
    matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}
