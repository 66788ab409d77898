//! What holds for any start, peak, blocked days, practice races and records.

use chrono::{Days, NaiveDate, Timelike};
use sutler::calendar::{
    Aim, Calendar, CalendarRequest, Done, LongRun, RunRole, Stage, WeekKind, lay_out, step_m,
};

use sutler::rehearsal::practice::SINGLE_RUN_MOST_M;

use super::wishes::Seeded;

const SEEDS: std::ops::Range<u64> = 0..80;

fn runs(calendar: &Calendar) -> impl Iterator<Item = &LongRun> {
    calendar.weeks.iter().flat_map(|week| &week.runs)
}

/// What was run and tested up to a day, where everything was done as planned.
fn as_planned(
    seeded: &Seeded,
    calendar: &Calendar,
    until: NaiveDate,
) -> (CalendarRequest, Vec<Aim>) {
    let over = || runs(calendar).filter(|run| run.date <= until);
    let mut request = seeded.request.clone();
    request.done = over()
        .map(|run| Done {
            date: run.date,
            distance_m: run.distance_m,
        })
        .collect();
    let mut aims = seeded.aims.clone();
    for test in over().flat_map(|run| &run.tests) {
        aims[test.aim].tested += 1;
        aims[test.aim].at_full |= test.stage == Stage::Full;
    }
    (request, aims)
}

#[test]
fn no_bound_is_exceeded_that_the_runner_did_not_override() {
    for seed in SEEDS {
        let Seeded { request, aims } = Seeded::of(seed);
        let calendar = lay_out(&request, &aims);
        let mut before_m = request.longest_now_m;
        for week in &calendar.weeks {
            if week.kind == WeekKind::Building {
                let most_m = before_m + step_m(before_m, request.growth);
                assert!(week.level_m <= most_m + 1e-6, "seed {seed}: {week:?}");
                before_m = week.level_m;
            }
            for run in week.runs.iter().filter(|run| run.role != RunRole::Race) {
                assert!(
                    run.distance_m <= SINGLE_RUN_MOST_M + 1e-6,
                    "seed {seed}: {run:?}"
                );
                assert!(
                    run.distance_m <= week.level_m + 1e-6,
                    "seed {seed}: {run:?}"
                );
                assert!(run.distance_m > 0.0, "seed {seed}: {run:?}");
            }
            // a week of which a single run is two fifths holds both of two within its half
            if week.runs.iter().all(|run| run.role != RunRole::Race) {
                let whole_m = week.level_m / 0.4;
                assert!(
                    week.long_m() <= 0.5 * whole_m + 1e-6,
                    "seed {seed}: {week:?}"
                );
            }
        }
        let building = calendar.weeks.iter().map(|w| w.kind == WeekKind::Building);
        let mut in_a_row = 0;
        for builds in building {
            in_a_row = if builds { in_a_row + 1 } else { 0 };
            assert!(in_a_row <= 3, "seed {seed}");
        }
    }
}

#[test]
fn runs_are_on_free_days_before_the_race_and_the_taper_is_kept() {
    for seed in SEEDS {
        let Seeded { request, aims } = Seeded::of(seed);
        let calendar = lay_out(&request, &aims);
        let taper = request.race - Days::new(7 * u64::from(request.taper_weeks) + 1);
        let level_m = calendar.reached_m.max(request.longest_now_m);
        for run in runs(&calendar) {
            assert!(
                run.date >= request.from && run.date < request.race,
                "seed {seed}: {run:?}"
            );
            let blocked = request
                .blocked
                .iter()
                .any(|(a, b)| (*a..=*b).contains(&run.date));
            assert!(!blocked, "seed {seed}: {run:?}");
            if run.date > taper && run.role != RunRole::Race {
                assert!(
                    run.distance_m <= 0.6 * level_m + 1e-6,
                    "seed {seed}: {run:?}"
                );
            }
        }
        let dates: Vec<NaiveDate> = runs(&calendar).map(|run| run.date).collect();
        assert!(dates.is_sorted(), "seed {seed}: {dates:?}");
        for race in &request.practice {
            for run in runs(&calendar).filter(|run| run.role != RunRole::Race) {
                let before = (race.date - run.date).num_days();
                assert!(!(0..5).contains(&before), "seed {seed}: {run:?}");
                assert!(!(-3..=0).contains(&before), "seed {seed}: {run:?}");
            }
        }
    }
}

