//! Long runs on the way to a race: bounds of common practice, days of the calendar, and what each
//! run tests.

mod days;
mod exports;
mod kit;
mod properties;
pub mod wishes;

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
        from: date("2026-06-29"),
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
        from: date("2026-07-06"),
        ..request
    };
    let short = calendar::lay_out(&later, &[]).shortfall.unwrap();
    assert_eq!(short.missing_weeks, Some(1));
    let kinds: Vec<&str> = short.alternatives.iter().map(|way| way.kind).collect();
    assert_eq!(kinds[0], "later race", "the safest first: {kinds:?}");
    assert!(
        short.alternatives[0]
            .says
            .show(Units::Metric)
            .contains("Sat 31 Oct 2026")
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
        "race", "taper", "building", "building", "building", "reduced", "building", "building",
        "building", "reduced",
    ];
    assert_eq!(kinds, expected);
    let before: Vec<RunRole> = calendar.weeks[calendar.weeks.len() - 4]
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
    assert!(
        replanned.weeks[1].level_m
            <= first.distance_m + step_m(first.distance_m, Growth::default())
    );
    assert!(replanned.weeks[1].level_m <= planned.weeks[1].level_m);
}

#[test]
fn what_was_planned_and_not_tested_comes_again() {
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
        since[test.aim].tested_since = 1;
    }
    let replanned = calendar::lay_out(&done, &since);
    let stages: Vec<Stage> = (replanned.weeks[1..].iter())
        .flat_map(|week| &week.runs)
        .flat_map(|run| &run.tests)
        .filter(|test| test.aim == lost)
        .map(|test| test.stage)
        .collect();
    assert_eq!(
        stages.iter().filter(|s| **s == Stage::Again).count(),
        1,
        "{stages:?}"
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
