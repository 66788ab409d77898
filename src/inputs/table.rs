//! CSV tables read by column name: any order, commas, semicolons or tabs, comments and blank
//! lines passed over, every cell with its place in the text.

use csv::{ReaderBuilder, StringRecord};

use crate::diagnostics::{Diagnostic, FileId, Notes, SourceFile, Span};
use crate::words::count;

use super::delimited::{self, DelimitedField, Flaw, RawCell};
use super::headings::{Heading, Shape, headings, names};
use super::limits::{self, Unit};

/// The cells of one row, of the columns that are known.
pub(super) struct TableRow {
    pub(super) cells: Vec<TableCell>,
    /// The whole row.
    pub(super) span: Span,
    /// True where it has too few or too many cells, so that their columns are in doubt.
    pub(super) ragged: bool,
}

/// One cell.
pub(super) struct TableCell {
    pub(super) column: &'static str,
    pub(super) header: String,
    pub(super) unit: Option<Unit>,
    pub(super) text: String,
    pub(super) span: Span,
}

/// A table, read.
#[derive(Default)]
pub(super) struct CellTable {
    /// The line of column names.
    pub(super) header: Option<Span>,
    columns: Vec<&'static str>,
    /// True where every column is known, so that none can be meant for one that is missing.
    pub(super) all_known: bool,
    pub(super) rows: Vec<TableRow>,
}

impl CellTable {
    /// True where the table has a column for a quantity.
    pub(super) fn has(&self, column: &str) -> bool {
        self.columns.contains(&column)
    }

    /// A record of each row that holds what it cannot do without.
    pub(super) fn records<T>(
        &self,
        notes: &mut Notes,
        mut record: impl FnMut(&TableRow, &mut Notes) -> Option<T>,
    ) -> Vec<T> {
        let rows = self.rows.iter();
        rows.filter_map(|row| record(row, notes)).collect()
    }

    /// Splits a text into rows and says what is wrong with its columns.
    pub(super) fn read(
        file: &SourceFile,
        id: FileId,
        shape: &Shape,
        notes: &mut Notes,
    ) -> CellTable {
        if file.text.len() > limits::TABLE_BYTES {
            notes.push(too_large(file, limits::TABLE_BYTES));
            return CellTable::default();
        }
        let mut lines = CsvLines::of(file, id);
        let Some((header, header_span)) = lines.next_row() else {
            notes.push(Diagnostic::error(format!("`{}` is empty", file.name)).at(
                None,
                format!("expected a line of column names: {}", names(shape)),
            ));
            return CellTable::default();
        };
        let Some(headings) = headings(&header, header_span, shape, notes) else {
            return CellTable::default();
        };
        let mut table = CellTable {
            header: Some(header_span),
            all_known: headings
                .iter()
                .zip(&header)
                .all(|(h, f)| h.is_some() || f.text.is_empty()),
            columns: headings.iter().flatten().map(|h| h.column).collect(),
            rows: Vec::new(),
        };
        while let Some((cells, span)) = lines.next_row() {
            if table.rows.len() == shape.most_rows {
                notes.push(
                    Diagnostic::error(format!("`{}` has too many rows", file.name))
                        .at(span, format!("expected at most {} rows", shape.most_rows)),
                );
                break;
            }
            table
                .rows
                .push(row(cells, span, &headings, lines.separator, notes));
        }
        if table.rows.is_empty() {
            notes.push(
                Diagnostic::warning(format!("`{}` has column names but no rows", file.name))
                    .at(header_span, "expected a row below this line"),
            );
        }
        table
    }
}

/// A file that is no table or settings file of ours.
pub(super) fn too_large(file: &SourceFile, most: usize) -> Diagnostic {
    let megabytes = |bytes: usize| bytes as f64 / 1e6;
    Diagnostic::error(format!(
        "`{}` is {:.1} MB",
        file.name,
        megabytes(file.text.len())
    ))
    .at(None, format!("expected at most {} MB", megabytes(most)))
}

/// The rows of a text that are neither blank nor comments.
pub(super) struct CsvLines<'t> {
    text: &'t str,
    /// Bytes of the byte-order mark before `text`.
    offset: usize,
    id: FileId,
    separator: u8,
    reader: csv::Reader<&'t [u8]>,
}

