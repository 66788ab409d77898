//! Days of the runs: Saturdays, and Sundays for the second of two, or as near to them as
//! blocked days let them be.

use chrono::{NaiveDate, Weekday};

use super::weeks::{is_usual, last_building_day, place_in_block, weekday};
use super::{CalendarRequest, LongRun, RunRole, Week, WeekKind};

/// From one long run to the next weekend's, days at least. Our choice.
const APART_DAYS: i64 = 4;
/// Before any race no long run for so many days. Our choice.
const BEFORE_RACE_DAYS: i64 = 5;
/// In the order they are liked.
const LIKED: [Weekday; 7] = [
    Weekday::Sat,
    Weekday::Sun,
    Weekday::Fri,
    Weekday::Thu,
    Weekday::Wed,
    Weekday::Tue,
    Weekday::Mon,
];
/// First days of two in a row, in the order they are liked.
const LIKED_PAIRS: [Weekday; 2] = [Weekday::Sat, Weekday::Fri];

/// Puts runs without lengths on days. A building week that finds none is a blocked one.
pub(super) fn place(request: &CalendarRequest, mut weeks: Vec<Week>) -> Vec<Week> {
    let mut last: Option<NaiveDate> = None;
    for index in 0..weeks.len() {
        let (kind, monday) = (weeks[index].kind, weeks[index].monday);
        let pair =
            request.pairs && kind == WeekKind::Building && place_in_block(&weeks, index) == 1;
        let week = Days {
            request,
            monday,
            kind,
            last,
        };
        let dates = match kind {
            WeekKind::Race | WeekKind::Blocked => Vec::new(),
            WeekKind::Practice => races(request, monday),
            _ if pair => week.two().unwrap_or_else(|| week.one()),
            _ => week.one(),
        };
        if dates.is_empty() && kind == WeekKind::Building {
            weeks[index].kind = WeekKind::Blocked;
        }
        last = dates.last().copied().or(last);
        let runs = dates.iter().enumerate();
        weeks[index].runs = runs
            .map(|(at, date)| {
                let role = match (kind, dates.len(), at) {
                    (WeekKind::Practice, ..) => RunRole::Race,
                    (_, 1, _) => RunRole::Single,
                    (_, _, 0) => RunRole::First,
                    _ => RunRole::Second,
                };
                run(request, *date, role, monday)
            })
            .collect();
    }
    weeks
}

fn races(request: &CalendarRequest, monday: NaiveDate) -> Vec<NaiveDate> {
    let races = request.practice.iter().map(|race| race.date);
    let mut own: Vec<NaiveDate> = races
        .filter(|date| super::weeks::monday(*date) == monday)
        .collect();
    own.sort();
    own
}

fn run(request: &CalendarRequest, date: NaiveDate, role: RunRole, monday: NaiveDate) -> LongRun {
    let saturday = weekday(monday, Weekday::Sat);
    let moved = role != RunRole::Race && role != RunRole::Second && !is_usual(date);
    LongRun {
        date,
        distance_m: 0.0,
        hours: 0.0,
        role,
        moved_from: moved.then_some(saturday),
        start: request.start,
        dark_h: 0.0,
        carbs_g_per_h: 0.0,
        tests: Vec::new(),
    }
}

/// The days of one week.
struct Days<'a> {
    request: &'a CalendarRequest,
    monday: NaiveDate,
    kind: WeekKind,
    last: Option<NaiveDate>,
}

impl Days<'_> {
    fn one(&self) -> Vec<NaiveDate> {
        let days = LIKED.map(|day| weekday(self.monday, day));
        days.into_iter()
            .find(|day| self.serves(*day) && self.is_apart(*day))
            .into_iter()
            .collect()
    }

    fn two(&self) -> Option<Vec<NaiveDate>> {
        let pairs = LIKED_PAIRS.map(|day| weekday(self.monday, day));
        let both = pairs.into_iter().map(|first| (first, first.succ_opt()));
        both.filter_map(|(first, second)| Some((first, second?)))
            .find(|(first, second)| {
                self.serves(*first) && self.serves(*second) && self.is_apart(*first)
            })
            .map(|(first, second)| vec![first, second])
    }

    fn serves(&self, day: NaiveDate) -> bool {
        let request = self.request;
        let builds = self.kind == WeekKind::Building;
        let races = request.practice.iter().map(|race| race.date);
        let near_race = races.chain([request.race]).any(|race| {
            let before = (race - day).num_days();
            (0..BEFORE_RACE_DAYS).contains(&before)
        });
        day >= request.from
            && day < request.race
            && !request.is_blocked(day)
            && !near_race
            && (!builds || day <= last_building_day(request))
    }

    fn is_apart(&self, day: NaiveDate) -> bool {
        self.last
            .is_none_or(|last| (day - last).num_days() >= APART_DAYS)
    }
}
