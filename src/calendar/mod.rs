//! The long runs between now and the race: when, how long, and what each of them tests.
//!
//! Weeks are counted back from race day, lengths grow forward from what the runner runs now. The
//! bounds are common practice: they warn and forbid nothing, and a runner may set others.

mod aims;
mod assign;
mod carbs;
mod cautions;
mod dates;
mod growth;
mod lengths;
mod problems;
mod reach;
mod weeks;

use chrono::{NaiveDate, NaiveTime};

use crate::findings::{Caution, Finding};
use crate::rehearsal::practice::{GROWTH_M, SINGLE_RUN_MOST_H, SINGLE_RUN_MOST_M};
use crate::time::S_PER_HOUR;
use crate::unknowns::SINGLE_RUN_SHARE;
use crate::words::named;

pub use aims::{Aim, RunNeeds, aims};
pub use assign::{Stage, Test, Untested};
pub use growth::{Growth, step_m};
pub use problems::check;
pub use reach::{Alternative, Shortfall};

/// Growth is read at its safest: by a tenth or by two miles, whichever is the smaller for the
/// length at hand.
pub const GROWTH_MOST_M: f64 = *GROWTH_M.start();
/// A single run is this share of its week, so that the half of the week that a back-to-back takes
/// is a quarter more than the single run. Our choice within the usual shares.
const SINGLE_SHARE: f64 = 0.40;
/// The days, lengths and record that the calendar is laid out from.
#[derive(Clone, Debug, PartialEq)]
pub struct CalendarRequest {
    /// The first day that a run may be on.
    pub from: NaiveDate,
    /// Race day.
    pub race: NaiveDate,
    /// Length of the race, metres.
    pub race_m: f64,
    /// The longest run of the last weeks, metres.
    pub longest_now_m: f64,
    /// Length that the longest run is to reach, metres; `None` for the usual.
    pub peak_m: Option<f64>,
    /// The runner's own week, all runs together, metres; `None` where nobody says.
    pub week_m: Option<f64>,
    /// Weeks of taper.
    pub taper_weeks: u32,
    /// Building weeks before one that is reduced.
    pub building_weeks: u32,
    /// Easy weeks after a practice race, at least.
    pub easy_weeks: u32,
    /// True where weekends may hold two runs in a row.
    pub pairs: bool,
    /// Growth allowed from one building week to the next.
    pub growth: Growth,
    /// Lengths are rounded down to this, metres.
    pub grain_m: f64,
    /// Days without a run, first and last of each.
    pub blocked: Vec<(NaiveDate, NaiveDate)>,
    /// Days with an ache, first and last of each: no run, and a step back after.
    pub aches: Vec<(NaiveDate, NaiveDate)>,
    /// Shorter races on the way.
    pub practice: Vec<PracticeRace>,
    /// Runs really made, by date.
    pub done: Vec<Done>,
    /// The longest race that the runner has run, metres; 0 where none is known.
    pub longest_past_m: f64,
    /// Pace of a long run at race effort, seconds per metre.
    pub pace_s_per_m: f64,
    /// Clock time at which a run starts, unless it has to start in the dark.
    pub start: NaiveTime,
    /// Place of the runs, for daylight: latitude, longitude, zone.
    pub place: Option<(f64, f64, chrono_tz::Tz)>,
    /// Carbohydrate that the gut takes now and that the race asks for, grams per hour.
    pub carbs_g_per_h: (f64, f64),
}

/// A shorter race run for practice.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PracticeRace {
    /// Its day.
    pub date: NaiveDate,
    /// Its length, metres.
    pub distance_m: f64,
    /// The time it took, seconds; `None` where it is still ahead.
    pub time_s: Option<f64>,
}

/// A run that was really run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Done {
    /// Its day.
    pub date: NaiveDate,
    /// Its length, metres.
    pub distance_m: f64,
}

/// Every week to the race.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Calendar {
    /// From the week of the first day to that of the race.
    pub weeks: Vec<Week>,
    /// Length that the longest run was to reach, metres.
    pub peak_m: f64,
    /// Length that it reaches, metres.
    pub reached_m: f64,
    /// Shortage of time and the options; `None` where there is enough.
    pub shortfall: Option<Shortfall>,
    /// Aims that cannot be tested as often as they should, and why.
    pub untested: Vec<Untested>,
    /// Findings.
    pub findings: Vec<Finding>,
    /// Cautions.
    pub cautions: Vec<Caution>,
}

