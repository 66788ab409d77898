//! Tables as comma-separated values for spreadsheets and programs.

use super::{Format, Surface};
use crate::reports::document::{Block, Cell, Column, Document, Table};

pub(super) const FORMAT: Format = Format {
    name: "csv",
    about: "the tables as comma-separated values, units in the column names",
    write,
};

/// Tables stand one after another, parted by an empty line.
fn write(document: &Document, _surface: &Surface) -> String {
    let tables: Vec<String> = document
        .blocks
        .iter()
        .filter_map(|block| match block {
            Block::Table(table) | Block::Data(table) => Some(one(table)),
            _ => None,
        })
        .collect();
    tables.join("\n")
}

fn one(table: &Table) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let keys = table.columns.iter().filter_map(|column| column.key);
    let wanted = |row: &[Cell], columns: &[Column]| -> Vec<String> {
        row.iter()
            .zip(columns)
            .filter(|(_, column)| column.key.is_some())
            .map(|(cell, _)| plain(&cell.raw))
            .collect()
    };
    // writing into memory cannot fail
    let _ = writer.write_record(keys);
    for row in &table.rows {
        let _ = writer.write_record(wanted(row, &table.columns));
    }
    writer
        .into_inner()
        .ok()
        .and_then(|bytes| String::from_utf8(bytes).ok())
        .unwrap_or_default()
}

/// A cell that a spreadsheet takes for words or a number: what begins like a formula gets an
/// apostrophe in front (OWASP, CSV Injection), and nothing turns the direction of the text.
fn plain(raw: &str) -> String {
    let text: String = raw.chars().filter(|c| !super::turns(*c)).collect();
    let is_formula = text.starts_with(['=', '+', '-', '@', '\t', '\r']);
    if is_formula && text.parse::<f64>().is_err() {
        return format!("'{text}");
    }
    text
}