#[test]
fn everything_is_tested_or_named() {
    for seed in SEEDS {
        let Seeded { request, aims } = Seeded::of(seed);
        let calendar = lay_out(&request, &aims);
        for (index, aim) in aims.iter().enumerate() {
            let own: Vec<(NaiveDate, Stage)> = runs(&calendar)
                .flat_map(|run| run.tests.iter().map(|test| (run.date, *test)))
                .filter(|(_, test)| test.aim == index)
                .map(|(date, test)| (date, test.stage))
                .collect();
            let total = aim.tested + own.len() as u32;
            let full = aim.at_full || own.iter().any(|(_, stage)| *stage == Stage::Full);
            let named = calendar.untested.iter().any(|one| one.aim == index);
            assert_eq!(
                named,
                !(total >= 2 && full),
                "seed {seed}: {} {own:?}",
                aim.what
            );
            for pair in own.windows(2) {
                assert!(
                    pair[0].0 < pair[1].0 && pair[0].1 < pair[1].1,
                    "seed {seed}: {own:?}"
                );
            }
            for (date, stage) in own {
                let before = (request.race - date).num_days();
                // only where no run is left before the last four weeks are they for tests
                let early = runs(&calendar).any(|run| (request.race - run.date).num_days() >= 28);
                let least = match (early, stage) {
                    (false, _) => 7,
                    (true, Stage::First) => 28,
                    (true, _) => 7 * i64::from(request.taper_weeks) + 1,
                };
                assert!(
                    before >= least,
                    "seed {seed}: {} {stage:?} {before}",
                    aim.what
                );
            }
        }
    }
}

#[test]
fn tests_are_on_runs_that_can_hold_them() {
    for seed in SEEDS {
        let Seeded { request, aims } = Seeded::of(seed);
        let calendar = lay_out(&request, &aims);
        for run in runs(&calendar) {
            for test in &run.tests {
                let needs = &aims[test.aim].needs;
                let full = test.stage == Stage::Full;
                let part = if full { 1.0 } else { 0.6 };
                let least_h = needs.least_h.unwrap_or(0.0) * part;
                let least_h = if full { least_h.max(3.0) } else { least_h };
                assert!(run.hours + 1e-6 >= least_h, "seed {seed}: {run:?}");
                assert!(run.dark_h + 1e-6 >= needs.dark_h.unwrap_or(0.0) * part);
                // nobody gets up at two for it
                assert!(run.start.hour() >= 4, "seed {seed}: {run:?}");
                if full && aims[test.aim].is_carbs {
                    let target = request.carbs_g_per_h.1;
                    assert!(run.carbs_g_per_h + 1e-6 >= target, "seed {seed}: {run:?}");
                }
            }
        }
    }
}

/// fueling: raised by 10 g/h a week, two weeks and more at the target before the full rehearsal.
#[test]
fn carbohydrate_grows_by_ten_grams_a_week() {
    for seed in SEEDS {
        let Seeded { request, aims } = Seeded::of(seed);
        let calendar = lay_out(&request, &aims);
        let (now, target) = request.carbs_g_per_h;
        let rates: Vec<f64> = (calendar.weeks.iter())
            .filter_map(|week| week.runs.first())
            .map(|run| run.carbs_g_per_h)
            .collect();
        assert!(
            rates.iter().all(|rate| *rate <= target.max(now) + 1e-9),
            "seed {seed}"
        );
        assert!(
            rates.windows(2).all(|two| two[1] - two[0] <= 10.0 + 1e-9),
            "seed {seed}"
        );
        let reached = runs(&calendar).find(|run| run.carbs_g_per_h + 1e-9 >= target);
        let in_full = |t: &sutler::calendar::Test| t.stage == Stage::Full && aims[t.aim].is_carbs;
        let full = runs(&calendar).find(|run| run.tests.iter().any(in_full));
        if let Some(full) = full {
            assert!(
                (full.date - reached.unwrap().date).num_days() >= 14,
                "seed {seed}"
            );
        }
    }
}

#[test]
fn what_was_done_as_planned_changes_nothing_ahead() {
    for seed in SEEDS {
        let seeded = Seeded::of(seed);
        let planned = lay_out(&seeded.request, &seeded.aims);
        for week in planned.weeks.iter().step_by(5) {
            let until = week.monday + Days::new(6);
            let (request, aims) = as_planned(&seeded, &planned, until);
            let replanned = lay_out(&request, &aims);
            // days and lengths: tests may move forward into room that the first ones leave
            let ahead = |calendar: &Calendar| -> Vec<(NaiveDate, f64)> {
                runs(calendar)
                    .filter(|run| run.date > until)
                    .map(|run| (run.date, run.distance_m))
                    .collect()
            };
            assert_eq!(
                ahead(&replanned),
                ahead(&planned),
                "seed {seed} until {until}"
            );
        }
    }
}

#[test]
fn whatever_was_run_growth_stays_within_its_bounds() {
    for seed in SEEDS {
        let seeded = Seeded::of(seed);
        let planned = lay_out(&seeded.request, &seeded.aims);
        let mut request = seeded.request.clone();
        // half of the runs, from far too short to far too long
        request.done = runs(&planned)
            .enumerate()
            .filter(|(at, _)| (at + seed as usize).is_multiple_of(2))
            .take(6)
            .map(|(at, run)| Done {
                date: run.date,
                distance_m: run.distance_m * (0.3 + 0.4 * at as f64),
            })
            .collect();
        let replanned = lay_out(&request, &seeded.aims);
        // what was lost may come back at once, and no more
        let mut before_m = request.longest_now_m;
        for week in replanned
            .weeks
            .iter()
            .filter(|w| w.kind == WeekKind::Building)
        {
            assert!(week.level_m <= before_m + step_m(before_m, request.growth) + 1e-6);
            before_m = before_m.max(week.level_m);
        }
    }
}
