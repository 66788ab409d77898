//! Which run tests what: everything twice and once more at the race's full rate, what costs most
//! where it fails first, and first tests early enough to change what they show.

use chrono::{Days, Duration, NaiveDate};

use crate::conditions::sun_times;
use crate::time::Elapsed;
use crate::units::Phrase;

use super::{Aim, CalendarRequest, LongRun, RunRole, Week, WeekKind};

/// So many runs test a thing before the one at full rate. Common practice, no source.
const ORDINARY_TESTS: u32 = 2;
/// First tests are done so long before the race, days: time to change and to try again. Our choice.
const FIRST_BEFORE_DAYS: u64 = 28;
/// From one test to the next, days at least: time to change what the first showed. Our choice.
const APART_DAYS: i64 = 3;
/// So many new things at most on one run, or nobody knows which of them failed; more only where
/// there are too few runs. Our choice.
const NEW_ON_A_RUN: usize = 3;
/// A run at full rate takes so long, hours: the reference rehearsal of trained guts (Costa and
/// others 2017, Appl. Physiol. Nutr. Metab.) and our choice.
const FULL_H: f64 = 3.0;
/// The full rate is held so long before it counts as rehearsed, days. Our choice.
const AT_TARGET_DAYS: i64 = 14;
/// An ordinary test takes this share of what a full one needs. Our choice.
const PART: f64 = 0.6;

/// Which of its tests a run holds for an aim.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stage {
    /// The first.
    First,
    /// The second, with what the first changed.
    Second,
    /// One more, for one that was planned and did not happen.
    Again,
    /// At the race's full rate.
    Full,
}

impl Stage {
    /// Lower-case words that programs can match.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Stage::First => "first",
            Stage::Second => "second",
            Stage::Again => "again",
            Stage::Full => "full rate",
        }
    }
}

/// A test on a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Test {
    /// Index into the aims.
    pub aim: usize,
    /// Which of its tests.
    pub stage: Stage,
}

/// An aim that the calendar cannot test as often as it should.
#[derive(Clone, Debug, PartialEq)]
pub struct Untested {
    /// Index into the aims.
    pub aim: usize,
    /// How many tests it gets, those that were done included.
    pub tests: u32,
    /// Why not more.
    pub why: Phrase,
}

/// Gives every aim its runs; returns those that miss some.
pub(super) fn assign(request: &CalendarRequest, weeks: &mut [Week], aims: &[Aim]) -> Vec<Untested> {
    let seen = request.done.iter().map(|done| done.date).max();
    let target = request.carbs_g_per_h.1;
    let kinds: Vec<WeekKind> = (weeks.iter())
        .flat_map(|week| week.runs.iter().map(|_| week.kind))
        .collect();
    let runs: Vec<&mut LongRun> = (weeks.iter_mut()).flat_map(|w| w.runs.iter_mut()).collect();
    let full_from = (runs.iter())
        .find(|run| run.carbs_g_per_h >= target)
        .map(|run| run.date + Duration::days(AT_TARGET_DAYS));
    let dark = aims.iter().any(|aim| aim.needs.dark_h.is_some());
    let dawns = runs.iter().map(|run| {
        if dark {
            dawn(request, run.date)
        } else {
            Dawn::Unknown
        }
    });
    let mut assigner = Assigner {
        request,
        dawns: dawns.collect(),
        kinds,
        runs,
        full_from,
        new_on_a_run: NEW_ON_A_RUN,
        seen: seen.filter(|date| *date >= request.from),
    };
    assigner.new_on_a_run = assigner.new_on_a_run(aims);
    let missed = (aims.iter().enumerate())
        .filter_map(|(index, aim)| assigner.give(index, aim))
        .collect();
    assigner.start_in_the_dark(aims);
    missed
}

/// Runs while they are given their tests.
struct Assigner<'a> {
    request: &'a CalendarRequest,
    kinds: Vec<WeekKind>,
    dawns: Vec<Dawn>,
    runs: Vec<&'a mut LongRun>,
    full_from: Option<NaiveDate>,
    new_on_a_run: usize,
    /// The last day that is known to be over.
    seen: Option<NaiveDate>,
}

