//! Helpers that keep tests down to data.

pub mod course_maker;
pub mod demo;
pub mod reference;
