//! Changes that are not made, and what becomes of them.

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
        /// What was typed here.
        here: String,
        /// What the file has.
        disk: String,
    },
}
