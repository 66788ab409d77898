//! Tables of the files as tables of fields: a row for each row, nothing else of the file touched.

use maud::{Markup, html};

use super::{PageSource, forms};
use crate::desk::columns::{column_of, columns_of, head_of, label, range_of};
use crate::desk::edits::table::{CsvRow, CsvTable};
use crate::desk::role::Role;

/// The file's rows; where there is no file, how to begin one.
pub(super) fn editor(shown: &PageSource<'_>, role: Role, noun: &str) -> Markup {
    let text = shown.session.text(role);
    let sheet = CsvTable::of(&text.unwrap_or_else(|| head_of(role, shown.session.units)));
    let path = shown.session.folder.path(role);
    let path = path.map_or(String::new(), |path| path.display().to_string());
    let first = shown.planned.loaded.inputs.course.start.as_ref();
    let first = first.map(|start| start.value.format("%Y-%m-%dT%H:%M").to_string());
    html! {
        div.sheet-of data-sheet=(role.name()) {
            @if !sheet.rows.is_empty() {
                table.stacks.edits role="table" aria-label=(role.file()) {
                    thead role="rowgroup" { tr role="row" {
                        @for column in &sheet.columns {
                            th role="columnheader" scope="col" { (label(role, column)) }
                        }
                        th role="columnheader" scope="col" { span.hidden { "Remove" } }
                    } }
                    tbody role="rowgroup" { @for (at, row) in sheet.rows.iter().enumerate() {
                        (row_of(shown, role, &sheet, at, row))
                    } }
                }
            }
            div.tools {
                button type="button" data-insert=(role.name()) data-before=(sheet.rows.len())
                    data-first=(first.unwrap_or_else(|| "2027-06-01T06:00".to_owned())) {
                    "Add " (noun)
                }
                (units(role, &sheet))
                (more_columns(shown, role, &sheet))
            }
            p.faint { "In " (path) }
        }
    }
}

/// Columns of numbers that can be had in another unit.
fn units(role: Role, sheet: &CsvTable) -> Markup {
    let several = |column: &&String| range_of(column).is_some_and(|range| range.units.len() > 1);
    html! {
        @for column in sheet.columns.iter().filter(several).filter(|_| !sheet.rows.is_empty()) {
            @let label = label(role, column);
            label { (label.split(", ").next().unwrap_or(&label)) " in "
                select #{ "unit-" (role.name()) "-" (column) } data-convert=(role.name()) data-from=(column) {
                    @if let Some(range) = range_of(column) { @for unit in range.units {
                        @let key = range.key(*unit);
                        option value=(key) selected[key == **column] { (unit.symbol) }
                    } }
                }
            }
        }
    }
}

/// Columns that the file does not have yet.
fn more_columns(shown: &PageSource<'_>, role: Role, sheet: &CsvTable) -> Markup {
    let all = columns_of(role).iter();
    let missing = all.filter(|column| !column.is_in(&sheet.columns));
    let missing: Vec<String> = missing
        .map(|column| column.key_in(shown.session.units))
        .collect();
    html! {
        @if !missing.is_empty() && !sheet.rows.is_empty() {
            label { "Another column "
                select data-more=(role.name()) {
                    option value="" { "choose" }
                    @for name in missing { option value=(name) { (label(role, &name)) } }
                }
            }
        }
    }
}

fn row_of(shown: &PageSource<'_>, role: Role, sheet: &CsvTable, at: usize, row: &CsvRow) -> Markup {
    let name = row.cells.first().map_or("", String::as_str);
    let whole = row.spans.first().zip(row.spans.last());
    let whole = whole.map_or(0..0, |(first, last)| first.0..last.1 + 1);
    let wrong = shown.wrong(role, &whole);
    let mark = (role == Role::Stations)
        .then(|| mark_of(shown, name, row))
        .flatten();
    html! {
        tr role="row" data-row=(at) data-line=(row.line) data-mark=[mark] {
            @for (index, column) in sheet.columns.iter().enumerate() {
                td role="cell" data-label=(label(role, column)) {
                    @let bytes = row.spans.get(index).map(|(from, to)| *from..*to + 1);
                    @let bad = bytes.is_some_and(|bytes| wrong.iter().any(|problem| {
                        problem.is_error && problem.at.is_some_and(|(_, at)| bytes.contains(&at))
                    }));
                    (cell(role, at, column, row.cell(Some(index)), bad, name))
                }
            }
            td role="cell" {
                button type="button" data-remove=(role.name()) aria-label={ "Remove " (name) } { "Remove" }
            }
        }
        @if !wrong.is_empty() {
            tr.wrongs role="row" { td role="cell" colspan=(sheet.columns.len() + 1) { (forms::problems(&wrong)) } }
        }
    }
}

/// The mark of a station that it has in pictures.
fn mark_of(shown: &PageSource<'_>, name: &str, row: &CsvRow) -> Option<String> {
    let race = shown.planned.race.as_ref()?;
    let stations = &race.course.stations;
    let in_row = |span: sutler::diagnostics::Span| {
        let (line, _) = shown.planned.loaded.sources.position(span);
        line == row.number
    };
    let at = stations
        .iter()
        .position(|own| own.name == name && own.span.is_some_and(in_row))?;
    Some(format!("station-{at}"))
}

fn cell(role: Role, row: usize, column: &str, value: &str, bad: bool, name: &str) -> Markup {
    let id = format!("c-{}-{row}-{column}", role.name());
    let label = format!("{} of {name}", label(role, column));
    let choices = column_of(role, column).map_or_else(Vec::new, |own| (own.choices)());
    html! {
        @if choices.is_empty() {
            input id=(id) type="text" autocomplete="off" spellcheck="false" aria-label=(label)
                data-column=(column) data-was=(value) value=(value) aria-invalid=(bad)
                size=(value.chars().count().clamp(4, 24));
        } @else {
            select id=(id) aria-label=(label) data-column=(column) data-was=(value) aria-invalid=(bad) {
                option value="" selected[value.is_empty()] { "–" }
                @if !value.is_empty() && !choices.contains(&value) { option selected { (value) } }
                @for choice in choices { option value=(choice) selected[choice == value] { (choice) } }
            }
        }
    }
}
