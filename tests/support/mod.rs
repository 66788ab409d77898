//! Helpers.
