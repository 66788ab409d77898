//! The purpose of each week, counted back from race day.

use chrono::{Datelike, Days, NaiveDate, Weekday};

use crate::rehearsal::practice::SINGLE_RUN_MOST_M;

use super::{CalendarRequest, Week, WeekKind};

/// The Monday of a day's week (ISO 8601).
pub(super) fn monday(day: NaiveDate) -> NaiveDate {
    day.week(Weekday::Mon).first_day()
}

/// A day of a week.
pub(super) fn weekday(monday: NaiveDate, day: Weekday) -> NaiveDate {
    monday + Days::new(u64::from(day.num_days_from_monday()))
}

/// The last day that a run which builds may be on.
pub(super) fn last_building_day(request: &CalendarRequest) -> NaiveDate {
    // nothing long on the very day that the taper begins
    request.race - Days::new(7 * u64::from(request.taper_weeks) + 1)
}

/// Every week from the first day's to the race's. A week that rests for another reason takes the
/// place of a reduced one.
pub(super) fn sort(request: &CalendarRequest) -> Vec<Week> {
    let first = monday(request.from);
    let mut weeks = Vec::new();
    let mut own = monday(request.race);
    let mut building = 0;
    while own >= first {
        let kind = kind(request, own, building);
        building = if kind == WeekKind::Building {
            building + 1
        } else {
            0
        };
        weeks.push(Week {
            monday: own,
            kind,
            level_m: 0.0,
            week_m: None,
            runs: Vec::new(),
            done: done_in(request, own),
        });
        own = own - Days::new(7);
    }
    weeks.reverse();
    weeks
}

fn done_in(request: &CalendarRequest, own: NaiveDate) -> Vec<super::Done> {
    let runs = request.done.iter();
    runs.filter(|done| done.date >= request.from && monday(done.date) == own)
        .copied()
        .collect()
}

fn kind(request: &CalendarRequest, own: NaiveDate, building: u32) -> WeekKind {
    let recovers = request.practice.iter().any(|race| {
        let after = (own - monday(race.date)).num_weeks();
        (1..=i64::from(easy_weeks(request, race.distance_m))).contains(&after)
    });
    let mut days = own.iter_days().take(7);
    let free =
        days.any(|day| day >= request.from && day < request.race && !request.is_blocked(day));
    if own == monday(request.race) {
        WeekKind::Race
    } else if races_in(request, own) {
        WeekKind::Practice
    } else if !free {
        WeekKind::Blocked
    } else if weekday(own, Weekday::Sat) > last_building_day(request) {
        WeekKind::Taper
    } else if days_back(request, own).is_some() {
        WeekKind::Returning
    } else if recovers {
        WeekKind::Easy
    } else if races_in(request, own + Days::new(7)) {
        WeekKind::BeforePractice
    } else if building == request.building_weeks {
        WeekKind::Reduced
    } else {
        WeekKind::Building
    }
}

/// True where a practice race is in a week.
pub(super) fn races_in(request: &CalendarRequest, own: NaiveDate) -> bool {
    let mut races = request.practice.iter();
    races.any(|race| monday(race.date) == own)
}

/// One, and another for each length of the longest single run that the race went beyond: four after
/// a hundred miles. Those after the first are our choice.
fn easy_weeks(request: &CalendarRequest, distance_m: f64) -> u32 {
    let beyond = ((distance_m - 1.0) / SINGLE_RUN_MOST_M).max(0.0);
    match request.easy_weeks {
        0 => 0,
        weeks => weeks + beyond as u32,
    }
}

/// Days from the last ache to a week's Saturday, within the two weeks that step back.
pub(super) fn days_back(request: &CalendarRequest, own: NaiveDate) -> Option<i64> {
    let saturday = weekday(own, Weekday::Sat);
    let days = (request.aches.iter()).map(|(_, last)| (saturday - *last).num_days());
    days.filter(|days| (0..14).contains(days)).min()
}

/// The place of a building week among those up to the next rest, counted back from it: 0 is the
/// last.
pub(super) fn place_in_block(weeks: &[Week], index: usize) -> usize {
    let after = weeks[index + 1..].iter();
    after
        .take_while(|week| week.kind == WeekKind::Building)
        .count()
}

/// True where a long run is usually on this day.
pub(super) fn is_usual(day: NaiveDate) -> bool {
    day.weekday() == Weekday::Sat
}
