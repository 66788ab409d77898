//! What the long runs have to test.

use crate::units::Phrase;

/// Something that race day holds and that long runs are to test.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Aim {
    /// What it is, such as a food's name.
    pub what: String,
    /// Lower-case words that programs can match, such as `food`.
    pub kind: &'static str,
    /// What the race asks of it.
    pub wants: Phrase,
    /// How many long runs had tested it on the first day of the calendar.
    pub tested: u32,
    /// Whether one of those did in full.
    pub at_full: bool,
    /// How many have since.
    pub tested_since: u32,
    /// Whether one of those did in full.
    pub at_full_since: bool,
    /// What a run needs to test it in full.
    pub needs: Needs,
}

/// What a run needs to test something in full; what does not matter is `None` or `false`.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Needs {
    /// Hours on feet, at least.
    pub least_h: Option<f64>,
    /// Hours in the dark, at least.
    pub dark_h: Option<f64>,
    /// Weather that nobody can order: `rain`, `cold`, `sun`.
    pub weather: Option<&'static str>,
    /// What to look for when choosing route and hour, such as a long descent.
    pub look_for: Option<Phrase>,
}
