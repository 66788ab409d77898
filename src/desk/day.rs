//! Observations of the day, kept in a table of their own, and the race planned again from them.

use maud::{Markup, html};

use sutler::diagnostics::Notes;
use sutler::{replan, reports};

use super::answers::{Planned, Problem};
use super::columns::head_of;
use super::edits::table::{self, CsvTable};
use super::page::{problems, report_blocks};
use super::refused::Refused;
use super::role::Role;
use super::session::Session;

/// The arrivals and departures that were typed, by the number of their station.
pub(super) struct TypedTimes(CsvTable);

impl TypedTimes {
    pub(super) fn of(text: &str) -> TypedTimes {
        TypedTimes(CsvTable::of(text))
    }

    pub(super) fn is_empty(&self) -> bool {
        self.list("arrived").is_empty() && self.list("left").is_empty()
    }

    /// The time of one station.
    pub(super) fn time(&self, number: &str, kind: &str) -> &str {
        let (station, kind) = (self.0.column("station"), self.0.column(kind));
        let own = self.0.rows.iter().find(|row| row.cell(station) == number);
        own.map_or("", |row| row.cell(kind))
    }

    /// As the command takes them.
    fn list(&self, kind: &str) -> Vec<String> {
        let (station, kind) = (self.0.column("station"), self.0.column(kind));
        let typed = self.0.rows.iter().filter(|row| !row.cell(kind).is_empty());
        typed
            .map(|row| format!("{}={}", row.cell(station), row.cell(kind)))
            .collect()
    }
}

/// Keeps a time that was typed.
pub(super) fn keep(
    session: &mut Session,
    number: &str,
    kind: &str,
    value: &str,
) -> Result<(), Refused> {
    session.look();
    if !matches!(kind, "arrived" | "left") {
        return Err(Refused::Said("the desk does not keep that".to_owned()));
    }
    let text = session
        .text(Role::Seen)
        .filter(|text| !text.trim().is_empty());
    let text = text.unwrap_or_else(|| format!("{}\n", head_of(Role::Seen, session.units)));
    let sheet = CsvTable::of(&text);
    let station = sheet.column("station");
    let row = sheet
        .rows
        .iter()
        .position(|row| row.cell(station) == number);
    let new = match row {
        Some(row) => table::set(&text, row, kind, value),
        None => table::insert(
            &text,
            sheet.rows.len(),
            &[("station", number), (kind, value)],
        ),
    };
    session.save(Role::Seen, &new)
}

/// The rest of the day, or what is wrong with what was typed.
pub(super) fn replanned(planned: &Planned, seen: &TypedTimes) -> Markup {
    let mut sources = planned.loaded.sources.clone();
    let mut notes = Notes::new();
    let (arrived, left) = (seen.list("arrived"), seen.list("left"));
    let typed = replan::observations(&arrived, &left, &mut sources, &mut notes);
    // one mistyped time leaves the others standing
    let mut rest = Notes::new();
    let facts = planned.replanned(&typed, &sources, &mut rest);
    let wrong = notes.all().iter().chain(rest.all()).map(Problem::of);
    let wrong: Vec<Problem> = wrong.filter(|problem| problem.is_error).collect();
    html! {
        (problems(&wrong.iter().collect::<Vec<_>>()))
        @if let Some((facts, report)) = facts.zip(reports::by_name("replan")) {
            (report_blocks(report, &facts))
        }
    }
}
