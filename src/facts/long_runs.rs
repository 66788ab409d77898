//! Facts of the calendar of long runs: every week to the race, its runs, and what they test.

use chrono::{DateTime, Duration, NaiveDateTime, Utc};
use chrono_tz::Tz;

use crate::calendar::{Aim, Calendar, LongRun, Week};
use crate::rehearsal::practice::SINGLE_RUN_MOST_M;
use crate::time::{Elapsed, S_PER_HOUR, WallTime, on_the_wall};
use crate::units::Units;

use super::View;
use super::found::{CautionFacts, FindingFacts};
use super::value::{Measure, each, record, thousandth};

record! {
    /// The long runs from now to the race.
    pub struct CalendarFacts {
        /// Every week, that of the race last.
        pub weeks: Vec<WeekFacts> = weeks
            .map(|week| WeekFacts::of(week, aims, zone, view.units))
            .collect(),
        /// The longest run that was wanted.
        pub peak: Measure = distance(calendar.peak_m),
        /// The longest run that there is time for.
        pub reached: Measure = distance(calendar.reached_m),
        /// The usual most of a single run; common practice, no source.
        pub single_most: Measure = distance(SINGLE_RUN_MOST_M),
        /// Long runs in all, the race's included.
        pub runs: usize = calendar.weeks.iter().map(|week| week.runs.len()).sum(),
        /// Race day, such as `Sat 13 Jun`; nothing without date and zone.
        pub race_day: Option<String> =
            (view.race.clock).map(|clock| clock.start().format("%a %-d %b").to_string()),
        /// The rest that is missing where the weeks are too few.
        pub shortfall: Option<ShortfallFacts> =
            (calendar.shortfall.as_ref()).map(|short| ShortfallFacts {
                missing_weeks: short.missing_weeks,
                options: each(&short.alternatives, |way| way.says.show(view.units)),
            }),
        /// Routes and hours to look for.
        pub look_for: Vec<String> = (aims.iter().enumerate())
            .filter(|(index, _)| {
                let runs = calendar.weeks.iter().flat_map(|week| &week.runs);
                runs.flat_map(|run| &run.tests)
                    .any(|test| test.aim == *index)
            })
            .filter_map(|(_, aim)| {
                let words = aim.needs.look_for.as_ref()?.show(view.units);
                Some(format!("{}: {words}", aim.what))
            })
            .collect(),
        /// Things that no run tests in full by race day, and why.
        pub untested: Vec<String> = each(&calendar.untested, |one| {
            format!("{}: {}", aims[one.aim].what, one.why.show(view.units))
        }),
        /// Findings of the calendar.
        pub findings: Vec<FindingFacts> = each(&calendar.findings, |found| {
            FindingFacts::of(&view.race.course, found, "calendar", view.units)
        }),
        /// Cautions.
        pub cautions: Vec<CautionFacts> = CautionFacts::all(&calendar.cautions),
    } from pub fn of(view: &View<'_>, calendar: &Calendar, aims: &[Aim]) {
        let distance = |m| Measure::distance(view.units, m);
        let zone = view.race.clock.map(|clock| clock.start().timezone());
        let weeks = calendar.weeks.iter();
    }

    /// Too few weeks to race day, with the options.
    pub struct ShortfallFacts {
        /// Weeks that are missing; nothing where even two years would not do.
        pub missing_weeks: Option<u32>,
        /// Options, safest first.
        pub options: Vec<String>,
    }

    /// A week of the calendar, from Monday to Sunday.
    pub struct WeekFacts {
        /// Its year and number by ISO 8601, such as `2026-W41`.
        pub week: String,
        /// Its first day, such as `2026-10-05`.
        pub monday: String,
        /// The same as printed, such as `5 Oct`.
        pub monday_text: String,
        /// Its purpose: `building`, `reduced`, `taper` and so on.
        pub kind: &'static str,
        /// All its long runs together.
        pub long: Measure,
        /// The running really done in it.
        pub done: Measure,
        /// All runs together, where the runner says what a week of theirs is.
        pub week_distance: Option<Measure>,
        /// Its long runs.
        pub runs: Vec<LongRunFacts>,
    }

