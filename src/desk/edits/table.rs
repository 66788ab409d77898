//! Cells and rows of a table changed in its text.

use sutler::inputs::delimited::{Grid, RawCell};

use super::{closed, line_end, line_start, newline, spliced};

/// A table as it is shown: column names, and rows with their text and their cells.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct CsvTable {
    pub(crate) columns: Vec<String>,
    pub(crate) rows: Vec<CsvRow>,
}

/// A row: the bytes it has in the text, and what is in its cells.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct CsvRow {
    /// As it stands in the text: what an edit is held against.
    pub(crate) line: String,
    pub(crate) cells: Vec<String>,
    /// The line in the file, from 1.
    pub(crate) number: usize,
    /// The places of the cells, from the first byte of the text.
    pub(crate) spans: Vec<(usize, usize)>,
}

impl CsvTable {
    pub(crate) fn of(text: &str) -> CsvTable {
        let grid = Grid::of(text);
        let mut rows = grid.rows.iter();
        let columns = rows.next().map_or(Vec::new(), |row| {
            let names = row.iter().map(|cell| unquoted(text, cell).to_lowercase());
            names.collect()
        });
        let rows = rows.map(|row| CsvRow {
            line: text[bytes(row)].to_owned(),
            cells: row.iter().map(|cell| unquoted(text, cell)).collect(),
            number: text[..bytes(row).start].matches('\n').count() + 1,
            spans: row.iter().map(|c| (c.whole.start, c.whole.end)).collect(),
        });
        CsvTable {
            rows: rows.collect(),
            columns,
        }
    }

    /// The column of this name.
    pub(crate) fn column(&self, name: &str) -> Option<usize> {
        self.columns.iter().position(|own| own == name)
    }
}

impl CsvRow {
    /// The cell in a column; nothing where the row ends before it.
    pub(crate) fn cell(&self, column: Option<usize>) -> &str {
        column
            .and_then(|column| self.cells.get(column))
            .map_or("", String::as_str)
    }
}

/// All bytes of a row.
fn bytes(row: &[RawCell]) -> std::ops::Range<usize> {
    let start = row.first().map_or(0, |cell| cell.whole.start);
    start..row.last().map_or(start, |cell| cell.whole.end)
}

fn unquoted(text: &str, cell: &RawCell) -> String {
    text[cell.range.clone()].replace("\"\"", "\"")
}

/// A value as a cell holds it: in quotes where it must be.
fn quoted(value: &str, separator: char) -> String {
    let must = value.contains([separator, '"', '\n', '\r']) || value.starts_with('#');
    if must {
        format!("\"{}\"", value.replace('"', "\"\""))
    } else {
        value.to_owned()
    }
}

/// The row that has this text: the one at this place, or the only one elsewhere.
pub(crate) fn found(text: &str, at: usize, line: &str) -> Option<usize> {
    let rows = CsvTable::of(text).rows;
    if rows.get(at).is_some_and(|row| row.line == line) {
        return Some(at);
    }
    let mut same = rows.iter().enumerate().filter(|(_, row)| row.line == line);
    let only = same.next()?.0;
    same.next().is_none().then_some(only)
}

/// With one cell changed; a column that is not there is added.
pub(crate) fn set(text: &str, row: usize, column: &str, value: &str) -> String {
    let text = match CsvTable::of(text).column(column) {
        Some(_) => text.to_owned(),
        None if value.is_empty() => return text.to_owned(),
        None => with_column(text, column),
    };
    let grid = Grid::of(&text);
    let Some((at, cells)) = CsvTable::of(&text)
        .column(column)
        .zip(grid.rows.get(row + 1))
    else {
        return text;
    };
    let value = quoted(value.trim(), grid.separator);
    match cells.get(at) {
        Some(cell) => spliced(&text, cell.whole.clone(), &value),
        // a row that ends early is filled up
        None => {
            let end = bytes(cells).end;
            let gap = grid.separator.to_string().repeat(at + 1 - cells.len());
            spliced(&text, end..end, &format!("{gap}{value}"))
        }
    }
}

/// With one more column, empty everywhere.
pub(crate) fn with_column(text: &str, column: &str) -> String {
    let grid = Grid::of(text);
    let Some(head) = grid.rows.first() else {
        return format!("{}{column}{}", closed(text), newline(text));
    };
    let columns = head.len();
    let mut text = text.to_owned();
    for (at, row) in grid.rows.iter().enumerate().rev() {
        let end = bytes(row).end;
        let more = match at {
            0 => format!("{}{column}", grid.separator),
            _ => grid
                .separator
                .to_string()
                .repeat((columns + 1).saturating_sub(row.len())),
        };
        text = spliced(&text, end..end, &more);
    }
    text
}

/// With a column of another name and other values; what cannot be converted stays as it is.
pub(crate) fn renamed_column(
    text: &str,
    column: &str,
    new: &str,
    convert: impl Fn(&str) -> Option<String>,
) -> Option<String> {
    let grid = Grid::of(text);
    let at = CsvTable::of(text).column(column)?;
    let mut changed = text.to_owned();
    for (row, cells) in grid.rows.iter().enumerate().rev() {
        let Some(cell) = cells.get(at) else { continue };
        let value = match row {
            0 => Some(new.to_owned()),
            _ => convert(&unquoted(text, cell)),
        };
        if let Some(value) = value {
            changed = spliced(
                &changed,
                cell.whole.clone(),
                &quoted(&value, grid.separator),
            );
        }
    }
    Some(changed)
}

/// With a new row before the one at a place, or at the end; columns that are not there are added.
pub(crate) fn insert(text: &str, before: usize, values: &[(&str, &str)]) -> String {
    let mut text = text.to_owned();
    for (column, value) in values {
        if !value.is_empty() && CsvTable::of(&text).column(column).is_none() {
            text = with_column(&text, column);
        }
    }
    let grid = Grid::of(&text);
    let sheet = CsvTable::of(&text);
    let cell = |column: &String| {
        let own = values.iter().find(|(name, _)| name == column);
        own.map_or(String::new(), |(_, value)| {
            quoted(value.trim(), grid.separator)
        })
    };
    let cells: Vec<String> = sheet.columns.iter().map(cell).collect();
    let line = cells.join(&grid.separator.to_string()) + newline(&text);
    let text = closed(&text);
    let at = grid
        .rows
        .get(before + 1)
        .map(|row| line_start(&text, bytes(row).start))
        .or_else(|| grid.rows.last().map(|row| line_end(&text, bytes(row).end)))
        .unwrap_or(text.len());
    spliced(&text, at..at, &line)
}

/// Without one row.
pub(crate) fn remove(text: &str, row: usize) -> String {
    let grid = Grid::of(text);
    let Some(cells) = grid.rows.get(row + 1) else {
        return text.to_owned();
    };
    let bytes = bytes(cells);
    spliced(text, bytes.start..line_end(text, bytes.end), "")
}
