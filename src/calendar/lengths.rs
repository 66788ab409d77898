//! Lengths of the runs: grown from what was really run, week after week.

use chrono::Days;

use crate::rehearsal::practice::{GROWTH_SHARE, LONG_RUN_SHARE};
use crate::time::S_PER_HOUR;

use super::growth::{next_m, rounded_m};
use super::weeks::{days_back, races_in};
use super::{CalendarRequest, LongRun, RunRole, SINGLE_SHARE, Week, WeekKind};

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
/// The share from which a run counts as the planned one. Our choice.
const AS_PLANNED: f64 = 0.95;
/// The second run after an ache. Our choice.
const RETURNING: f64 = 0.8;
/// A week never grows beyond so many of the runner's own. Our choice.
const WEEK_MOST: f64 = 1.5;
/// Each further building week without its run takes this share. Our choice.
const LOST: f64 = 0.10;

/// Gives every run its length and hours.
pub(super) fn fill(request: &CalendarRequest, weeks: &mut [Week]) {
    let peak_m = request.peak_m();
    let seen = request.seen();
    let mut now_m = request.longest_now_m.min(peak_m);
    let (mut best_m, mut lost) = (now_m, 0);
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
        let is_over = seen.is_some_and(|seen| week.monday <= seen);
        let ran_m = run_m(week);
        let is_lost = kind == WeekKind::Blocked
            || (is_over && kind == WeekKind::Building && ran_m < AS_PLANNED * level_m);
        if is_lost {
            lost += 1;
            // one run less is no step back; a second one is
            let kept = if lost > 1 { 1.0 - LOST } else { 1.0 };
            now_m = rounded_m(kept * now_m, request.grain_m);
        } else if kind == WeekKind::Building {
            lost = 0;
            now_m = level_m;
        }
        // what was run in any other week brings back what was lost, and no more
        best_m = now_m.max(best_m);
        if is_lost || (is_over && kind != WeekKind::Practice && ran_m > week.long_m()) {
            now_m = now_m.max(rounded_m(ran_m.min(best_m), request.grain_m));
        }
    }
    if let Some(own_m) = request.week_m {
        fill_weeks(own_m, weeks);
    }
}

/// Gives every week its distance: the runner's own, grown as a long run does and never far beyond
/// it, less where the long runs are less.
fn fill_weeks(own_m: f64, weeks: &mut [Week]) {
    let mut now_m = own_m;
    let last = weeks.len().saturating_sub(1);
    for (index, week) in weeks.iter_mut().enumerate() {
        let share = match week.kind {
            WeekKind::Building => 1.0,
            WeekKind::Race | WeekKind::Blocked => continue,
            WeekKind::Taper if index + 2 > last => EASY,
            WeekKind::Easy => EASY,
            _ => REDUCED,
        };
        week.week_m = Some((share * now_m).max(week.long_m()));
        if week.kind == WeekKind::Building {
            now_m = (now_m * (1.0 + GROWTH_SHARE)).min(WEEK_MOST * own_m);
        }
    }
}

/// The longest run of a week as one single run, metres: the longest run, or two in a row by
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
    // nothing long in the last two weeks: two weeks and one before the race so many hours at most;
    // common practice, no source
    let most_m = |hours: f64| hours * S_PER_HOUR / request.pace_s_per_m;
    let raced = |run: &LongRun| {
        let mut races = request.practice.iter();
        races.find(|race| run.role == RunRole::Race && race.date == run.date)
    };
    for run in &mut week.runs {
        run.distance_m = match (week.kind, run.role) {
            (_, RunRole::Race) => raced(run).map_or(0.0, |race| race.distance_m),
            (_, RunRole::First) => rounded(FIRST_OF_PAIR * PAIR * level_m),
            (_, RunRole::Second) => rounded((1.0 - FIRST_OF_PAIR) * PAIR * level_m),
            (WeekKind::Reduced | WeekKind::BeforePractice, _) => rounded(REDUCED * level_m),
            (WeekKind::Returning, _) => {
                let days = days_back(request, week.monday).unwrap_or_default();
                // the last run before a practice race is short in any case
                let near = days < 7 || races_in(request, week.monday + Days::new(7));
                rounded(level_m * if near { REDUCED } else { RETURNING })
            }
            (WeekKind::Taper, _) if to_race > 2 => rounded(REDUCED * level_m),
            (WeekKind::Taper, _) if to_race > 1 => rounded((REDUCED * level_m).min(most_m(3.0))),
            (WeekKind::Taper, _) => rounded((EASY * level_m).min(most_m(2.0))),
            (WeekKind::Easy, _) => rounded(EASY * level_m),
            _ => level_m,
        };
        let taken_s = raced(run).and_then(|race| race.time_s);
        run.hours = taken_s.unwrap_or(run.distance_m * request.pace_s_per_m) / S_PER_HOUR;
    }
}

/// The length that a single run reaches or has reached, metres; where no week builds, that of now.
pub(super) fn reached_m(request: &CalendarRequest, weeks: &[Week]) -> f64 {
    let building = weeks.iter().filter(|w| w.kind == WeekKind::Building);
    let longest_m = building.map(|w| w.level_m).reduce(f64::max);
    let ahead_m = longest_m.unwrap_or(request.longest_now_m.min(request.peak_m()));
    let done = weeks.iter().flat_map(|week| &week.done);
    done.map(|done| done.distance_m).fold(ahead_m, f64::max)
}
