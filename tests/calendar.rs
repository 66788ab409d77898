//! Long runs on the way to a race: bounds of common practice, days of the calendar, and what each
//! run tests.

mod days;
mod exports;
mod kit;
mod properties;
mod walk;
pub mod wishes;

use chrono::Timelike;
use sutler::calendar::{
    self, GROWTH_MOST_M, Growth, PracticeRace, RunRole, Stage, WeekKind, step_m,
};
use sutler::diagnostics::Notes;
use sutler::rehearsal::practice::{
    BUILDING_WEEKS, EASY_WEEKS_AFTER_RACE, GROWTH_SHARE, LONG_RUN_SHARE, SINGLE_RUN_MOST_M,
    TAPER_WEEKS,
};
use sutler::units::{M_PER_MILE, Units};

use crate::support::reference;
use wishes::{Seeded, aims, date, request};

/// Common practice, no source.
#[test]
fn bounds_are_those_of_common_practice() {
    for row in reference::rows("calendar_practice.csv") {
        let ours = match row.text("bound") {
            "single-run-most" => SINGLE_RUN_MOST_M / 1000.0,
            // "about": 50 km are 31 miles
            "single-run-most-miles" => (SINGLE_RUN_MOST_M / M_PER_MILE).floor() - 1.0,
            "growth-share" => GROWTH_SHARE * 100.0,
            "growth-miles-low" => GROWTH_MOST_M / M_PER_MILE,
            "growth-miles-high" => {
                let long_m = step_m(1e6, Growth::default());
                assert!(long_m <= row.number("value") * M_PER_MILE);
                continue;
            }
            "share-of-week-low" => *LONG_RUN_SHARE.start() * 100.0,
            "share-of-week-high" => *LONG_RUN_SHARE.end() * 100.0,
            "building-weeks" => f64::from(BUILDING_WEEKS),
            "taper-low" => f64::from(*TAPER_WEEKS.start()),
            "taper-high" => f64::from(*TAPER_WEEKS.end()),
            "easy-after-race" => f64::from(EASY_WEEKS_AFTER_RACE),
            other => panic!("{row}: no bound {other}"),
        };
        row.assert_near("value", ours, 1e-9);
    }
}

/// By hand: the smaller of a tenth and two miles, rounded down to half kilometres.
#[test]
fn a_late_start_grows_as_fast_as_it_may_and_no_faster() {
    let request = calendar::CalendarRequest {
        from: date("2026-06-22"),
        race: date("2026-10-24"),
        peak_m: Some(52_000.0),
        ..request()
    };
    let calendar = calendar::lay_out(&request, &[]);
    let levels: Vec<f64> = (calendar.weeks.iter())
        .filter(|week| week.kind == WeekKind::Building)
        .map(|week| week.level_m / 1000.0)
        .collect();
    let by_hand = [
        22.0, 24.0, 26.0, 28.5, 31.0, 34.0, 37.0, 40.0, 43.0, 46.0, 49.0, 52.0,
    ];
    assert_eq!(levels, by_hand);
    assert!(calendar.shortfall.is_none());
    let later = calendar::CalendarRequest {
        from: date("2026-07-20"),
        ..request
    };
    let short = calendar::lay_out(&later, &[]).shortfall.unwrap();
    assert_eq!(short.missing_weeks, Some(3));
    let kinds: Vec<&str> = short.alternatives.iter().map(|way| way.kind).collect();
    assert_eq!(kinds[0], "later race", "the safest first: {kinds:?}");
    assert!(
        short.alternatives[0]
            .says
            .show(Units::Metric)
            .contains("Sat 14 Nov 2026")
    );
}

