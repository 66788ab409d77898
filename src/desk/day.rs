//! Observations of the day, kept in a table of their own, and the race planned again from them.

use sutler::diagnostics::Notes;
use sutler::facts::Facts;
use sutler::reports::document::Document;
use sutler::{replan, reports};

use super::answers::{Planned, Problem};
use super::columns::head_of;
use super::edits::table::{self, CsvTable};
use super::refused::Refused;
use super::role::Role;
use super::session::Session;

/// The arrivals and departures that were typed, by the number of their station.
pub(super) struct TypedTimes(CsvTable);

impl TypedTimes {
    fn of(text: &str) -> TypedTimes {
        TypedTimes(CsvTable::of(text))
    }

    fn is_empty(&self) -> bool {
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

/// The rest of the day as it goes.
pub(super) struct Rest {
    pub(super) seen: TypedTimes,
    /// The race planned again; nothing where nothing was seen, or it cannot be.
    pub(super) facts: Option<Facts>,
    /// Mistakes in what was typed.
    pub(super) wrong: Vec<Problem>,
}

impl Rest {
    /// Plans the rest of the race. One mistyped time leaves the others standing.
    pub(super) fn of(planned: &Planned, text: &str) -> Rest {
        let seen = TypedTimes::of(text);
        let mut sources = planned.loaded.sources.clone();
        let (mut notes, mut rest) = (Notes::new(), Notes::new());
        let (arrived, left) = (seen.list("arrived"), seen.list("left"));
        let typed = replan::observations(&arrived, &left, &mut sources, &mut notes);
        let facts = match seen.is_empty() {
            true => None,
            false => planned.replanned(&typed, &sources, &mut rest),
        };
        let wrong = notes.all().iter().chain(rest.all()).map(Problem::of);
        let wrong = wrong.filter(|problem| problem.is_error).collect();
        Rest { seen, facts, wrong }
    }

    /// The report of it.
    pub(super) fn report(&self) -> Option<Document> {
        let facts = self.facts.as_ref()?;
        reports::by_name("replan").map(|report| (report.build)(facts))
    }

    /// The next decision: when to go, and what comes then.
    pub(super) fn next(&self) -> Option<String> {
        let rest = &self.facts.as_ref()?.replan.as_ref()?.0;
        let ahead = rest.ahead.first();
        let then = ahead.map_or(String::new(), |next| {
            format!("{} about {}", next.station, next.effort_arrival.text)
        });
        Some(match &rest.leave_by {
            _ if then.is_empty() => format!("{}: there", rest.last_seen),
            Some(_) if rest.leave_now => format!("Leave {} now; {then}", rest.last_seen),
            Some(by) => format!("Leave {} by {}; {then}", rest.last_seen, by.text),
            None if rest.misses_cutoff => format!("Cut the stops; {then}"),
            None => format!("On to {then}"),
        })
    }
}
