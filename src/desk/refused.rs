//! Changes that are not made, and what becomes of them.

use sutler::diagnostics::Diagnostic;

use super::role::Role;

/// A change that was not made.
#[derive(Debug)]
pub(super) enum Refused {
    /// In words.
    Said(String),
    /// The file says something else by now.
    Conflict {
        file: Role,
        what: String,
        /// The text typed here.
        here: String,
        /// The text in the file.
        disk: String,
    },
}

/// The mistake, and the way out.
pub(super) fn with_hint(problem: &Diagnostic) -> String {
    let hint = problem.hint.as_ref();
    let hint = hint.map_or(String::new(), |hint| format!("; {hint}"));
    format!("{}{hint}", problem.message)
}