#[test]
fn three_weeks_build_and_one_is_reduced_counted_back_from_the_taper() {
    let calendar = calendar::lay_out(&request(), &[]);
    let kinds: Vec<&str> = (calendar.weeks.iter().rev())
        .map(|week| week.kind.name())
        .take(10)
        .collect();
    let expected = [
        "race", "taper", "taper", "building", "building", "building", "reduced", "building",
        "building", "building",
    ];
    assert_eq!(kinds, expected);
    let before: Vec<RunRole> = calendar.weeks[calendar.weeks.len() - 5]
        .runs
        .iter()
        .map(|run| run.role)
        .collect();
    assert_eq!(
        before,
        [RunRole::First, RunRole::Second],
        "two in a row before the longest"
    );
}

#[test]
fn a_practice_race_has_its_own_taper_and_recovery() {
    let practice = PracticeRace {
        date: date("2026-08-22"),
        distance_m: 42_000.0,
        time_s: None,
    };
    let calendar = calendar::lay_out(
        &calendar::CalendarRequest {
            practice: vec![practice],
            ..request()
        },
        &[],
    );
    let at = (calendar.weeks.iter())
        .position(|week| week.kind == WeekKind::Practice)
        .unwrap();
    assert_eq!(calendar.weeks[at - 1].kind, WeekKind::BeforePractice);
    assert_eq!(calendar.weeks[at + 1].kind, WeekKind::Easy);
    assert_eq!(calendar.weeks[at].runs[0].date, practice.date);
    let longest_before = calendar.weeks[at - 2].long_m();
    for around in [at - 1, at + 1] {
        assert!(calendar.weeks[around].long_m() < 0.7 * longest_before);
    }
}

#[test]
fn blocked_days_move_a_run_and_blocked_weeks_rest() {
    let calendar = calendar::lay_out(
        &calendar::CalendarRequest {
            blocked: vec![
                (date("2026-07-18"), date("2026-07-18")),
                (date("2026-08-03"), date("2026-08-09")),
            ],
            ..request()
        },
        &[],
    );
    let moved = (calendar.weeks.iter().flat_map(|week| &week.runs))
        .find(|run| run.moved_from == Some(date("2026-07-18")))
        .unwrap();
    assert_eq!(moved.date, date("2026-07-19"));
    let away = (calendar.weeks.iter()).find(|week| week.monday == date("2026-08-03"));
    assert_eq!(away.unwrap().kind, WeekKind::Blocked);
    assert!(away.unwrap().runs.is_empty());
}

#[test]
fn a_missed_run_is_not_made_up_for() {
    let planned = calendar::lay_out(&request(), &[]);
    let first = planned.weeks[0].runs[0].clone();
    let skipped = calendar::CalendarRequest {
        done: vec![calendar::Done {
            date: first.date,
            distance_m: first.distance_m / 2.0,
        }],
        ..request()
    };
    let replanned = calendar::lay_out(&skipped, &[]);
    let level_m = planned.weeks[0].level_m;
    assert!(replanned.weeks[1].level_m <= level_m + step_m(level_m, Growth::default()));
    assert!(replanned.weeks[1].level_m <= planned.weeks[1].level_m);
}

#[test]
fn what_was_planned_and_not_tested_is_tested_on_a_run_ahead() {
    let calendar = calendar::lay_out(&request(), &aims());
    let first = calendar.weeks[0].runs[0].clone();
    let lost = first.tests[0].aim;
    let done = calendar::CalendarRequest {
        done: vec![calendar::Done {
            date: first.date,
            distance_m: first.distance_m,
        }],
        ..request()
    };
    let mut since = aims();
    for test in &first.tests[1..] {
        since[test.aim].tested = 1;
    }
    let replanned = calendar::lay_out(&done, &since);
    assert!(replanned.weeks[0].runs[0].tests.is_empty());
    let stages: Vec<Stage> = (replanned.weeks.iter())
        .flat_map(|week| &week.runs)
        .flat_map(|run| &run.tests)
        .filter(|test| test.aim == lost)
        .map(|test| test.stage)
        .collect();
    assert_eq!(stages, [Stage::First, Stage::Second, Stage::Full]);
}

