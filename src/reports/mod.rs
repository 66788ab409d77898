//! Facts into words: each report is one file with one constant, and a line in [`REPORTS`].

mod bags;
mod calendar;
mod cells;
mod check;
mod course;
mod crew;
mod cutoffs;
mod debrief;
pub mod document;
mod explain;
mod finish;
mod fit;
pub mod formats;
mod found;
mod fuel;
mod goals;
mod opening;
mod parts;
mod plan;
pub mod race_book;
mod record_text;
mod rehearse;
mod replan;
mod runner_sweat;
mod runner_text;
mod shopping;
mod splits;
mod things;
mod unknowns;
mod without;

use serde_json::Value;

use crate::facts::{Facts, FindingFacts};

use document::Document;

pub use crate::facts::View;
pub use record_text::{with_replaced, with_run, without_run};
pub use runner_sweat::{with_proposal, without_day};
pub use runner_text::{pacing_lines, with_pacing};

/// One kind of report.
#[derive(Clone, Copy, Debug)]
pub struct Report {
    /// The verb that prints it.
    pub name: &'static str,
    /// One line for help.
    pub about: &'static str,
    /// The source of its facts.
    pub needs: Needs,
    /// The facts that it has as data, by their top-level names; empty for all of them.
    pub keys: &'static str,
    /// The stages whose findings it shows; empty for all of them.
    pub stages: &'static [&'static str],
    /// As a document.
    pub build: fn(&Facts) -> Document,
}

/// The source of the facts of a report.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Needs {
    /// The course alone.
    Course,
    /// A target on it.
    Target,
    /// Results that its verb works out besides.
    Verb,
}

impl Report {
    /// The findings it shows, the heaviest first.
    pub fn findings<'a>(&self, facts: &'a Facts) -> impl Iterator<Item = &'a FindingFacts> {
        facts.findings(self.stages)
    }

    /// As data.
    #[must_use]
    pub fn json(&self, facts: &Facts) -> Value {
        facts.to_json(self.keys)
    }
}

/// Every report.
pub const REPORTS: &[Report] = &[
    course::REPORT,
    plan::REPORT,
    splits::REPORT,
    fuel::REPORT,
    bags::REPORT,
    crew::REPORT,
    check::REPORT,
    finish::REPORT,
    replan::REPORT,
    rehearse::REPORT,
    calendar::REPORT,
    debrief::REPORT,
    fit::REPORT,
    explain::REPORT,
];

/// The reports that need nothing but a plan.
pub fn of_a_plan() -> impl Iterator<Item = &'static Report> {
    REPORTS.iter().filter(|report| report.needs != Needs::Verb)
}

/// The report of a verb.
#[must_use]
pub fn by_name(name: &str) -> Option<&'static Report> {
    REPORTS.iter().find(|report| report.name == name)
}
