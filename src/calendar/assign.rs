//! Tests by run: everything twice and once more at the race's full rate, what costs most
//! where it fails first, and first tests early enough to change what they show.

use chrono::{Days, Duration, NaiveDate, NaiveTime, Timelike};

use crate::conditions::sun_times;
use crate::time::Elapsed;
use crate::units::Phrase;
use crate::words::named;

use super::{Aim, CalendarRequest, LongRun, RunRole, Week, WeekKind};

/// Runs that test a thing before the one at full rate. Common practice, no source.
const ORDINARY_TESTS: u32 = 2;
/// First tests are done so long before the race, days: time to change and to try again; where no
/// long run is left before that, so long at least. Our choice.
const FIRST_BEFORE_DAYS: [u64; 2] = [28, 7];
/// Tests begin no earlier than this before the race, where so many runs are left that are early
/// enough: what was tried half a year ago is forgotten, and the kit is another. Our choice.
const FROM_BEFORE_DAYS: u64 = 16 * 7;
const ENOUGH_RUNS: usize = 8;
/// From one test to the next, days at least: time to change what the first showed. Our choice.
const APART_DAYS: i64 = 3;
/// The most new things on one run, or nobody knows which of them failed; then the most where there
/// are too few runs. Our choice.
const NEW_ON_A_RUN: [usize; 2] = [3, 4];
/// A run at full rate takes so long, hours: the reference rehearsal of trained guts (Costa and
/// others 2017, Appl. Physiol. Nutr. Metab.) and our choice.
const FULL_H: f64 = 3.0;
/// The full rate is held so long before it counts as rehearsed, days. Our choice.
const AT_TARGET_DAYS: i64 = 14;
/// Nobody sets an alarm earlier for a long run: what needs more of the dark ends in it instead.
/// Common practice, no source.
const EARLIEST_START: NaiveTime = match NaiveTime::from_hms_opt(4, 0, 0) {
    Some(time) => time,
    None => NaiveTime::MIN,
};
/// An ordinary test takes this share of what a full one needs. Our choice.
const PART: f64 = 0.6;

named! {
    /// The one of its tests that a run holds for an aim.
    #[derive(PartialOrd, Ord)]
    pub enum Stage {
        /// The first.
        First = "first",
        /// The second, with what the first changed.
        Second = "second",
        /// At the race's full rate.
        Full = "full rate",
    }
}

/// A test on a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Test {
    /// Index into the aims.
    pub aim: usize,
    /// The one of its tests.
    pub stage: Stage,
}

/// An aim that the calendar cannot test as often as it should.
#[derive(Clone, Debug, PartialEq)]
pub struct Untested {
    /// Index into the aims.
    pub aim: usize,
    /// Number of tests it gets, those that were done included.
    pub tests: u32,
    /// The reason for not more.
    pub why: Phrase,
}

/// Gives every aim its runs among those that are ahead; returns those that miss some.
pub(super) fn assign(request: &CalendarRequest, weeks: &mut [Week], aims: &[Aim]) -> Vec<Untested> {
    let seen = request.seen();
    let is_ahead = |run: &LongRun| seen.is_none_or(|seen| run.date > seen);
    let all = weeks.iter_mut().flat_map(|week| {
        let kind = week.kind;
        week.runs.iter_mut().map(move |run| (kind, run))
    });
    let ahead: Vec<(WeekKind, &mut LongRun)> = all.filter(|(_, run)| is_ahead(run)).collect();
    let full_rate = (ahead.iter()).find(|(_, run)| run.carbs_g_per_h >= request.carbs_g_per_h.1);
    let carbs_from = full_rate.map(|(_, run)| run.date + Duration::days(AT_TARGET_DAYS));
    let [early, late] = FIRST_BEFORE_DAYS.map(|days| request.race - Days::new(days));
    let early_runs = ahead.iter().filter(|(_, run)| run.date <= early).count();
    let near = request.race - Days::new(FROM_BEFORE_DAYS);
    let is_near = |run: &LongRun| (near..=early).contains(&run.date);
    let enough = ahead.iter().filter(|(_, run)| is_near(run)).count() >= ENOUGH_RUNS;
    let dark = aims.iter().any(|aim| aim.needs.dark_h.is_some());
    let light = ahead.iter().map(|(_, run)| match dark {
        true => dawn(request, run.date),
        false => Dawn::Unknown,
    });
    let new = aims.iter().filter(|aim| aim.tested == 0).count();
    let [usual, most] = NEW_ON_A_RUN;
    let mut assigner = Assigner {
        request,
        dawns: light.collect(),
        carbs_from,
        from: enough.then_some(near),
        first_until: if early_runs > 0 { early } else { late },
        new_on_a_run: new.div_ceil(early_runs.max(1)).clamp(usual, most),
        is_late: early_runs == 0,
        runs: ahead,
    };
    let missed = (aims.iter().enumerate())
        .filter_map(|(index, aim)| assigner.give(index, aim))
        .collect();
    assigner.start_in_the_dark(aims);
    missed
}