/// By hand: 60 % within a week of the ache, 80 % within the next, then on from where it stood.
#[test]
fn an_ache_steps_back_and_says_how() {
    let planned = calendar::lay_out(&request(), &[]);
    let wish = calendar::CalendarRequest {
        aches: vec![(date("2026-07-27"), date("2026-08-05"))],
        ..request()
    };
    let bent = calendar::lay_out(&wish, &[]);
    let week = |monday: &str| {
        let found = bent.weeks.iter().find(|week| week.monday == date(monday));
        found.unwrap()
    };
    assert!(week("2026-07-27").runs.is_empty(), "the ache goes before");
    for (monday, share) in [("2026-08-03", 0.6), ("2026-08-10", 0.8)] {
        let own = week(monday);
        assert_eq!(own.kind, WeekKind::Returning);
        let run = &own.runs[0];
        assert!(
            run.distance_m <= share * own.level_m && run.distance_m > (share - 0.05) * own.level_m
        );
    }
    let before = planned
        .weeks
        .iter()
        .filter(|week| week.monday < date("2026-07-27"));
    let level_m = before.map(|week| week.level_m).fold(0.0, f64::max);
    assert!(week("2026-08-17").level_m <= level_m + step_m(level_m, Growth::default()));
    let says = bent
        .findings
        .iter()
        .map(|found| found.says.show(Units::Metric));
    assert!(
        says.into_iter()
            .any(|says| says.contains("ache from 27 Jul to 5 Aug"))
    );
}

/// Practice can be told apart: each of its bounds is the runner's to change.
#[test]
fn every_habit_can_be_changed() {
    let changed = |change: fn(&mut calendar::CalendarRequest)| {
        let mut wish = request();
        change(&mut wish);
        calendar::lay_out(&wish, &[])
    };
    let single = changed(|wish| wish.pairs = false);
    assert!(single.weeks.iter().all(|week| week.runs.len() < 2));
    let longer = changed(|wish| wish.building_weeks = 4);
    let kinds: Vec<WeekKind> = longer.weeks.iter().map(|week| week.kind).collect();
    let building = kinds
        .split(|kind| *kind != WeekKind::Building)
        .map(<[_]>::len);
    assert_eq!(building.max(), Some(4));
    let race = |wish: &mut calendar::CalendarRequest| {
        wish.practice = vec![PracticeRace {
            date: date("2026-08-22"),
            distance_m: 42_000.0,
            time_s: None,
        }];
    };
    let easy = |calendar: &calendar::Calendar| {
        let weeks = calendar.weeks.iter();
        weeks.filter(|week| week.kind == WeekKind::Easy).count()
    };
    let two = changed(|wish| wish.easy_weeks = 2);
    assert_eq!(easy(&two), 0, "no race");
    for weeks in [0, 1, 2] {
        let mut wish = request();
        race(&mut wish);
        wish.easy_weeks = weeks;
        assert_eq!(easy(&calendar::lay_out(&wish, &[])), weeks as usize);
    }
}

/// The runner's own week grows by a tenth a building week, never beyond half as much again; none
/// is made up.
#[test]
fn weeks_come_from_the_runners_own_figure() {
    let none = calendar::lay_out(&request(), &[]);
    assert!(none.weeks.iter().all(|week| week.week_m.is_none()));
    let wish = calendar::CalendarRequest {
        week_m: Some(50_000.0),
        ..request()
    };
    let calendar = calendar::lay_out(&wish, &[]);
    let building = calendar
        .weeks
        .iter()
        .filter(|w| w.kind == WeekKind::Building);
    let weeks: Vec<f64> = building.filter_map(|week| week.week_m).collect();
    assert_eq!(weeks[0], 50_000.0);
    assert!((weeks[1] - 55_000.0).abs() < 1e-6);
    for week in &calendar.weeks {
        let most_m = week.long_m().max(75_000.0);
        assert!(week.week_m.unwrap_or(0.0) <= most_m + 1e-6, "{week:?}");
    }
    let says = calendar
        .findings
        .iter()
        .map(|found| found.says.show(Units::Metric));
    assert!(
        says.into_iter()
            .any(|says| says.contains("30 to 50 % is usual"))
    );
}

