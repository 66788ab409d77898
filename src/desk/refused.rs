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
        /// The text typed here.
        here: String,
        /// The text in the file.
        disk: String,
    },
}