/// Runs ahead while they are given their tests.
struct Assigner<'a> {
    request: &'a CalendarRequest,
    runs: Vec<(WeekKind, &'a mut LongRun)>,
    dawns: Vec<Dawn>,
    /// From this day on the gut has held the race's rate for long enough.
    carbs_from: Option<NaiveDate>,
    /// No test is before this day.
    from: Option<NaiveDate>,
    first_until: NaiveDate,
    new_on_a_run: usize,
    /// True where only the last weeks are left: their runs test what they can.
    is_late: bool,
}

impl Assigner<'_> {
    /// Gives an aim its tests; says what is missing.
    fn give(&mut self, index: usize, aim: &Aim) -> Option<Untested> {
        if let Some(weather) = aim.needs.weather {
            let known = aim.at_full && aim.tested >= ORDINARY_TESTS;
            return (!known).then(|| Untested {
                aim: index,
                tests: aim.tested,
                why: Phrase::new(format!(
                    "{weather} cannot be planned: try it on the first long run that brings some"
                )),
            });
        }
        // with the day from which the next test may be
        let mut own: Vec<(usize, Option<NaiveDate>)> = Vec::new();
        let mut after: Option<NaiveDate> = None;
        for stage in [Stage::First, Stage::Second]
            .into_iter()
            .skip(aim.tested as usize)
        {
            let Some(at) = self.find(aim, stage, after) else {
                break;
            };
            self.put(at, index, stage);
            own.push((at, after));
            after = Some(self.runs[at].1.date);
        }
        if !aim.at_full {
            // after the others, or in place of the last of them where no run is left
            let last = own
                .last()
                .copied()
                .filter(|_| own.len() + aim.tested as usize > 1);
            let instead = || last.and_then(|(_, before)| self.find(aim, Stage::Full, before));
            if let Some(at) = self.find(aim, Stage::Full, after) {
                self.put(at, index, Stage::Full);
            } else if let (Some(at), Some((replaced, _))) = (instead(), last) {
                self.runs[replaced].1.tests.retain(|test| test.aim != index);
                self.put(at, index, Stage::Full);
            }
        }
        self.missing(index, aim)
    }

    fn put(&mut self, at: usize, aim: usize, stage: Stage) {
        self.runs[at].1.tests.push(Test { aim, stage });
    }

    /// The earliest run that can hold a test; of runs that need the dark, one that starts in it.
    fn find(&self, aim: &Aim, stage: Stage, after: Option<NaiveDate>) -> Option<usize> {
        let apart =
            |date: NaiveDate| after.is_none_or(|after| (date - after).num_days() >= APART_DAYS);
        let places = (0..self.runs.len())
            .filter(|at| apart(self.runs[*at].1.date) && self.serves(*at, aim, stage));
        let mut all: Vec<usize> = places.collect();
        if aim.needs.dark_h.is_some() {
            all.sort_by_key(|at| self.runs[*at].1.dark_h == 0.0);
        }
        all.first().copied()
    }

    fn serves(&self, at: usize, aim: &Aim, stage: Stage) -> bool {
        let (kind, run) = &self.runs[at];
        let part = if stage == Stage::Full { 1.0 } else { PART };
        let rests = match kind {
            WeekKind::Taper => !self.is_late,
            WeekKind::Easy | WeekKind::Returning => true,
            _ => false,
        };
        let until = match stage {
            Stage::First => self.first_until,
            _ if self.is_late => self.first_until,
            _ => super::weeks::last_building_day(self.request),
        };
        let new = run.tests.iter().filter(|test| test.stage == Stage::First);
        let room = stage != Stage::First || new.count() < self.new_on_a_run;
        let hours = aim.needs.least_h.unwrap_or(0.0) * part;
        let full = stage != Stage::Full || self.is_full(run, aim);
        let dark = aim.needs.dark_h.is_none_or(|h| {
            matches!(run.role, RunRole::Single | RunRole::First)
                && run.hours >= h * part
                && self.dawns[at] != Dawn::Never
        });
        self.from.is_none_or(|from| run.date >= from)
            && run.date <= until
            && room
            && run.hours + 1e-9 >= hours
            && full
            && !rests
            && dark
    }

    /// True where a run can test an aim at the race's full rate.
    fn is_full(&self, run: &LongRun, aim: &Aim) -> bool {
        let held = self.carbs_from.is_some_and(|from| run.date >= from);
        run.hours >= self.full_h() && run.role != RunRole::Second && (held || !aim.is_carbs)
    }

    fn full_h(&self) -> f64 {
        FULL_H.min(self.request.race_m * self.request.pace_s_per_m / crate::time::S_PER_HOUR)
    }

    fn missing(&self, index: usize, aim: &Aim) -> Option<Untested> {
        let own = self.runs.iter().flat_map(|(_, run)| run.tests.iter());
        let own: Vec<Stage> = own.filter(|t| t.aim == index).map(|t| t.stage).collect();
        let tests = aim.tested + own.len() as u32;
        let full = aim.at_full || own.contains(&Stage::Full);
        (!full || tests < ORDINARY_TESTS).then(|| Untested {
            aim: index,
            tests,
            why: self.why_not(aim, !full && !own.is_empty()),
        })
    }

    /// The reason that a test, or one in full, finds no run.
    fn why_not(&self, aim: &Aim, in_full: bool) -> Phrase {
        let in_time = |run: &&LongRun| run.date <= super::weeks::last_building_day(self.request);
        let runs = || self.runs.iter().map(|(_, run)| &**run).filter(in_time);
        let longest_h = runs().map(|run| run.hours).fold(0.0, f64::max);
        let needs = &aim.needs;
        let most_h = needs
            .least_h
            .unwrap_or(0.0)
            .max(needs.dark_h.unwrap_or(0.0));
        let needs_h = if in_full {
            most_h.max(self.full_h())
        } else {
            PART * most_h
        };
        if !self.is_late && longest_h < needs_h {
            Phrase::new(format!(
                "it takes a run of {}, and the longest reached is {}",
                hours(needs_h),
                hours(longest_h)
            ))
        } else if needs.dark_h.is_some() && self.dawns.iter().all(|dawn| *dawn == Dawn::Never) {
            Phrase::new("no night before a run gets dark there")
        } else if aim.is_carbs && in_full {
            Phrase::new("too few weeks at that rate before the last long run: the gut needs two")
        } else {
            Phrase::new("too few long runs are left in time to act on what they show")
        }
    }

    /// Runs that need the dark start so long before first light, or go on so long after the last.
    fn start_in_the_dark(&mut self, aims: &[Aim]) {
        for ((_, run), dawn) in self.runs.iter_mut().zip(&self.dawns) {
            let dark = run.tests.iter().filter_map(|test| {
                let part = if test.stage == Stage::Full { 1.0 } else { PART };
                aims[test.aim].needs.dark_h.map(|h| h * part)
            });
            run.dark_h = dark.fold(0.0, f64::max);
            if let (true, Dawn::At { dawn, dusk }) = (run.dark_h > 0.0, dawn) {
                let seconds = |h: f64| Duration::seconds((h * 3600.0).round() as i64);
                let (early, days) = dawn.overflowing_sub_signed(seconds(run.dark_h));
                let earliest = EARLIEST_START.min(self.request.start);
                // of two in a row the first is for the evening: the next morning is then as tired
                let morning = run.role != RunRole::First && days == 0 && early >= earliest;
                let start = match morning {
                    true => early,
                    false => *dusk - seconds((run.hours - run.dark_h).max(0.0)),
                };
                let quarter = Duration::seconds(i64::from(start.num_seconds_from_midnight() % 900));
                run.start = start - quarter;
            }
        }
    }
}

fn hours(h: f64) -> String {
    Elapsed::from_s(h * 3600.0).to_string()
}

/// First and last light of a day on the wall.
#[derive(Clone, Copy, PartialEq)]
enum Dawn {
    At {
        dawn: NaiveTime,
        dusk: NaiveTime,
    },
    /// It stays light.
    Never,
    /// Nobody said where the runs are.
    Unknown,
}

fn dawn(request: &CalendarRequest, date: NaiveDate) -> Dawn {
    let Some((lat_deg, lon_deg, zone)) = request.place else {
        return Dawn::Unknown;
    };
    let sun = sun_times(lat_deg, lon_deg, date, zone);
    match (sun.dawn, sun.dusk) {
        (Some(dawn), Some(dusk)) => {
            let [dawn, dusk] = [dawn, dusk].map(|at| at.with_timezone(&zone).time());
            Dawn::At { dawn, dusk }
        }
        _ => Dawn::Never,
    }
}