/// A week from Monday to Sunday.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Week {
    /// Its first day.
    pub monday: NaiveDate,
    /// Kind of week.
    pub kind: WeekKind,
    /// Length of a single long run at this stage, metres.
    pub level_m: f64,
    /// All runs of the week together, metres, where the runner says what a week of theirs is.
    pub week_m: Option<f64>,
    /// Its long runs.
    pub runs: Vec<LongRun>,
    /// Runs really made in it.
    pub done: Vec<Done>,
}

named! {
    /// The kind of a week.
    pub enum WeekKind {
        /// Longer than the weeks before it.
        Building = "building",
        /// Shorter, to recover.
        Reduced = "reduced",
        /// Shorter, so that a practice race finds the runner fresh.
        BeforePractice = "before race",
        /// A practice race.
        Practice = "practice race",
        /// Easy after a practice race.
        Easy = "after race",
        /// A step back after an ache.
        Returning = "after ache",
        /// No day is free for a long run.
        Blocked = "blocked",
        /// Shorter, so that the race finds the runner fresh.
        Taper = "taper",
        /// The race itself.
        Race = "race",
    }
}

/// One long run.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct LongRun {
    /// Its day.
    pub date: NaiveDate,
    /// Its length, metres.
    pub distance_m: f64,
    /// Hours on feet that may stand for the length.
    pub hours: f64,
    /// Its part in the week.
    pub role: RunRole,
    /// The day it would usually be on, where blocked days moved it.
    pub moved_from: Option<NaiveDate>,
    /// Start on the clock.
    pub start: NaiveTime,
    /// Hours in the dark that it starts with.
    pub dark_h: f64,
    /// Carbohydrate to practise, grams per hour.
    pub carbs_g_per_h: f64,
    /// Its tests.
    pub tests: Vec<Test>,
}

named! {
    /// A long run's part in its week.
    pub enum RunRole {
        /// The only one.
        Single = "single",
        /// The first of two, at race effort, ended fresh.
        First = "first of two",
        /// The day after the first.
        Second = "second of two",
        /// A practice race.
        Race = "practice race",
    }
}

impl Week {
    /// Year and number of the week as ISO 8601 has them, such as `2026-W41`.
    #[must_use]
    pub fn iso_week(&self) -> String {
        self.monday.format("%G-W%V").to_string()
    }

    /// All its long runs together, metres.
    #[must_use]
    pub fn long_m(&self) -> f64 {
        self.runs.iter().map(|run| run.distance_m).sum()
    }
}

impl CalendarRequest {
    /// Length that the longest run is to reach, metres.
    #[must_use]
    pub fn peak_m(&self) -> f64 {
        self.peak_m.unwrap_or_else(|| {
            let hours_m = SINGLE_RUN_MOST_H * S_PER_HOUR / self.pace_s_per_m;
            let most_m = SINGLE_RUN_MOST_M.min(SINGLE_RUN_SHARE * self.race_m);
            growth::rounded_m(most_m.min(hours_m), self.grain_m)
        })
    }

    /// The last day that is known to be over.
    fn seen(&self) -> Option<NaiveDate> {
        let days = self.done.iter().map(|done| done.date);
        days.max().filter(|date| *date >= self.from)
    }

    fn is_blocked(&self, day: NaiveDate) -> bool {
        let mut spans = self.blocked.iter().chain(&self.aches);
        spans.any(|(first, last)| (*first..=*last).contains(&day))
    }
}

/// Lays out every week, and gives each run ahead what it is to test.
#[must_use]
pub fn lay_out(request: &CalendarRequest, aims: &[Aim]) -> Calendar {
    let mut weeks = dates::place(request, weeks::sort(request));
    lengths::fill(request, &mut weeks);
    carbs::step(request, &mut weeks);
    let untested = assign::assign(request, &mut weeks, aims);
    let reached_m = lengths::reached_m(request, &weeks);
    let shortfall = reach::shortfall(request, reached_m);
    let findings = cautions::findings(request, &weeks);
    let cautions = cautions::cautions(&weeks);
    Calendar {
        weeks,
        peak_m: request.peak_m(),
        reached_m,
        shortfall,
        untested,
        findings,
        cautions,
    }
}

/// A day in words, such as `Sat 6 Jun 2026`.
fn day(date: NaiveDate) -> String {
    date.format("%a %-d %b %Y").to_string()
}
