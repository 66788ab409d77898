//! The slowest finish that is still safe from every cutoff.

use crate::inputs::limits::LONGEST_RACE_H;
use crate::inputs::stations_csv::CutoffOn;
use crate::pacing::{self, Goal, Impossible, Pacing};
use crate::plan::Race;
use crate::schedule::Limit;
use crate::time::Elapsed;

/// The slowest finish that meets every cutoff with time in hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Safe {
    /// The course has no cutoff.
    NoCutoffs,
    /// Not even the fastest finish accepted does; the station that is the worst then, and the
    /// time in hand there.
    Never {
        /// Index of the station.
        station: usize,
        /// Time in hand at the fastest finish; less than the cushion.
        margin: Elapsed,
    },
    /// This one does, to the minute; the station where the least is in hand, and how much.
    Finish {
        /// The finish.
        finish: Elapsed,
        /// Index of the station.
        station: usize,
        /// Time in hand there.
        margin: Elapsed,
    },
}

/// The finishes that are accepted on this course with these stops: the fastest, up to the minute,
/// and the slowest, down to it.
#[must_use]
pub fn accepted(race: &Race) -> (Elapsed, Elapsed) {
    let stops_s: f64 = race.stops_s.iter().sum();
    let refused = |finish_s: f64| solve(race, finish_s).err();
    let fastest_s = match refused(stops_s + 1.0) {
        Some(Impossible::TooFast { fastest_s }) => fastest_s,
        _ => stops_s + 1.0,
    };
    // longer than this no finish can be written
    let longest_s = (LONGEST_RACE_H * 3600) as f64;
    let slowest_s = match refused(longest_s) {
        Some(Impossible::TooSlow { slowest_s }) => slowest_s,
        _ => longest_s,
    };
    let minutes = |minutes: f64| Elapsed::from_secs(minutes as i64 * 60);
    (
        minutes((fastest_s / 60.0).ceil()),
        minutes((slowest_s / 60.0).floor()),
    )
}

/// Finds it to the minute.
///
/// Moving times are all but proportional to the finish, so each guess is scaled to what the
/// tightest cutoff leaves, and three or four plans reach the minute; should they not, the rest is
/// halved.
#[must_use]
pub fn slowest_safe(race: &Race, cushion: Elapsed) -> Safe {
    const SCALED_GUESSES: usize = 6;
    const MINUTE: Elapsed = Elapsed::from_secs(60);
    let Some(last) = race.limits.iter().flatten().map(|l| l.elapsed).max() else {
        return Safe::NoCutoffs;
    };
    let (fastest, slowest) = accepted(race);
    let Some(mut safe) = worst(race, fastest, cushion) else {
        return Safe::NoCutoffs;
    };
    if safe.margin < cushion {
        return Safe::Never {
            station: safe.station,
            margin: safe.margin,
        };
    }
    let mut most = slowest;
    let mut guess = last;
    for tries in 0.. {
        let least = safe.at + MINUTE;
        if least > most {
            break;
        }
        let within = guess.max(least).min(most);
        let Some(tried) = worst(race, within, cushion) else {
            break;
        };
        guess = tried.scaled;
        if tried.margin >= cushion {
            safe = tried;
        } else {
            most = within - MINUTE;
        }
        if tries >= SCALED_GUESSES {
            guess = Elapsed::from_secs((safe.at + most).as_secs() / 120 * 60);
        }
    }
    Safe::Finish {
        finish: safe.at,
        station: safe.station,
        margin: safe.margin,
    }
}

/// The tightest cutoff of one finish.
#[derive(Clone, Copy)]
struct WorstMargin {
    at: Elapsed,
    station: usize,
    margin: Elapsed,
    /// The finish that would leave just the cushion at every cutoff, if moving times scaled.
    scaled: Elapsed,
}

fn worst(race: &Race, finish: Elapsed, cushion: Elapsed) -> Option<WorstMargin> {
    let pacing = solve(race, finish.as_s()).ok()?;
    let all_stops_s: f64 = race.stops_s.iter().sum();
    let moving_s = finish.as_s() - all_stops_s;
    let limited = race.limits.iter().enumerate();
    let found = limited.filter_map(|(station, limit)| Some((station, (*limit)?)));
    let seen: Vec<(Elapsed, usize, f64)> = found
        .map(|(station, limit)| {
            let at_s = reached_s(&pacing, station, limit);
            // as the schedule has it: whole seconds
            let margin = limit.elapsed - Elapsed::from_s(at_s);
            let before = race.stops_s[..station].iter().sum::<f64>();
            let own_s = at_s - pacing.arrival_s[station];
            let stops_s = before + own_s;
            let left_s = limit.elapsed.as_s() - cushion.as_s() - stops_s;
            let scaled_s = all_stops_s + moving_s * left_s / (at_s - stops_s).max(1.0);
            (margin, station, scaled_s)
        })
        .collect();
    let (margin, station, _) = seen.iter().copied().min_by_key(|(m, s, _)| (*m, *s))?;
    let scaled_s = seen
        .iter()
        .map(|(_, _, s)| *s)
        .fold(f64::INFINITY, f64::min);
    Some(WorstMargin {
        at: finish,
        station,
        margin,
        scaled: Elapsed::from_secs((scaled_s / 60.0).floor() as i64 * 60),
    })
}

fn reached_s(pacing: &Pacing, station: usize, limit: Limit) -> f64 {
    match limit.on {
        CutoffOn::Arrival => pacing.arrival_s[station],
        CutoffOn::Departure => pacing.departure_s[station],
    }
}

fn solve(race: &Race, finish_s: f64) -> Result<Pacing, Impossible> {
    let goal = Goal {
        finish_s,
        stops_s: race.stops_s.clone(),
    };
    pacing::solve(&race.course, &race.conditions, &race.settings, &goal)
}
