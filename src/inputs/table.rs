//! CSV tables read by column name: any order, commas, semicolons or tabs, comments and blank
//! lines passed over, every cell with its place in the text.

use csv::{ReaderBuilder, StringRecord};

use crate::diagnostics::{Diagnostic, FileId, Notes, SourceFile, Span};

use super::delimited::{self, Flaw, RawCell};
use super::limits::{self, Range, Unit};
use super::values::{count, did_you_mean, either, joined, quoted, with_hint};

/// What a table may hold.
pub(super) struct Shape {
    /// Columns in the order they are named in messages.
    pub(super) columns: &'static [Column],
    /// How many rows are too many to be meant.
    pub(super) most_rows: usize,
}

/// One quantity, in a column for each unit it may be written in.
#[derive(Clone, Copy)]
pub(super) struct Column {
    name: &'static str,
    units: &'static [Unit],
    required: bool,
}

impl Column {
    /// Words.
    pub(super) const fn text(name: &'static str) -> Self {
        Column {
            name,
            units: &[],
            required: false,
        }
    }

    /// A number, in a column that is named with its unit.
    pub(super) const fn number(range: &Range) -> Self {
        Column {
            name: range.name,
            units: range.units,
            required: false,
        }
    }

    /// One that the table cannot do without.
    pub(super) const fn required(mut self) -> Self {
        self.required = true;
        self
    }

    /// The headers it may stand under.
    fn headers(&self) -> Vec<String> {
        if self.units.is_empty() {
            return vec![self.name.to_owned()];
        }
        let header = |unit: &Unit| match unit.suffix {
            "" => self.name.to_owned(),
            suffix => format!("{}_{suffix}", self.name),
        };
        self.units.iter().map(header).collect()
    }
}

/// The cells of one row, of the columns that are known.
pub(super) struct Row {
    pub(super) cells: Vec<Cell>,
    /// The whole row.
    pub(super) span: Span,
    /// Whether it has too few or too many cells, so that their columns are in doubt.
    pub(super) ragged: bool,
}

/// One cell.
pub(super) struct Cell {
    pub(super) column: &'static str,
    pub(super) header: String,
    pub(super) unit: Option<Unit>,
    pub(super) text: String,
    pub(super) span: Span,
}

/// A heading that is known.
struct Heading {
    column: &'static str,
    header: String,
    unit: Option<Unit>,
}

/// A table, read.
#[derive(Default)]
pub(super) struct Table {
    /// The line of column names.
    pub(super) header: Option<Span>,
    columns: Vec<&'static str>,
    pub(super) rows: Vec<Row>,
}

impl Table {
    /// Whether the table has a column for a quantity.
    pub(super) fn has(&self, column: &str) -> bool {
        self.columns.contains(&column)
    }

