//! Reference tables: CSV files with comment lines that name the published source.

use std::path::Path;

/// One row, by column name.
pub struct Row {
    table: String,
    line: u64,
    cells: Vec<(String, String)>,
}

/// Every row of `tests/reference/<table>`.
///
/// Panics where the table names no source, has no rows, or a row cannot be read: a skipped row
/// tests nothing.
#[track_caller]
pub fn rows(table: &str) -> Vec<Row> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/reference")
        .join(table);
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{table}: {e}"));
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    let names: Vec<String> = reader
        .headers()
        .unwrap()
        .iter()
        .map(str::to_owned)
        .collect();
    let sourced =
        text.lines().any(|l| l.starts_with("# source:")) || names.iter().any(|n| n == "source");
    assert!(sourced, "{table} names no source");
    let rows: Vec<Row> = reader
        .records()
        .map(|record| {
            let record = record.unwrap_or_else(|e| panic!("{table}: {e}"));
            let line = record.position().map_or(0, csv::Position::line);
            let cells = names
                .iter()
                .cloned()
                .zip(record.iter().map(str::to_owned))
                .collect();
            Row {
                table: table.to_owned(),
                line,
                cells,
            }
        })
        .collect();
    assert!(!rows.is_empty(), "{table} has no rows");
    rows
}

impl Row {
    /// The text in a column.
    #[track_caller]
    pub fn text(&self, column: &str) -> &str {
        self.cells
            .iter()
            .find(|(name, _)| name == column)
            .map_or_else(
                || panic!("{self}: no column `{column}`"),
                |(_, value)| value,
            )
    }

    /// The number in a column.
    #[track_caller]
    pub fn number(&self, column: &str) -> f64 {
        let text = self.text(column);
        text.parse()
            .unwrap_or_else(|_| panic!("{self}: `{text}` in `{column}` is not a number"))
    }

    /// The number in a column, or `None` where the cell is empty.
    #[track_caller]
    pub fn maybe(&self, column: &str) -> Option<f64> {
        if self.text(column).is_empty() {
            None
        } else {
            Some(self.number(column))
        }
    }

    /// The number in a column, or `None` where the table has no such column.
    #[track_caller]
    pub fn given(&self, column: &str) -> Option<f64> {
        let has = self.cells.iter().any(|(name, _)| name == column);
        has.then(|| self.number(column))
    }

    /// Asserts that our value is within a tolerance of the one in a column.
    #[track_caller]
    pub fn assert_near(&self, column: &str, ours: f64, tolerance: f64) {
        let theirs = self.number(column);
        assert!(
            (ours - theirs).abs() <= tolerance,
            "{self}: {column} is {theirs}, ours {ours} (tolerance {tolerance})"
        );
    }
}

impl std::fmt::Display for Row {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}:{}", self.table, self.line)
    }
}
