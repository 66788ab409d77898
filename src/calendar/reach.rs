//! The shortfall where too few weeks are left before race day, and the options, safest first.

use chrono::{Days, NaiveDate};

use crate::rehearsal::practice::TAPER_WEEKS;
use crate::units::{Phrase, Quantity};
use crate::unknowns::SINGLE_RUN_SHARE;
use crate::words::count;

use super::{CalendarRequest, dates, day, lengths, weeks};

/// No calendar looks further ahead.
const MOST_WEEKS: u64 = 104;
/// From this share of a peak on it is as good as reached. Our choice.
const AS_GOOD: f64 = 0.9;
/// A run that grows by less than this is no longer, metres.
const AS_GOOD_M: f64 = 1.0;

/// The time is too short for the peak.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Shortfall {
    /// Weeks that are missing; `None` where even two years are too short.
    pub missing_weeks: Option<u32>,
    /// Ways on, the safest first.
    pub alternatives: Vec<Alternative>,
}

/// A way on.
#[derive(Clone, Debug, PartialEq)]
pub struct Alternative {
    /// Lower-case words that programs can match.
    pub kind: &'static str,
    /// The option in words.
    pub says: Phrase,
}

pub(super) fn shortfall(request: &CalendarRequest, reached_m: f64) -> Option<Shortfall> {
    // who has raced about as far needs no longest run for it
    let has_raced = request.longest_past_m >= SINGLE_RUN_SHARE * request.race_m;
    if has_raced || reached_m >= AS_GOOD * request.peak_m() {
        return None;
    }
    let missing = (1..=MOST_WEEKS).find(|weeks| {
        let later = CalendarRequest {
            race: request.race + Days::new(7 * weeks),
            ..request.clone()
        };
        reached(&later) >= AS_GOOD * request.peak_m()
    });
    Some(Shortfall {
        missing_weeks: missing.map(|weeks| weeks as u32),
        alternatives: alternatives(request, reached_m, missing),
    })
}

/// The reach of the weeks, without the tests.
fn reached(request: &CalendarRequest) -> f64 {
    let mut weeks = dates::place(request, weeks::sort(request));
    lengths::fill(request, &mut weeks);
    lengths::reached_m(request, &weeks)
}

fn distance(m: f64) -> Quantity {
    Quantity::Distance { m }
}

fn alternatives(
    request: &CalendarRequest,
    reached_m: f64,
    missing: Option<u64>,
) -> Vec<Alternative> {
    let mut ways = Vec::new();
    let mut way = |kind, says| ways.push(Alternative { kind, says });
    if let Some(weeks) = missing {
        let date: NaiveDate = request.race + Days::new(7 * weeks);
        way(
            "later race",
            Phrase::new(format!(
                "a race {} later, on ",
                count(weeks as usize, "week")
            ))
            .and(day(date))
            .and(" or after"),
        );
    }
    let free = CalendarRequest {
        blocked: Vec::new(),
        ..request.clone()
    };
    let reached_free_m = reached(&free);
    if reached_m > 0.0 {
        let shorter_m = reached_m / SINGLE_RUN_SHARE;
        // nobody who has run that far needs to be sent to a shorter race
        if shorter_m < request.race_m && shorter_m > request.longest_past_m {
            way(
                "shorter race",
                Phrase::new("a race of about ")
                    .and(distance(shorter_m))
                    .and(", for which a longest run of ")
                    .and(distance(reached_m))
                    .and(" is usual"),
            );
        }
        let hours = reached_m * request.pace_s_per_m / crate::time::S_PER_HOUR;
        way(
            "lower peak",
            Phrase::new("this race with a longest run of ")
                .and(distance(reached_m))
                .and(format!(
                    ", about {hours:.1} h on your feet, and back-to-back weekends for the rest; run it \
                     slower and walk the climbs from the start"
                )),
        );
    }
    if reached_free_m > reached_m + AS_GOOD_M {
        way(
            "free days",
            Phrase::new("freeing the blocked days: the longest run becomes ")
                .and(distance(reached_free_m)),
        );
    }
    if request.taper_weeks > *TAPER_WEEKS.start() {
        let shorter = CalendarRequest {
            taper_weeks: *TAPER_WEEKS.start(),
            ..request.clone()
        };
        let reached_shorter_m = reached(&shorter);
        if reached_shorter_m > reached_m + AS_GOOD_M {
            way(
                "shorter taper",
                Phrase::new("a taper of one week: the longest run becomes ")
                    .and(distance(reached_shorter_m))
                    .and("; you start less rested"),
            );
        }
    }
    ways
}
