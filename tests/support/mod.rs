//! Helpers that keep tests down to data.

pub mod case;
pub mod course_maker;
pub mod hostile;
pub mod race;
pub mod reference;
pub mod synthetic;
