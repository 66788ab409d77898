//! An organiser's table as it was pasted: shown as it is understood, changed, and taken.

use maud::{Markup, html};
use serde::Deserialize;

use sutler::inputs::pasted::{self, ColumnMeaning, PasteContext, PastedTable};
use sutler::inputs::stations_csv::CutoffOn;
use sutler::pages::parts::name;

use super::refused::Refused;
use super::role::Role;
use super::session::Session;

/// A table, and what was chosen for its columns.
#[derive(Debug, Deserialize)]
pub(super) struct Pasted {
    text: String,
    /// The meaning chosen for each column; nothing leaves it to the guess.
    columns: Vec<Option<String>>,
}

impl Pasted {
    fn read(&self, session: &mut Session) -> PastedTable {
        let planned = session.planned();
        let inputs = &planned.loaded.inputs;
        let race = planned.race.as_ref();
        let known = PasteContext {
            columns: self
                .columns
                .iter()
                .map(|label| ColumnMeaning::labelled(label.as_deref()?))
                .collect(),
            route_m: race.map(|race| race.course.survey.route_length_m),
            start: inputs.course.start.as_ref().map(|start| start.value),
            pantry: inputs.pantry.clone(),
        };
        pasted::read(&self.text, &known)
    }

    /// The table as understood, column by column.
    pub(super) fn seen(&self, session: &mut Session) -> Markup {
        let table = self.read(session);
        let inputs = &session.planned().loaded.inputs;
        let there = inputs.stations.len();
        let counts = match inputs.course.cutoffs_on {
            CutoffOn::Arrival => "in",
            CutoffOn::Departure => "out",
        };
        let mut cutoffs = table.stations.iter().filter(|s| s.cutoff.is_some());
        let open = cutoffs.any(|s| s.cutoff_on.is_none());
        html! {
            @if table.columns.is_empty() {
                p.wrong { "No table was found in this. Copy it with its column names, row by row." }
            } @else {
                h3 { "Columns" }
                div.columns {
                    @for (at, column) in table.columns.iter().enumerate() {
                        div.field {
                            label for={ "meaning-" (at) } {
                                @if column.heading.is_empty() { "Column " (at + 1) }
                                @else { (name(&column.heading)) }
                            }
                            div.typed {
                                select id={ "meaning-" (at) } data-meaning {
                                    @for (label, meaning) in ColumnMeaning::LABELS {
                                        option value=(label) selected[meaning == column.meaning] { (label) }
                                    }
                                }
                                @if column.guessed { span.faint { "a guess" } }
                            }
                        }
                    }
                }
                h3 { (table.stations.len()) " stations" }
                (stations(&table))
                (unread(&table))
                @if !table.assumed.is_empty() || open {
                    h3 { "Taken for granted" }
                    ul.points {
                        @for words in &table.assumed { li { (words) "." } }
                        @if open {
                            li {
                                "You must be " (counts) " by a cutoff, as the course says under “Cutoffs on”: \
                                 see what the rules say."
                            }
                        }
                    }
                }
                div.tools {
                    button type="button" #take-paste disabled[table.stations.is_empty()] {
                        @if there > 0 { "Put these in place of the " (there) " there" }
                        @else { "Take these stations" }
                    }
                }
            }
        }
    }

    /// Takes it as the station list; undo brings the one before back.
    pub(super) fn take(&self, session: &mut Session) -> Result<(), Refused> {
        session.look();
        let table = self.read(session);
        if table.stations.is_empty() {
            return Err(Refused::Said("no station was understood".to_owned()));
        }
        session.save(Role::Stations, &table.csv)
    }
}

/// The stations as the list will have them.
fn stations(table: &PastedTable) -> Markup {
    let sheet = super::edits::table::CsvTable::of(&table.csv);
    html! {
        div.scroll tabindex="0" role="group" aria-label="Stations as understood" {
            table.data {
                thead { tr { @for column in &sheet.columns { th scope="col" { (column) } } } }
                tbody { @for row in &sheet.rows { tr {
                    @for cell in &row.cells { td { (name(cell)) } }
                } } }
            }
        }
    }
}

/// Lines not taken over; they stay in the file as comments.
fn unread(table: &PastedTable) -> Markup {
    html! {
        @if !table.unread.is_empty() {
            h3 { "Not understood" }
            p.faint { "Kept as comments in stations.csv." }
            ul.points { @for cell in &table.unread { li {
                "Line " (cell.line)
                @if let Some(column) = cell.column { ", column " (column) }
                ": " b { (name(&cell.text)) } " – " (cell.reason)
            } } }
        }
    }
}