    /// Splits a text into rows and says what is wrong with its columns.
    pub(super) fn read(file: &SourceFile, id: FileId, shape: &Shape, notes: &mut Notes) -> Table {
        if file.text.len() > limits::TABLE_BYTES {
            notes.push(too_large(file, limits::TABLE_BYTES));
            return Table::default();
        }
        let mut lines = Lines::of(file, id);
        let Some((header, header_span)) = lines.next_row() else {
            notes.push(Diagnostic::error(format!("`{}` is empty", file.name)).at(
                None,
                format!("expected a line of column names: {}", names(shape)),
            ));
            return Table::default();
        };
        let Some(headings) = headings(&header, header_span, shape, notes) else {
            return Table::default();
        };
        let mut table = Table {
            header: Some(header_span),
            columns: headings.iter().flatten().map(|h| h.column).collect(),
            rows: Vec::new(),
        };
        while let Some((cells, span)) = lines.next_row() {
            if table.rows.len() == shape.most_rows {
                notes.push(
                    Diagnostic::error(format!("`{}` has too many rows", file.name))
                        .at(span, format!("expected up to {} rows", shape.most_rows)),
                );
                break;
            }
            table
                .rows
                .push(row(cells, span, &headings, lines.separator, notes));
        }
        if table.rows.is_empty() {
            notes.push(
                Diagnostic::warning(format!("`{}` has column names and no rows", file.name))
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
    .at(None, format!("expected up to {} MB", megabytes(most)))
}

/// A cell's text, where it stands, and what is wrong with its quotes.
struct Field {
    text: String,
    span: Span,
    flaw: Option<Flaw>,
}

/// The rows of a text that are neither blank nor comments.
struct Lines<'t> {
    text: &'t str,
    /// Bytes of the byte-order mark before `text`.
    offset: usize,
    id: FileId,
    separator: u8,
    reader: csv::Reader<&'t [u8]>,
}

impl<'t> Lines<'t> {
    fn of(file: &'t SourceFile, id: FileId) -> Self {
        let text = file.text.trim_start_matches('\u{feff}');
        let separator = separator(text);
        Lines {
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

    fn next_row(&mut self) -> Option<(Vec<Field>, Span)> {
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

    fn field(&self, raw: &RawCell, text: &str) -> Field {
        Field {
            text: text.trim().to_owned(),
            span: self.span(raw.range.clone()),
            flaw: raw.flaw,
        }
    }

    fn span(&self, range: std::ops::Range<usize>) -> Span {
        Span::new(self.id, range.start + self.offset..range.end + self.offset)
    }
}

/// What separates the cells: what the line of column names is split by.
fn separator(text: &str) -> u8 {
    let start = delimited::row_start(text, 0);
    let header = text[start..].lines().next().unwrap_or_default();
    [b',', b';', b'\t']
        .into_iter()
        .find(|separator| header.as_bytes().contains(separator))
        .unwrap_or(b',')
}

fn names(shape: &Shape) -> String {
    let firsts: Vec<String> = shape
        .columns
        .iter()
        .filter_map(|column| column.headers().into_iter().next())
        .collect();
    joined(&firsts, "and")
}

/// What stands in each column, `None` where it is not known; nothing where no column is.
fn headings(
    header: &[Field],
    line: Span,
    shape: &Shape,
    notes: &mut Notes,
) -> Option<Vec<Option<Heading>>> {
    if header.len() > limits::COLUMNS {
        notes.push(
            Diagnostic::error(format!("the table has {} columns", header.len()))
                .at(line, format!("expected up to {} columns", limits::COLUMNS)),
        );
        return None;
    }
    let found: Vec<Option<Heading>> = header.iter().map(|field| heading(field, shape)).collect();
    if found.iter().all(Option::is_none) {
        notes.push(
            Diagnostic::error("the first line names no column that is known")
                .at(line, "expected column names")
                .hint(format!("columns here are {}", names(shape))),
        );
        return None;
    }
    let mut headings: Vec<Option<Heading>> = Vec::new();
    for (field, heading) in header.iter().zip(found) {
        let Some(heading) = heading else {
            if !field.text.is_empty() {
                notes.push(unknown_column(field, shape));
            }
            headings.push(None);
            continue;
        };
        let twin = headings
            .iter()
            .flatten()
            .find(|h| h.column == heading.column);
        if let Some(twin) = twin {
            notes.push(twice(field, &heading, twin));
            headings.push(None);
        } else {
            headings.push(Some(heading));
        }
    }
    for column in shape.columns.iter().filter(|c| c.required) {
        if !headings.iter().flatten().any(|h| h.column == column.name) {
            let wanted = either(&column.headers());
            notes.push(
                Diagnostic::error(format!("the table has no column {wanted}"))
                    .at(line, format!("expected {wanted} among the column names")),
            );
        }
    }
    Some(headings)
}

fn heading(field: &Field, shape: &Shape) -> Option<Heading> {
    let typed = field.text.to_lowercase();
    shape.columns.iter().find_map(|column| {
        let at = column
            .headers()
            .iter()
            .position(|header| *header == typed)?;
        Some(Heading {
            column: column.name,
            header: typed.clone(),
            unit: column.units.get(at).copied(),
        })
    })
}

fn unknown_column(field: &Field, shape: &Shape) -> Diagnostic {
    let typed = field.text.to_lowercase();
    let headers: Vec<String> = shape.columns.iter().flat_map(Column::headers).collect();
    let unitless = shape.columns.iter().find(|column| column.name == typed);
    let hint = match unitless {
        Some(column) => Some(format!("say the unit: {}", either(&column.headers()))),
        None => did_you_mean(&typed, headers.iter().map(String::as_str))
            .or_else(|| Some(format!("columns here are {}", names(shape)))),
    };
    let problem = Diagnostic::error(format!("unknown column {}", quoted(&field.text)))
        .at(field.span, "expected a column name that is known");
    with_hint(problem, hint)
}

fn twice(field: &Field, heading: &Heading, twin: &Heading) -> Diagnostic {
    if heading.header == twin.header {
        Diagnostic::error(format!("column `{}` is there twice", heading.header))
            .at(field.span, "expected each column once")
    } else {
        Diagnostic::error(format!(
            "`{}` and `{}` say the same thing",
            twin.header, heading.header
        ))
        .at(field.span, "expected one of the two")
        .hint("keep the column with the unit you use")
    }
}

fn row(
    mut fields: Vec<Field>,
    span: Span,
    headings: &[Option<Heading>],
    separator: u8,
    notes: &mut Notes,
) -> Row {
    // A spreadsheet pads rows with empty cells.
    while fields.len() > headings.len() && fields.last().is_some_and(|f| f.text.is_empty()) {
        fields.pop();
    }
    let flawed = fields.iter().find(|field| field.flaw.is_some());
    if let Some((field, flaw)) = flawed.and_then(|field| Some((field, field.flaw?))) {
        notes.push(bad_quotes(field, flaw));
    }
    let ragged = fields.len() != headings.len();
    if ragged && flawed.is_none() {
        notes.push(wrong_length(fields.len(), headings.len(), span, separator));
    }
    let ragged = ragged || flawed.is_some();
    let cells = fields
        .into_iter()
        .zip(headings)
        .filter_map(|(field, heading)| {
            let heading = heading.as_ref()?;
            Some(Cell {
                column: heading.column,
                header: heading.header.clone(),
                unit: heading.unit,
                text: field.text,
                span: field.span,
            })
        })
        .collect();
    Row {
        cells,
        span,
        ragged,
    }
}

fn bad_quotes(field: &Field, flaw: Flaw) -> Diagnostic {
    match flaw {
        Flaw::Open => Diagnostic::error("a quote is opened here and never closed")
            .at(field.span, "expected a `\"` at the end of the cell"),
        Flaw::Trailing => Diagnostic::error("something follows the quote that ends a cell")
            .at(field.span, "expected the separator after the closing quote")
            .hint("a quote inside a quoted cell is written twice: `\"\"`"),
        Flaw::Late => Diagnostic::error("a cell has a quote in front but not first")
            .at(field.span, "expected the quote right after the separator")
            .hint("leave out the space before the quote"),
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
