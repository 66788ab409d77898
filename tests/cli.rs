//! The command as people and scripts meet it: what is typed, printed, written and returned.

mod book;
mod exits;
mod files;
mod help;
mod hostile;
mod hostile_runs;
mod new;
mod own_files;
mod sources;
mod streams;
mod without;

/// Every verb that prints a report.
const REPORT_VERBS: [&str; 6] = ["course", "plan", "splits", "fuel", "bags", "crew"];
/// Every other verb.
const OTHER_VERBS: &[&str] = &[
    "desk",
    "new",
    "check",
    "explain",
    "finish",
    "replan",
    "rehearse",
    "debrief",
    "fit",
    "book",
    "page",
    "completions",
    "manual",
];