/// Nothing long within two weeks of the race, its first day included.
#[test]
fn nothing_long_stands_two_weeks_before() {
    let calendar = calendar::lay_out(&request(), &[]);
    let longest = (calendar.weeks.iter().flat_map(|week| &week.runs))
        .max_by(|a, b| a.distance_m.total_cmp(&b.distance_m))
        .unwrap();
    assert!(
        (date("2026-10-24") - longest.date).num_days() > 14,
        "{longest:?}"
    );
    // however long the peak: three hours two weeks before and two the week before
    let peak = calendar::CalendarRequest {
        longest_now_m: 50_000.0,
        from: date("2026-10-03"),
        ..request()
    };
    let weeks = calendar::lay_out(&peak, &[]).weeks;
    let tapers = weeks.iter().filter(|week| week.kind == WeekKind::Taper);
    let hours: Vec<f64> = tapers
        .flat_map(|week| &week.runs)
        .map(|run| run.hours)
        .collect();
    assert!(
        hours[0] <= 3.0 && hours[1] <= 2.0 && hours[1] > 1.5,
        "{hours:?}"
    );
}

/// With no week left to build in, the longest run is what it is now, not nothing.
#[test]
fn a_calendar_without_a_building_week_keeps_the_run_of_now() {
    let late = calendar::CalendarRequest {
        from: date("2026-10-08"),
        ..request()
    };
    let calendar = calendar::lay_out(&late, &[]);
    assert_eq!(calendar.reached_m, 20_000.0);
    let ways: Vec<&str> = calendar
        .shortfall
        .iter()
        .flat_map(|s| &s.alternatives)
        .map(|way| way.kind)
        .collect();
    assert!(ways.contains(&"lower peak"), "{ways:?}");
}

/// The last run before a practice race is short even after an ache.
#[test]
fn an_ache_does_not_lengthen_the_run_before_a_practice_race() {
    let wish = calendar::CalendarRequest {
        practice: vec![PracticeRace {
            date: date("2026-08-29"),
            distance_m: 45_000.0,
            time_s: None,
        }],
        aches: vec![(date("2026-08-05"), date("2026-08-12"))],
        ..request()
    };
    let weeks = calendar::lay_out(&wish, &[]).weeks;
    let before = weeks
        .iter()
        .find(|week| week.monday == date("2026-08-17"))
        .unwrap();
    assert_eq!(before.kind, WeekKind::Returning);
    assert!(
        before.runs[0].distance_m <= 0.6 * before.level_m,
        "{before:?}"
    );
}

/// Two in a row with a test in the dark are an evening and the next morning.
#[test]
fn the_first_of_two_in_the_dark_is_in_the_evening() {
    let calendar = calendar::lay_out(&request(), &aims());
    let runs: Vec<_> = calendar.weeks.iter().flat_map(|week| &week.runs).collect();
    let first = |run: &&&calendar::LongRun| run.role == RunRole::First && run.dark_h > 0.0;
    let evening: Vec<_> = runs.iter().filter(first).map(|run| run.start).collect();
    assert!(!evening.is_empty());
    assert!(
        evening.iter().all(|start| start.hour() >= 12),
        "{evening:?}"
    );
}

#[test]
fn what_cannot_be_laid_out_has_ways_out() {
    let wrong = calendar::CalendarRequest {
        from: date("2026-10-24"),
        blocked: vec![(date("2026-08-09"), date("2026-08-03"))],
        practice: vec![PracticeRace {
            date: date("2027-01-01"),
            distance_m: 42_000.0,
            time_s: None,
        }],
        ..request()
    };
    let mut notes = Notes::new();
    calendar::check(&wrong, &mut notes);
    assert_eq!(notes.all().len(), 3);
    assert!(notes.all().iter().all(|note| note.hint.is_some()));
    for seed in 0..20 {
        let mut notes = Notes::new();
        calendar::check(&Seeded::of(seed).request, &mut notes);
        assert!(!notes.has_errors(), "seed {seed}");
    }
}
