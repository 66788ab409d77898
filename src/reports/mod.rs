//! Plans into words: each report is one file with one constant, and a line in [`REPORTS`].

mod bags;
pub mod calendar;
mod course;
mod crew;
mod cutoffs;
pub mod debrief;
pub mod document;
pub mod finish;
pub mod fit;
pub mod formats;
mod fuel;
mod json;
mod parts;
mod plan;
mod profile_text;
mod record_text;
pub mod rehearse;
pub mod replan;
mod runner_sweat;
mod runner_text;
mod shopping;
mod splits;
pub mod survey;
pub mod unknowns;
pub mod without;

use crate::findings::Finding;
use crate::plan::Plan;

use document::Document;

pub use crate::facts::View;
pub(crate) use parts::number;
pub use record_text::{with_replaced, with_run};
pub use runner_sweat::with_proposal;
pub use runner_text::with_pacing;

/// One kind of report.
#[derive(Clone, Copy, Debug)]
pub struct Report {
    /// The verb that prints it.
    pub name: &'static str,
    /// One line for help.
    pub about: &'static str,
    /// Whether it needs a target.
    pub needs_plan: bool,
    /// As a document.
    pub build: fn(&View<'_>) -> Document,
    /// As data, with keys that carry their units.
    pub json: fn(&View<'_>) -> serde_json::Value,
    /// The findings it shows, which decide whether it says that the plan fails.
    pub findings: fn(&Plan) -> Vec<&Finding>,
}

/// Every report.
pub const REPORTS: &[Report] = &[
    course::REPORT,
    plan::REPORT,
    splits::REPORT,
    fuel::REPORT,
    bags::REPORT,
    crew::REPORT,
];

/// The report of a verb.
#[must_use]
pub fn by_name(name: &str) -> Option<&'static Report> {
    REPORTS.iter().find(|report| report.name == name)
}
