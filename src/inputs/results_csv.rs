//! `results.csv` of the course folder: the finish times of a former edition.

use crate::diagnostics::{Diagnostic, FileId, Notes, SourceFile};
use crate::time::Elapsed;

use super::limits;
use super::table::{CsvLines, too_large};
use super::values::{quoted, race_time};

/// The columns that finish times may stand in; the first that is there counts.
const COLUMNS: [&str; 3] = ["time", "finish", "finish_time"];

/// Reads `results.csv`: one column `time` is enough, others are left aside, and a list of times alone
/// needs no column name. Cells without a number, such as `DNF`, are of runners who did not finish.
pub fn read(file: &SourceFile, id: FileId, notes: &mut Notes) -> Vec<Elapsed> {
    if file.text.len() > limits::TABLE_BYTES {
        notes.push(too_large(file, limits::TABLE_BYTES));
        return Vec::new();
    }
    let mut lines = CsvLines::of(file, id);
    let Some((first, span)) = lines.next_row() else {
        notes.push(
            Diagnostic::error(format!("`{}` is empty", file.name))
                .at(None, "expected a column `time` with finish times"),
        );
        return Vec::new();
    };
    let known = |name: &&str| {
        first
            .iter()
            .position(|cell| cell.text.to_lowercase() == **name)
    };
    let column = COLUMNS.iter().find_map(known);
    let is_bare = first.len() == 1 && race_time(&first[0].text).is_ok();
    let Some(column) = column.or(is_bare.then_some(0)) else {
        notes.push(
            Diagnostic::error("the table has no column `time`")
                .at(span, "expected `time` as a column name"),
        );
        return Vec::new();
    };
    let mut times = Vec::new();
    let mut row = is_bare.then_some((first, span));
    while let Some((cells, _)) = row.take().or_else(|| lines.next_row()) {
        let finished = cells.get(column);
        let finished = finished.filter(|cell| cell.text.starts_with(|c: char| c.is_ascii_digit()));
        let Some(cell) = finished else { continue };
        if times.len() == limits::RESULT_ROWS {
            notes.push(
                Diagnostic::error(format!("`{}` has too many rows", file.name)).at(
                    cell.span,
                    format!("expected at most {} rows", limits::RESULT_ROWS),
                ),
            );
            break;
        }
        match race_time(&cell.text) {
            Ok(time) => times.push(time),
            Err(expected) => notes.push(
                Diagnostic::error(format!("{} is not a finish time", quoted(&cell.text)))
                    .at(cell.span, expected),
            ),
        }
    }
    times
}
