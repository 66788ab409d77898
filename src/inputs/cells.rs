//! The cells of a row as values.

use crate::diagnostics::{Diagnostic, Notes, Span, Spanned};
use crate::words::count;
use crate::words::folded;

use super::limits::{self, Range};
use super::table::{TableCell, TableRow};
use super::values::{self, quoted, with_hint};

impl TableRow {
    /// The cell of a column, unless it is empty or in doubt.
    pub(super) fn cell(&self, column: &str) -> Option<&TableCell> {
        // A row with the wrong number of cells is reported once; its name is still of use, so
        // that other files that mention it are not called wrong.
        if self.ragged && column != "name" {
            return None;
        }
        self.cells
            .iter()
            .find(|cell| cell.column == column && !cell.text.is_empty())
    }

    /// A name or sentence.
    pub(super) fn text(&self, column: &str, notes: &mut Notes) -> Option<Spanned<String>> {
        let cell = self.cell(column)?;
        let checked = values::check_text(&cell.header, &cell.text, limits::NAME_CHARS, cell.span);
        kept(checked, notes).map(|text| Spanned::at(text, cell.span))
    }

    /// A name that the row cannot do without.
    pub(super) fn name(&self, column: &str, notes: &mut Notes) -> Option<Spanned<String>> {
        self.miss(column, notes);
        self.text(column, notes)
    }

    /// A number, as records keep it.
    pub(super) fn number(&self, range: &Range, notes: &mut Notes) -> Option<Spanned<f64>> {
        let cell = self.cell(range.name)?;
        let unit = cell.unit?;
        let checked = parsed_number(cell)
            .and_then(|number| values::in_range(range, unit, &cell.header, number, cell.span));
        kept(checked, notes).map(|number| Spanned::at(number, cell.span))
    }

    /// A number that the row cannot do without.
    pub(super) fn needed(&self, range: &Range, notes: &mut Notes) -> Option<f64> {
        self.miss(range.name, notes);
        self.number(range, notes).map(|number| number.value)
    }

    /// A count of things.
    pub(super) fn whole(&self, range: &Range, notes: &mut Notes) -> Option<u32> {
        let number = self.number(range, notes)?;
        let cell = self.cell(range.name)?;
        kept(
            values::whole(range, &cell.header, number.value, cell.span),
            notes,
        )
    }

    /// `yes` or `no`; `None` where the cell is empty.
    pub(super) fn yes(&self, column: &str, notes: &mut Notes) -> Option<bool> {
        const WORDS: [(&str, bool); 4] = [
            ("yes", true),
            ("no", false),
            ("true", true),
            ("false", false),
        ];
        let cell = self.cell(column)?;
        let found = WORDS.iter().find(|(word, _)| *word == folded(&cell.text));
        if found.is_none() {
            notes.push(
                Diagnostic::error(format!("`{}` is {}", cell.header, quoted(&cell.text)))
                    .at(cell.span, "expected `yes`, `no` or nothing"),
            );
        }
        found.map(|(_, value)| *value)
    }

    /// The meaning of a word that the row cannot do without.
    pub(super) fn needed_choice<T: Copy>(
        &self,
        column: &str,
        names: &[(&'static str, T)],
        notes: &mut Notes,
    ) -> Option<T> {
        self.miss(column, notes);
        self.choice(column, names, notes)
    }

    /// The meaning of a word.
    pub(super) fn choice<T: Copy>(
        &self,
        column: &str,
        names: &[(&'static str, T)],
        notes: &mut Notes,
    ) -> Option<T> {
        let cell = self.cell(column)?;
        kept(
            values::choose(&cell.header, &cell.text, names, cell.span),
            notes,
        )
    }

    /// Names separated by semicolons.
    pub(super) fn list(&self, column: &str, notes: &mut Notes) -> Vec<Spanned<String>> {
        let Some(cell) = self.cell(column) else {
            return Vec::new();
        };
        let pieces: Vec<&str> = cell.text.split(';').collect();
        if pieces.len() > limits::LIST_ENTRIES {
            notes.push(
                Diagnostic::error(format!(
                    "`{}` lists {}",
                    cell.header,
                    count(pieces.len(), "name")
                ))
                .at(
                    cell.span,
                    format!("expected at most {} names", limits::LIST_ENTRIES),
                ),
            );
            return Vec::new();
        }
        // A doubled quote inside the cell would shift the places of what follows it.
        let exact = cell.span.end - cell.span.start == cell.text.len();
        let mut at = cell.span.start;
        let mut names = Vec::new();
        for piece in pieces {
            let start = at + (piece.len() - piece.trim_start().len());
            let span = if exact {
                Span {
                    start,
                    end: start + piece.trim().len(),
                    ..cell.span
                }
            } else {
                cell.span
            };
            at += piece.len() + 1;
            if !piece.trim().is_empty() {
                let checked = values::check_text(&cell.header, piece, limits::NAME_CHARS, span);
                names.extend(kept(checked, notes).map(|name| Spanned::at(name, span)));
            }
        }
        names
    }

    /// Notes that a cell is empty which must not be. A column that is not there at all has been
    /// reported once, at the head of the table.
    pub(super) fn miss(&self, column: &str, notes: &mut Notes) {
        let empty = |cell: &&TableCell| cell.column == column && cell.text.is_empty();
        if let Some(cell) = self.cells.iter().find(empty).filter(|_| !self.ragged) {
            notes.push(
                Diagnostic::error(format!("the row has no `{}`", cell.header)).at(
                    cell.span,
                    format!("expected a `{}` in each row", cell.header),
                ),
            );
        }
    }
}

/// The value, or a note of what is wrong with it.
pub(super) fn kept<T>(checked: Result<T, Diagnostic>, notes: &mut Notes) -> Option<T> {
    checked.map_err(|problem| notes.push(problem)).ok()
}

fn parsed_number(cell: &TableCell) -> Result<f64, Diagnostic> {
    let number = |text: &str| text.parse::<f64>().ok().filter(|n| n.is_finite());
    if let Some(value) = number(&cell.text) {
        return Ok(value);
    }
    let symbol = cell.unit.map_or("", |unit| unit.symbol);
    let expected = if symbol.is_empty() {
        "expected a number".to_owned()
    } else {
        format!("expected a number ({symbol})")
    };
    let problem = Diagnostic::error(format!("`{}` is {}", cell.header, quoted(&cell.text)))
        .at(cell.span, expected);
    let pointed = cell.text.replace(',', ".");
    let bare = cell.text.replace(',', "");
    let hint = if cell.text.contains(',') && number(&pointed).is_some() {
        Some(decimal_comma(&cell.text, &pointed, &bare))
    } else if number(&bare).is_some() {
        Some(format!("write `{bare}`, without separators"))
    } else if cell.text.contains(':') {
        Some("write a plain number, such as `10`".to_owned())
    } else {
        let leading = values::leading_number(&cell.text);
        leading.map(|number| format!("the column name says the unit; write `{number}`"))
    };
    Err(with_hint(problem, hint))
}

fn decimal_comma(typed: &str, pointed: &str, bare: &str) -> String {
    let thousands = typed.split(',').nth(1).is_some_and(|tail| tail.len() == 3);
    if thousands {
        format!("write `{pointed}`, or `{bare}` if the comma groups thousands")
    } else {
        format!("write a decimal point: `{pointed}`")
    }
}
