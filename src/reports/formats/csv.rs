//! Tables as comma-separated values for spreadsheets and programs.

use crate::time::Elapsed;

use super::{Format, TextSurface};
use crate::reports::document::{Block, Cell, Column, Document, Item, Table};

pub(super) const FORMAT: Format = Format { name: "csv", write };

/// Tables stand one after another, parted by an empty line; a report without any is its facts and
/// points, one a row.
fn write(document: &Document, _surface: &TextSurface) -> String {
    let tables: Vec<String> = document
        .blocks
        .iter()
        .filter_map(|block| match block {
            Block::Table(table) | Block::Data(table) => Some(one(table)),
            _ => None,
        })
        .collect();
    if tables.is_empty() {
        return one(&points(document));
    }
    tables.join("\n")
}

/// Facts and points with the section they stand in.
fn points(document: &Document) -> Table {
    let mut part = "";
    let mut rows: Vec<[String; 3]> = Vec::new();
    for block in &document.blocks {
        match block {
            Block::Heading(name) => part = name,
            Block::Facts(facts) => {
                let row = |(name, value): &(String, String)| [part, name, value].map(str::to_owned);
                rows.extend(facts.iter().map(row));
            }
            Block::List(items) => {
                let row =
                    |item: &Item| [part, &item.text, &item.under.join("; ")].map(str::to_owned);
                rows.extend(items.iter().map(row));
            }
            _ => {}
        }
    }
    Table::of(
        &rows,
        vec![
            Column::left("Part", "part").of(|row: &[String; 3]| Cell::new(&row[0])),
            Column::left("Text", "text").of(|row| Cell::new(&row[1])),
            Column::left("More", "more").of(|row| Cell::new(&row[2])),
        ],
    )
}

fn one(table: &Table) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let columns: Vec<(usize, &str)> = (table.columns.iter().enumerate())
        .filter_map(|(at, column)| Some((at, column.key?)))
        .collect();
    let head = columns
        .iter()
        .flat_map(|(_, key)| std::iter::once((*key).to_owned()).chain(read_as(key)));
    // writing into memory cannot fail
    let _ = writer.write_record(head);
    for row in &table.rows {
        let cells = columns
            .iter()
            .filter_map(|(at, key)| Some((row.get(*at)?, key)));
        let cells = cells.flat_map(|(cell, key)| {
            let shown = read_as(key).map(|_| shown(cell));
            std::iter::once(plain(&cell.raw)).chain(shown)
        });
        let _ = writer.write_record(cells);
    }
    writer
        .into_inner()
        .ok()
        .and_then(|bytes| String::from_utf8(bytes).ok())
        .unwrap_or_default()
}

/// A cell that a spreadsheet takes for words or a number: what begins like a formula gets an
/// apostrophe in front (OWASP, CSV Injection), and nothing turns the direction of the text. Numbers
/// and times with a sign, such as `+0:58`, are no formulas.
fn plain(raw: &str) -> String {
    let text: String = raw.chars().filter(|c| !super::turns(*c)).collect();
    let is_formula = text.starts_with(['=', '+', '-', '@', '\t', '\r']);
    let is_number = |text: &str| {
        let rest = text.trim_start_matches(['+', '-']);
        text.len() - rest.len() <= 1 && rest.chars().all(|c| c.is_ascii_digit() || ":.".contains(c))
    };
    if is_formula && !is_number(&text) {
        return format!("'{text}");
    }
    text
}

/// The name of the column that says in words what one in seconds says in numbers.
fn read_as(key: &str) -> Option<String> {
    key.strip_suffix("_s").map(|stem| format!("{stem}_text"))
}

/// A cell as people read it; where the table for people leaves it out, as race time.
fn shown(cell: &Cell) -> String {
    let seconds = cell.raw.parse().ok().map(Elapsed::from_s);
    match seconds {
        None => String::new(),
        Some(time) if cell.shown.trim().is_empty() => time.to_seconds_text(),
        Some(_) => plain(&cell.shown),
    }
}