    /// A long run.
    pub struct LongRunFacts {
        /// Its day, such as `2026-10-10`.
        pub date: String = run.date.to_string(),
        /// The same as printed, such as `Sat 10 Oct`.
        pub date_text: String = run.date.format("%a %-d %b").to_string(),
        /// Its start on the wall, such as `06:00`.
        pub start: String = run.start.format("%H:%M").to_string(),
        /// Its start in UTC (RFC 3339); nothing where the zone is not known.
        pub begins: Option<String> = begins.map(utc),
        /// Its end in UTC; nothing where the zone is not known.
        pub ends: Option<String> = ends.map(utc),
        /// `single`, `first of two`, `second of two` or `practice race`.
        pub role: &'static str = run.role.name(),
        /// Its length.
        pub distance: Measure = Measure::distance(units, run.distance_m),
        /// Time on feet that may stand for the length.
        pub time: Measure = Measure::time(Elapsed::from_s(run.hours * S_PER_HOUR)),
        /// Hours in the dark that it starts with.
        pub dark_h: f64 = thousandth(run.dark_h),
        /// Carbohydrate to practise.
        pub carbs: Measure = Measure::carbs_rate(run.carbs_g_per_h),
        /// The day it would usually be on, where blocked days moved it.
        pub moved_from: Option<String> = run.moved_from.map(|day| day.to_string()),
        /// The distance really run instead.
        pub done: Option<Measure> = None,
        /// Its tests.
        pub tests: Vec<TestFacts> = run.tests.iter().map(test).collect(),
    } from fn of(run: &LongRun, aims: &[Aim], zone: Option<Tz>, units: Units) {
        let begins = zone.map(|zone| instant(run.date.and_time(run.start), zone));
        let ends = begins.map(|at| at + Duration::minutes((run.hours * 60.0).round() as i64));
        let utc = |at: DateTime<Utc>| at.format("%Y-%m-%dT%H:%M:%SZ").to_string();
        let test = |test: &crate::calendar::Test| TestFacts {
            what: aims[test.aim].what.clone(),
            stage: test.stage.name(),
        };
    }

    /// A thing that a long run tests.
    pub struct TestFacts {
        /// The thing.
        pub what: String,
        /// The state of its testing by then, in a word or two.
        pub stage: &'static str,
    }
}

impl WeekFacts {
    fn of(week: &Week, aims: &[Aim], zone: Option<Tz>, units: Units) -> WeekFacts {
        let done_m = week.done.iter().fold(0.0, |m, done| m + done.distance_m);
        let runs = week.runs.iter();
        WeekFacts {
            week: week.iso_week(),
            monday: week.monday.to_string(),
            monday_text: week.monday.format("%-d %b").to_string(),
            kind: week.kind.name(),
            long: Measure::distance(units, week.long_m()),
            done: Measure::distance(units, done_m),
            week_distance: week.week_m.map(|m| Measure::distance(units, m)),
            runs: runs
                .enumerate()
                .map(|(at, run)| LongRunFacts {
                    done: ran(week, run, at == 0).map(|m| Measure::distance(units, m)),
                    ..LongRunFacts::of(run, aims, zone, units)
                })
                .collect(),
        }
    }
}

/// The running really done on the day of a run, or in its week where that has no other.
fn ran(week: &Week, run: &LongRun, first: bool) -> Option<f64> {
    let same_day = week.done.iter().find(|done| done.date == run.date);
    let only = week.done.first();
    let only = only.filter(|_| first && week.runs.len() == 1);
    same_day.or(only).map(|done| done.distance_m)
}

/// A time on the wall in UTC; one that the clocks leave out is the hour after it.
fn instant(wall: NaiveDateTime, zone: Tz) -> DateTime<Utc> {
    match on_the_wall(wall, zone) {
        WallTime::Once(at) | WallTime::Twice(at, _) => at.with_timezone(&Utc),
        WallTime::Never => match on_the_wall(wall + Duration::hours(1), zone) {
            WallTime::Once(at) | WallTime::Twice(at, _) => at.with_timezone(&Utc),
            WallTime::Never => wall.and_utc(),
        },
    }
}
