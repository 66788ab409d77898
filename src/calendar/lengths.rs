//! How long the runs are: grown from what was really run, week after week.

use crate::rehearsal::practice::LONG_RUN_SHARE;
use crate::time::S_PER_HOUR;

use super::growth::{next_m, rounded_m};
use super::{CalendarRequest, RunRole, SINGLE_SHARE, Week, WeekKind};

/// A reduced week's run as a share of a building one. Our choice.
const REDUCED: f64 = 0.6;
/// The same for an easy week after a race, and for the last week of the taper. Our choice.
const EASY: f64 = 0.4;
/// A back-to-back is half of the week, where a single run is two fifths: the week grows no faster.
const PAIR: f64 = *LONG_RUN_SHARE.end() / SINGLE_SHARE;
/// The first of two takes so much of both. Our choice.
const FIRST_OF_PAIR: f64 = 0.6;
/// Two runs in a row only from this length of a single one on, metres. Our choice.
const PAIR_FROM_M: f64 = 16_000.0;
/// What was run counts as what was planned from this share on. Our choice.
const AS_PLANNED: f64 = 0.95;
/// Each further building week without its run takes this share. Our choice.
const LOST: f64 = 0.10;

/// Gives every run its length and hours.
pub(super) fn fill(request: &CalendarRequest, weeks: &mut [Week]) {
    let peak_m = request.peak_m();
    let seen = weeks.iter().rposition(|week| !week.done.is_empty());
    let mut now_m = request.longest_now_m.min(peak_m);
    let mut missed = 0;
    for index in 0..weeks.len() {
        let kind = weeks[index].kind;
        let later = weeks[index..].iter();
        let left = later.filter(|week| week.kind == WeekKind::Building).count();
        let level_m = if kind == WeekKind::Building {
            next_m(now_m, peak_m, left, request.growth, request.grain_m)
        } else {
            now_m
        };
        let to_race = weeks.len() - 1 - index;
        let week = &mut weeks[index];
        week.level_m = level_m;
        share_out(request, week, to_race);
        if kind != WeekKind::Building {
            continue;
        }
        if seen.is_some_and(|seen| index <= seen) && run_m(week) < AS_PLANNED * level_m {
            missed += 1;
            // one run less is no step back; a second one is
            let kept = if missed > 1 { 1.0 - LOST } else { 1.0 };
            now_m = rounded_m(kept * now_m, request.grain_m);
        } else {
            missed = 0;
            now_m = level_m;
        }
    }
}

/// What was really run in a week as one single run, metres: the longest run, or two in a row by
/// their share of the week. More than planned is no licence to grow faster.
fn run_m(week: &Week) -> f64 {
    let longest_m = week.done.iter().map(|d| d.distance_m).fold(0.0, f64::max);
    let all_m: f64 = week.done.iter().map(|d| d.distance_m).sum();
    let pair = week.runs.len() > 1 && week.done.len() > 1;
    let planned_m = week.long_m();
    // measured against what the week asked for, so that rounding it changes nothing
    let as_pair_m = week.level_m * all_m / planned_m.max(1.0);
    if pair {
        as_pair_m.max(longest_m)
    } else {
        longest_m
    }
}

fn share_out(request: &CalendarRequest, week: &mut Week, to_race: usize) {
    let rounded = |m: f64| rounded_m(m, request.grain_m);
    if week.level_m < PAIR_FROM_M && week.runs.len() > 1 && week.kind == WeekKind::Building {
        week.runs.truncate(1);
        week.runs[0].role = RunRole::Single;
    }
    let level_m = week.level_m;
    for run in &mut week.runs {
        run.distance_m = match (week.kind, run.role) {
            (_, RunRole::Race) => {
                let own = request.practice.iter().find(|race| race.date == run.date);
                own.map_or(0.0, |race| race.distance_m)
            }
            (_, RunRole::First) => rounded(FIRST_OF_PAIR * PAIR * level_m),
            (_, RunRole::Second) => rounded((1.0 - FIRST_OF_PAIR) * PAIR * level_m),
            (WeekKind::Reduced | WeekKind::BeforePractice, _) => rounded(REDUCED * level_m),
            (WeekKind::Taper, _) if to_race > 1 => rounded(REDUCED * level_m),
            (WeekKind::Taper | WeekKind::Easy, _) => rounded(EASY * level_m),
            _ => level_m,
        };
        run.hours = run.distance_m * request.pace_s_per_m / S_PER_HOUR;
    }
}

/// How long a single run becomes, metres.
pub(super) fn reached_m(weeks: &[Week]) -> f64 {
    let building = weeks.iter().filter(|w| w.kind == WeekKind::Building);
    building.map(|w| w.level_m).fold(0.0, f64::max)
}
