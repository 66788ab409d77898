//! Usual bounds of long runs. Common practice, no source: these warn, they forbid
//! nothing, and a plan always bends to the runner's life and body.

use std::ops::RangeInclusive;

use crate::units::M_PER_MILE;

pub use crate::unknowns::{SINGLE_RUN_MOST_H, SINGLE_RUN_MOST_M};
/// Long runs are usually so much of the week's distance.
pub const LONG_RUN_SHARE: RangeInclusive<f64> = 0.30..=0.50;
/// A long run usually grows by no more than this share from one building week to the next ...
pub const GROWTH_SHARE: f64 = 0.10;
/// ... or by so much, metres; never by more than injury allows, whichever of the two is chosen.
pub const GROWTH_M: RangeInclusive<f64> = 2.0 * M_PER_MILE..=3.0 * M_PER_MILE;
/// Weeks that build before one that is reduced.
pub const BUILDING_WEEKS: u32 = 3;
/// Weeks of taper before the race.
pub const TAPER_WEEKS: RangeInclusive<u32> = 1..=2;
/// Easy weeks after any race, at least.
pub const EASY_WEEKS_AFTER_RACE: u32 = 1;

/// A habit in words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PracticeBound {
    /// Lower-case words that programs can match.
    pub kind: &'static str,
    /// The usual bounds.
    pub says: &'static str,
}

/// The habits that a single run is judged by.
pub const HABITS: &[PracticeBound] = &[
    PracticeBound {
        kind: "single-run",
        says: "a single long run stays below about 50 km (30 miles) and 8 h; back-to-back runs on a weekend \
               stand for longer ones, the first at race effort, ended fresh",
    },
    PracticeBound {
        kind: "week-share",
        says: "long runs are about 30 to 50 % of the week's distance",
    },
    PracticeBound {
        kind: "growth",
        says: "the long run grows by about 10 %, or by 3 to 5 km (2 to 3 miles), from one week to \
               the next; choose one, and less where anything hurts",
    },
    PracticeBound {
        kind: "time-on-feet",
        says: "time on feet may stand for distance",
    },
    PracticeBound {
        kind: "practice-race",
        says: "a shorter race run for practice needs its own taper before it and an easy week or \
               more after",
    },
];

/// Remarks on all of them.
pub const BENDS: &str = "Common practice, no source: these warn and forbid nothing. The plan bends \
                         to your life and body; stop where something hurts.";
