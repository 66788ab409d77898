//! Which days the runs are on: Saturdays, and Sundays for the second of two, or as near to them as
//! blocked days let them be.

use chrono::{NaiveDate, Weekday};

use super::weeks::{is_usual, last_building_day, place_in_block, weekday};
use super::{LongRun, Role, Week, WeekKind, Wish};

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
pub(super) fn place(wish: &Wish, mut weeks: Vec<Week>) -> Vec<Week> {
    let mut last: Option<NaiveDate> = None;
    for index in 0..weeks.len() {
        let (kind, monday) = (weeks[index].kind, weeks[index].monday);
        let pair = kind == WeekKind::Building && place_in_block(&weeks, index) == 1;
        let week = Days {
            wish,
            monday,
            kind,
            last,
        };
        let dates = match kind {
            WeekKind::Race | WeekKind::Blocked => Vec::new(),
            WeekKind::Practice => races_in(wish, monday),
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
                    (WeekKind::Practice, ..) => Role::Race,
                    (_, 1, _) => Role::Single,
                    (_, _, 0) => Role::First,
                    _ => Role::Second,
                };
                run(wish, *date, role, monday)
            })
            .collect();
    }
    weeks
}

fn races_in(wish: &Wish, monday: NaiveDate) -> Vec<NaiveDate> {
    let races = wish.practice.iter().map(|race| race.date);
    let mut own: Vec<NaiveDate> = races
        .filter(|date| super::weeks::monday(*date) == monday)
        .collect();
    own.sort();
    own
}

fn run(wish: &Wish, date: NaiveDate, role: Role, monday: NaiveDate) -> LongRun {
    let saturday = weekday(monday, Weekday::Sat);
    let moved = role != Role::Race && role != Role::Second && !is_usual(date);
    LongRun {
        date,
        distance_m: 0.0,
        hours: 0.0,
        role,
        moved_from: moved.then_some(saturday),
        start: wish.start,
        dark_h: 0.0,
        carbs_g_per_h: 0.0,
        tests: Vec::new(),
    }
}

/// The days of one week.
struct Days<'a> {
    wish: &'a Wish,
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
        let wish = self.wish;
        let builds = self.kind == WeekKind::Building;
        let races = wish.practice.iter().map(|race| race.date);
        let near_race = races.chain([wish.race]).any(|race| {
            let before = (race - day).num_days();
            (0..BEFORE_RACE_DAYS).contains(&before)
        });
        day >= wish.from
            && day < wish.race
            && !wish.is_blocked(day)
            && !near_race
            && (!builds || day <= last_building_day(wish))
    }

    fn is_apart(&self, day: NaiveDate) -> bool {
        self.last
            .is_none_or(|last| (day - last).num_days() >= APART_DAYS)
    }
}