impl<'t> CsvLines<'t> {
    pub(super) fn of(file: &'t SourceFile, id: FileId) -> Self {
        let text = file.text.trim_start_matches('\u{feff}');
        let separator = delimited::separator(text);
        CsvLines {
            text,
            offset: file.text.len() - text.len(),
            id,
            separator,
            reader: ReaderBuilder::new()
                .has_headers(false)
                .flexible(true)
                .comment(Some(b'#'))
                .delimiter(separator)
                .from_reader(text.as_bytes()),
        }
    }

    pub(super) fn next_row(&mut self) -> Option<(Vec<DelimitedField>, Span)> {
        let mut record = StringRecord::new();
        // Reading text that is UTF-8 already, with any number of cells, cannot fail.
        while self.reader.read_record(&mut record).unwrap_or(false) {
            let at = record.position().map_or(0, |p| p.byte() as usize);
            let start = delimited::row_start(self.text, at);
            let raw = delimited::cells(self.text, start, self.separator);
            if record.iter().all(|cell| cell.trim().is_empty()) {
                continue;
            }
            let end = raw.last().map_or(start, |cell| cell.range.end);
            let fields = raw
                .iter()
                .zip(&record)
                .map(|(raw, text)| self.field(raw, text));
            return Some((fields.collect(), self.span(start..end)));
        }
        None
    }

    fn field(&self, raw: &RawCell, text: &str) -> DelimitedField {
        DelimitedField {
            text: text.trim().to_owned(),
            span: self.span(raw.range.clone()),
            flaw: raw.flaw,
        }
    }

    fn span(&self, range: std::ops::Range<usize>) -> Span {
        Span::new(self.id, range.start + self.offset..range.end + self.offset)
    }
}

fn row(
    mut fields: Vec<DelimitedField>,
    span: Span,
    headings: &[Option<Heading>],
    separator: u8,
    notes: &mut Notes,
) -> TableRow {
    // A spreadsheet pads rows with empty cells.
    while fields.len() > headings.len() && fields.last().is_some_and(|f| f.text.is_empty()) {
        fields.pop();
    }
    let bad = fields
        .iter()
        .find_map(|field| Some(bad_quotes(field, field.flaw?)));
    let flawed = bad.is_some();
    bad.into_iter().for_each(|problem| notes.push(problem));
    let ragged = fields.len() != headings.len();
    if ragged && !flawed {
        notes.push(wrong_length(fields.len(), headings.len(), span, separator));
    }
    if flawed {
        // Nobody knows what belongs to which cell.
        fields.clear();
    }
    let cells = fields
        .into_iter()
        .zip(headings)
        .filter_map(|(field, heading)| {
            let heading = heading.as_ref()?;
            Some(TableCell {
                column: heading.column,
                header: heading.header.clone(),
                unit: heading.unit,
                text: field.text,
                span: field.span,
            })
        })
        .collect();
    TableRow {
        cells,
        span,
        ragged: ragged || flawed,
    }
}

fn bad_quotes(field: &DelimitedField, flaw: Flaw) -> Diagnostic {
    match flaw {
        Flaw::Open => Diagnostic::error("this quote is never closed")
            .at(field.span, "expected a `\"` at the end of the cell"),
        Flaw::Trailing => Diagnostic::error("something follows the quote that ends a cell")
            .at(field.span, "expected the separator after the closing quote")
            .hint("a quote inside a quoted cell is written twice: `\"\"`"),
        Flaw::Late => Diagnostic::error("a space stands before the quote of a cell")
            .at(field.span, "expected the quote right after the separator")
            .hint("leave out the space"),
    }
}

fn wrong_length(found: usize, wanted: usize, span: Span, separator: u8) -> Diagnostic {
    let separator = match separator {
        b'\t' => "tab".to_owned(),
        other => format!("`{}`", char::from(other)),
    };
    Diagnostic::error(format!("the row has {}", count(found, "cell")))
        .at(
            span,
            format!(
                "expected {}, as many as there are columns",
                count(wanted, "cell")
            ),
        )
        .hint(if found < wanted {
            format!("leave a cell empty, but keep its {separator}")
        } else {
            format!("put a cell that holds a {separator} in quotes")
        })
}