impl Assigner<'_> {
    /// How many new things a run has to take, where there are few runs.
    fn new_on_a_run(&self, aims: &[Aim]) -> usize {
        let new = aims.iter().filter(|aim| aim.tested == 0).count();
        let until = self.request.race - Days::new(FIRST_BEFORE_DAYS);
        let runs = self.runs.iter().filter(|run| run.date <= until).count();
        NEW_ON_A_RUN.max(new.div_ceil(runs.max(1)))
    }

    /// Gives an aim its tests; says what is missing.
    fn give(&mut self, index: usize, aim: &Aim) -> Option<Untested> {
        if let Some(weather) = aim.needs.weather {
            return self.waits_for_weather(index, aim, weather);
        }
        let before = aim.tested.min(ORDINARY_TESTS);
        let mut after: Option<NaiveDate> = None;
        for count in before..ORDINARY_TESTS {
            let stage = if count == 0 {
                Stage::First
            } else {
                Stage::Second
            };
            let Some(at) = self.find(aim, stage, after) else {
                break;
            };
            self.put(at, index, stage);
            after = Some(self.runs[at].date);
        }
        if !aim.at_full {
            self.rehearse_in_full(index, aim, after);
        }
        self.follow_what_was_run(index, aim);
        self.missing(index, aim)
    }

    /// At full rate after the other tests, or as the last of them where no run is left.
    fn rehearse_in_full(&mut self, index: usize, aim: &Aim, after: Option<NaiveDate>) {
        if let Some(at) = self.find(aim, Stage::Full, after) {
            return self.put(at, index, Stage::Full);
        }
        let own = |run: &LongRun| {
            run.tests
                .iter()
                .any(|test| test.aim == index && test.stage == Stage::Second)
        };
        let Some(second) = self.runs.iter().position(|run| own(run)) else {
            return;
        };
        let first = self.runs[..second]
            .iter()
            .rev()
            .find(|run| tests(run, index));
        let first = first.map(|run| run.date);
        if let Some(at) = self.find(aim, Stage::Full, first) {
            self.runs[second].tests.retain(|test| test.aim != index);
            self.put(at, index, Stage::Full);
        }
    }

    fn put(&mut self, at: usize, aim: usize, stage: Stage) {
        // a run that already tests it does so in full from now on
        self.runs[at].tests.retain(|test| test.aim != aim);
        self.runs[at].tests.push(Test { aim, stage });
    }

    /// The earliest run that can hold a test; of runs that need the dark, one that starts in it.
    fn find(&self, aim: &Aim, stage: Stage, after: Option<NaiveDate>) -> Option<usize> {
        let fits = |at: &usize| {
            let run = &self.runs[*at];
            after.is_none_or(|after| (run.date - after).num_days() >= APART_DAYS)
                && self.serves(*at, aim, stage)
        };
        let mut places = (0..self.runs.len()).filter(fits);
        if aim.needs.dark_h.is_none() {
            return places.next();
        }
        let all: Vec<usize> = places.collect();
        let dark = all.iter().find(|at| self.runs[**at].dark_h > 0.0);
        dark.or(all.first()).copied()
    }

    fn serves(&self, at: usize, aim: &Aim, stage: Stage) -> bool {
        let (run, kind) = (&self.runs[at], self.kinds[at]);
        let part = if stage == Stage::Full { 1.0 } else { PART };
        let until = match stage {
            Stage::First => self.request.race - Days::new(FIRST_BEFORE_DAYS),
            _ => super::weeks::last_building_day(self.request),
        };
        let new = run.tests.iter().filter(|test| test.stage == Stage::First);
        let room = stage != Stage::First || new.count() < self.new_on_a_run;
        let hours = aim.needs.least_h.unwrap_or(0.0) * part;
        let full = stage != Stage::Full || self.is_full(run);
        let rests = matches!(kind, WeekKind::Taper | WeekKind::Easy);
        let dark = aim.needs.dark_h.is_none_or(|h| {
            run.role != RunRole::Race && run.hours >= h * part && self.gets_dark(at)
        });
        run.date <= until && room && run.hours + 1e-9 >= hours && full && !rests && dark
    }

    /// Whether a run can be at the race's full rate.
    fn is_full(&self, run: &LongRun) -> bool {
        run.hours >= self.full_h()
            && run.role != RunRole::Second
            && self.full_from.is_some_and(|from| run.date >= from)
    }

    fn full_h(&self) -> f64 {
        FULL_H.min(self.request.race_m * self.request.pace_s_per_m / crate::time::S_PER_HOUR)
    }

    fn gets_dark(&self, at: usize) -> bool {
        self.dawns[at] != Dawn::Never
    }

    /// Tests that were planned and did not happen come again; those that happened besides spare
    /// one.
    fn follow_what_was_run(&mut self, index: usize, aim: &Aim) {
        let Some(seen) = self.seen else { return };
        let past = self.runs.iter().filter(|run| run.date <= seen);
        let planned: Vec<Stage> = past
            .flat_map(|run| &run.tests)
            .filter(|test| test.aim == index)
            .map(|test| test.stage)
            .collect();
        let done = aim.tested_since as usize;
        if planned.contains(&Stage::Full)
            && !aim.at_full_since
            && let Some(at) = self.find(aim, Stage::Full, Some(seen))
        {
            self.put(at, index, Stage::Full);
        }
        let lost_full = usize::from(planned.contains(&Stage::Full) && !aim.at_full_since);
        for _ in done..planned.len().saturating_sub(lost_full) {
            let places = 0..self.runs.len();
            let free = places.into_iter().find(|at| {
                let run = &self.runs[*at];
                run.date > seen && !tests(run, index) && self.serves(*at, aim, Stage::Again)
            });
            let Some(at) = free else { break };
            self.put(at, index, Stage::Again);
        }
        for _ in planned.len()..done {
            let ahead = self.runs.iter_mut().filter(|run| run.date > seen);
            let spare = ahead.rev().find(|run| {
                let mut own = run.tests.iter();
                own.any(|test| test.aim == index && test.stage != Stage::Full)
            });
            let Some(run) = spare else { break };
            run.tests.retain(|test| test.aim != index);
        }
    }

    fn missing(&self, index: usize, aim: &Aim) -> Option<Untested> {
        let ahead = |run: &&&mut LongRun| self.seen.is_none_or(|seen| run.date > seen);
        let own = self
            .runs
            .iter()
            .filter(ahead)
            .flat_map(|run| run.tests.iter());
        let own: Vec<Stage> = own.filter(|t| t.aim == index).map(|t| t.stage).collect();
        let tests = aim.tested + aim.tested_since + own.len() as u32;
        let full = aim.at_full || aim.at_full_since || own.contains(&Stage::Full);
        let why = if full && tests >= ORDINARY_TESTS {
            return None;
        } else if full || own.is_empty() {
            self.why_not(aim, Stage::First)
        } else {
            self.why_not(aim, Stage::Full)
        };
        Some(Untested {
            aim: index,
            tests,
            why,
        })
    }

    /// Why a test finds no run.
    fn why_not(&self, aim: &Aim, stage: Stage) -> Phrase {
        let part = if stage == Stage::Full { 1.0 } else { PART };
        let in_time =
            |run: &&&mut LongRun| run.date <= super::weeks::last_building_day(self.request);
        let runs = || self.runs.iter().filter(in_time);
        let longest_h = runs().map(|run| run.hours).fold(0.0, f64::max);
        let needs_h = aim.needs.least_h.unwrap_or(0.0) * part;
        let needs_h = if stage == Stage::Full {
            needs_h.max(self.full_h())
        } else {
            needs_h
        };
        let needs_h = needs_h.max(aim.needs.dark_h.unwrap_or(0.0) * part);
        if longest_h < needs_h {
            Phrase::new(format!(
                "it takes a run of {} and the longest that is reached takes {}",
                hours(needs_h),
                hours(longest_h)
            ))
        } else if aim.needs.dark_h.is_some() && self.dawns.iter().all(|dawn| *dawn == Dawn::Never) {
            Phrase::new("no night before a run gets dark there")
        } else if stage == Stage::Full && !runs().any(|run| self.is_full(run)) {
            Phrase::new(
                "the carbohydrate rate of the race is not held for two weeks before the last long run",
            )
        } else {
            Phrase::new("too few long runs are left in time to change what they would show")
        }
    }

    fn waits_for_weather(&self, index: usize, aim: &Aim, weather: &str) -> Option<Untested> {
        let tests = aim.tested + aim.tested_since;
        let known = tests >= ORDINARY_TESTS && (aim.at_full || aim.at_full_since);
        (!known).then(|| Untested {
            aim: index,
            tests,
            why: Phrase::new(match weather {
                "rain" => "rain cannot be planned: try it on the first long run that brings some",
                "cold" => "cold cannot be planned: try it on the first long run that brings some",
                _ => "sun cannot be planned: try it on the first long run that brings some",
            }),
        })
    }

    /// Runs that need the dark start so long before first light.
    fn start_in_the_dark(&mut self, aims: &[Aim]) {
        for (run, dawn) in self.runs.iter_mut().zip(&self.dawns) {
            let dark = run.tests.iter().filter_map(|test| {
                let part = if test.stage == Stage::Full { 1.0 } else { PART };
                aims[test.aim].needs.dark_h.map(|h| h * part)
            });
            run.dark_h = dark.fold(0.0, f64::max);
            if let (true, Dawn::At(dawn)) = (run.dark_h > 0.0, dawn) {
                let before = Duration::seconds((run.dark_h * 3600.0).round() as i64);
                let (start, days) = dawn.overflowing_sub_signed(before);
                let start = if days == 0 {
                    start
                } else {
                    chrono::NaiveTime::MIN
                };
                let minutes = chrono::Timelike::num_seconds_from_midnight(&start) / 900 * 15;
                run.start =
                    chrono::NaiveTime::from_hms_opt(minutes / 60, minutes % 60, 0).unwrap_or(start);
            }
        }
    }
}

fn tests(run: &LongRun, aim: usize) -> bool {
    run.tests.iter().any(|test| test.aim == aim)
}

fn hours(h: f64) -> String {
    format!("{} h", Elapsed::from_s(h * 3600.0))
}

/// First light of a day on the wall.
#[derive(Clone, Copy, PartialEq)]
enum Dawn {
    At(chrono::NaiveTime),
    /// It stays light.
    Never,
    /// Nobody said where the runs are.
    Unknown,
}

fn dawn(request: &CalendarRequest, date: NaiveDate) -> Dawn {
    let Some((lat_deg, lon_deg, zone)) = request.place else {
        return Dawn::Unknown;
    };
    match sun_times(lat_deg, lon_deg, date, zone).dawn {
        Some(instant) => Dawn::At(instant.with_timezone(&zone).time()),
        None => Dawn::Never,
    }
}
