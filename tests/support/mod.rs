//! Helpers that keep tests down to data.

pub mod reference;
