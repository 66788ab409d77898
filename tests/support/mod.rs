//! Helpers that keep tests down to data.

pub mod browser;
pub mod case;
pub mod course_maker;
pub mod demo;
pub mod hostile;
pub mod race;
pub mod recorded;
pub mod reference;
pub mod synthetic;
