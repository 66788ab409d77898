//! Cutoffs, margins and latest departures on courses whose answer is known.

use chrono::{NaiveDate, NaiveDateTime, NaiveTime, TimeZone, Weekday};
use chrono_tz::Tz;

use crate::ability::Spread;
use crate::arrivals::{Trials, simulate};
use crate::conditions::Conditions;
use crate::course::Course;
use crate::course::tests::slopes;
use crate::diagnostics::{Notes, Severity};
use crate::inputs::Inputs;
use crate::inputs::stations_csv::{Cutoff, CutoffOn};
use crate::inputs::surfaces_csv::Surface;
use crate::pacing::{Goal, PacingSettings, solve};
use crate::time::{Elapsed, RaceClock};
use crate::units::Units;

use super::{Schedule, resolve_cutoffs};

/// A 40-km course in Vienna's zone with stations every 10 km, on the night the clocks go back.
fn course(cutoffs: &[(usize, Cutoff, CutoffOn)]) -> Course {
    let mut course = slopes(
        &[
            (10_000.0, 0.02),
            (10_000.0, -0.02),
            (10_000.0, 0.05),
            (10_000.0, -0.05),
        ],
        Surface::SmoothTrail,
    );
    let zone: Tz = "Europe/Vienna".parse().expect("a zone");
    course.official_start = zone.with_ymd_and_hms(2026, 10, 24, 22, 0, 0).single();
    for (station, cutoff, on) in cutoffs {
        course.stations[*station].cutoff = Some((*cutoff, *on, None));
    }
    course
}

fn clock(hour: u32, minute: u32) -> NaiveTime {
    NaiveTime::from_hms_opt(hour, minute, 0).expect("a time of day")
}

fn sunday(hour: u32, minute: u32) -> NaiveDateTime {
    NaiveDate::from_ymd_opt(2026, 10, 25)
        .expect("a date")
        .and_time(clock(hour, minute))
}

/// Hours since the start at 22:00 summer time, by hand: the clocks of the European Union go back
/// from 03:00 to 02:00 on the last Sunday of October (Directive 2000/84/EC, article 3).
#[track_caller]
fn check(cutoff: Cutoff, wave_offset_s: f64, hours: Option<f64>, worst: Option<Severity>) {
    let course = course(&[(2, cutoff, CutoffOn::Arrival)]);
    let mut notes = Notes::new();
    let limits = resolve_cutoffs(&course, wave_offset_s, &mut notes);
    assert_eq!(limits[2].map(|limit| limit.elapsed.as_hours()), hours);
    assert_eq!(notes.all().iter().map(|d| d.severity).max(), worst);
}

#[test]
fn cutoffs_are_read_across_midnight_and_the_clock_change() {
    check(Cutoff::Clock(None, clock(23, 30)), 0.0, Some(1.5), None);
    check(Cutoff::Clock(None, clock(1, 30)), 0.0, Some(3.5), None);
    check(Cutoff::Clock(None, clock(4, 0)), 0.0, Some(7.0), None);
    check(
        Cutoff::Clock(Some(Weekday::Sun), clock(4, 0)),
        0.0,
        Some(7.0),
        None,
    );
    check(
        Cutoff::Clock(Some(Weekday::Mon), clock(4, 0)),
        0.0,
        Some(31.0),
        None,
    );
    check(Cutoff::Local(sunday(4, 0)), 0.0, Some(7.0), None);
    check(
        Cutoff::Elapsed(Elapsed::from_secs(7 * 3600)),
        0.0,
        Some(7.0),
        None,
    );
    // shown twice: the first is the safe one
    check(
        Cutoff::Local(sunday(2, 30)),
        0.0,
        Some(4.5),
        Some(Severity::Warning),
    );
    // 02:30 with the offset of winter time, in UTC
    check(Cutoff::Instant(sunday(1, 30)), 0.0, Some(5.5), None);
}

#[test]
fn a_later_wave_loses_its_offset_to_every_cutoff() {
    check(
        Cutoff::Elapsed(Elapsed::from_secs(7 * 3600)),
        1800.0,
        Some(6.5),
        None,
    );
    check(Cutoff::Clock(None, clock(4, 0)), 1800.0, Some(6.5), None);
}

#[test]
fn a_clock_cutoff_needs_a_start() {
    let mut course = course(&[(2, Cutoff::Clock(None, clock(4, 0)), CutoffOn::Arrival)]);
    course.official_start = None;
    let mut notes = Notes::new();
    assert_eq!(resolve_cutoffs(&course, 0.0, &mut notes)[2], None);
    assert!(notes.has_errors());
}

/// A schedule for a finish in 5 h with 10-min stops, in the dark and without weather.
fn schedule(course: &Course) -> (Schedule, crate::pacing::Pacing, Conditions) {
    let start = course.official_start.map(RaceClock::starting);
    let mut notes = Notes::new();
    let conditions = Conditions::over(
        course,
        &Inputs::default(),
        start.as_ref(),
        40_000.0,
        &mut notes,
    );
    let goal = Goal {
        finish_s: 18_000.0,
        stops_s: vec![0.0, 600.0, 600.0, 600.0, 0.0],
    };
    let pacing =
        solve(course, &conditions, &PacingSettings::default(), &goal).expect("it can be run");
    let limits = resolve_cutoffs(course, 0.0, &mut notes);
    let trials = Trials {
        finish: Some(Spread::between(18_500.0, 0.15, 0.15)),
        ..Trials::default()
    };
    let windows = simulate(&conditions, &pacing, &limits, &trials);
    let schedule = Schedule::lay_out(course, &conditions, &pacing, &limits, &windows, start);
    (schedule, pacing, conditions)
}

#[test]
fn arrival_and_margin_make_the_cutoff() {
    let elapsed = |hours: i64| Cutoff::Elapsed(Elapsed::from_secs(hours * 3600));
    let course = course(&[
        (1, elapsed(2), CutoffOn::Departure),
        (2, elapsed(3), CutoffOn::Arrival),
        (4, elapsed(5), CutoffOn::Departure),
    ]);
    let (schedule, _, _) = schedule(&course);
    for split in &schedule.splits {
        let Some(limit) = split.cutoff else { continue };
        let event = match limit.on {
            CutoffOn::Arrival => split.arrival,
            CutoffOn::Departure => split.departure,
        };
        assert_eq!(
            split.margin.map(|margin| event + margin),
            Some(limit.elapsed)
        );
    }
    // nobody leaves the finish: its cutoff limits the arrival
    assert_eq!(
        schedule.splits[4].cutoff.map(|limit| limit.on),
        Some(CutoffOn::Arrival)
    );
    assert!(
        schedule
            .splits
            .windows(2)
            .all(|pair| pair[0].departure < pair[1].arrival)
    );
}

/// A cutoff that nobody makes has no latest departure: none is ever before the start.
#[test]
fn nobody_is_told_to_leave_before_the_start() {
    let one_minute = Cutoff::Elapsed(Elapsed::from_secs(60));
    let (schedule, _, _) = schedule(&course(&[(2, one_minute, CutoffOn::Arrival)]));
    let latest = |station: usize| schedule.splits[station].latest_departure;
    assert_eq!([latest(0), latest(1)], [None, None]);
}

/// Leaving at the latest departure and keeping the effort and the planned stops reaches the cutoff
/// that binds on its second, and every other later one in time: at the planned effort to the
/// second, at the effort to expect but for what the light of another hour changes.
#[test]
fn the_latest_departure_is_exactly_late_enough() {
    let elapsed = |minutes: i64| Cutoff::Elapsed(Elapsed::from_secs(minutes * 60));
    let course = course(&[
        (2, elapsed(230), CutoffOn::Arrival),
        (3, elapsed(295), CutoffOn::Departure),
        (4, elapsed(390), CutoffOn::Arrival),
    ]);
    let (schedule, pacing, conditions) = schedule(&course);
    let splits = &schedule.splits;
    // what is left at the tightest cutoff and where that is, with so many times as long on each
    // segment
    let left_s = |from: usize, leave_s: f64, times_as_long: &dyn Fn(usize) -> f64| {
        let (mut now_s, mut tightest) = (leave_s, (f64::INFINITY, from));
        for station in from..4 {
            if station > from {
                now_s += schedule.stop(station).as_s();
            }
            let mut pass = |station: usize, on: CutoffOn, at_s: f64| {
                if let Some(limit) = splits[station].cutoff.filter(|limit| limit.on == on) {
                    let left_s = limit.elapsed.as_s() - at_s;
                    if left_s < tightest.0 {
                        tightest = (left_s, station);
                    }
                }
            };
            pass(station, CutoffOn::Departure, now_s);
            let way_s = pacing.arrive_s(&conditions, station, now_s) - now_s;
            now_s += times_as_long(station) * way_s;
            pass(station + 1, CutoffOn::Arrival, now_s);
        }
        tightest
    };
    let expected = |from: usize| {
        let stop_s = schedule.stop(from).as_s();
        let likely_s = splits[from + 1].likely.as_s() - splits[from].likely.as_s() - stop_s;
        (likely_s / pacing.segments[from].moving_s).max(1.0)
    };
    assert!(schedule.latest_as_likely);
    for split in &splits[..4] {
        let latest = split.latest_departure.expect("a cutoff follows").as_s();
        let on_plan = split.latest_on_plan.expect("a cutoff follows").as_s();
        assert!(latest <= on_plan);
        // the departure was cut down to its whole second
        let (left, _) = left_s(split.station, on_plan, &|_| 1.0);
        assert!((-1e-3..1.2).contains(&left), "{left} s left on plan");
        let (left, binding) = left_s(split.station, latest, &expected);
        assert!((-60.0..60.0).contains(&left), "{left} s left");
        assert_eq!(split.binding, Some(binding));
    }
}

#[test]
fn a_missed_cutoff_is_a_finding() {
    let course = course(&[(
        3,
        Cutoff::Elapsed(Elapsed::from_secs(3 * 3600)),
        CutoffOn::Arrival,
    )]);
    let (schedule, _, _) = schedule(&course);
    assert!(schedule.splits[3].margin < Some(Elapsed::ZERO));
    assert_eq!(
        schedule
            .findings
            .iter()
            .map(|f| f.kind.name())
            .collect::<Vec<_>>(),
        ["cutoff-missed"]
    );
}

/// A cutoff a minute after the planned finish is met by the plan and by less than half of all races:
/// the likely finish is 8 minutes later.
#[test]
fn a_doubtful_cutoff_is_a_finding() {
    let minutes = |minutes: i64| Cutoff::Elapsed(Elapsed::from_secs(minutes * 60));
    let kinds = |limit: i64| {
        let course = course(&[(4, minutes(limit), CutoffOn::Arrival)]);
        let (schedule, _, _) = schedule(&course);
        let chance = schedule.splits[4].cutoff_chance.expect("it has a cutoff");
        let kinds: Vec<&str> = schedule.findings.iter().map(|f| f.kind.name()).collect();
        (chance, kinds)
    };
    let (chance, found) = kinds(301);
    assert!((0.2..0.5).contains(&chance), "{chance}");
    assert_eq!(found, ["cutoff-close", "cutoff-unlikely"]);
    let (chance, found) = kinds(325);
    assert!((0.5..0.8).contains(&chance), "{chance}");
    assert_eq!(found, ["cutoff-doubtful"]);
    let (chance, found) = kinds(480);
    assert!(chance > 0.95, "{chance}");
    assert_eq!(found, Vec::<&str>::new());
}

/// Start on Saturday 24 October at 22:00.
fn refused(cutoffs: &[(usize, Cutoff)]) -> Vec<String> {
    let cutoffs: Vec<_> = cutoffs
        .iter()
        .map(|(station, cutoff)| (*station, *cutoff, CutoffOn::Arrival))
        .collect();
    let mut notes = Notes::new();
    let _ = resolve_cutoffs(&course(&cutoffs), 0.0, &mut notes);
    let errors = notes.all().iter();
    errors
        .filter(|note| note.severity == Severity::Error)
        .map(|note| note.message.clone())
        .collect()
}

#[test]
fn a_cutoff_before_the_start_does_not_move_on_by_a_week() {
    let on = |day, hour, minute| Cutoff::Clock(Some(day), clock(hour, minute));
    assert_eq!(
        refused(&[(2, on(Weekday::Sat, 21, 0))]),
        ["the cutoff of `Station 2` (Sat 21:00) is before the start (Sat 24 Oct 22:00)"]
    );
    assert_eq!(refused(&[(2, on(Weekday::Fri, 12, 0))]).len(), 1);
    // those after it are still measured from the start
    assert_eq!(
        refused(&[(2, on(Weekday::Sat, 21, 0)), (3, on(Weekday::Sun, 4, 0))]).len(),
        1
    );
    assert_eq!(refused(&[(2, on(Weekday::Sun, 4, 0))]).len(), 0);
}

#[test]
fn a_cutoff_before_the_one_before_it_does_not_move_on_by_a_week() {
    let on = |day, hour, minute| Cutoff::Clock(Some(day), clock(hour, minute));
    let early = (1, on(Weekday::Sun, 4, 0));
    for wrong in [
        on(Weekday::Sun, 3, 30),
        on(Weekday::Sat, 23, 0),
        Cutoff::Local(sunday(3, 30)),
        Cutoff::Elapsed(Elapsed::from_secs(6 * 3600)),
    ] {
        let said = refused(&[early, (2, wrong)]);
        assert!(
            said.len() == 1 && said[0].contains("is before that of `Station 1` (Sun 25 Oct 04:00)"),
            "{wrong:?}: {said:?}"
        );
    }
    // two stations may close together
    assert_eq!(refused(&[early, (2, Cutoff::Local(sunday(4, 0)))]).len(), 0);
}

#[test]
fn a_long_limit_on_a_long_course_is_no_mistake() {
    let mut long = course(&[(
        4,
        Cutoff::Clock(Some(Weekday::Sat), clock(4, 0)),
        CutoffOn::Arrival,
    )]);
    // 330 km in 150 h, as races over a week's working days give
    for station in &mut long.stations {
        station.official_m *= 330.0 / 40.0;
    }
    let mut notes = Notes::new();
    let limits = resolve_cutoffs(&long, 0.0, &mut notes);
    assert!(!notes.has_errors());
    // by hand: 2 h of Saturday, an hour more on Sunday, five days more, 4 h
    assert_eq!(limits[4].map(|limit| limit.elapsed.as_hours()), Some(151.0));
}

#[test]
fn half_a_day_in_hand_is_a_finding_with_the_date() {
    let course = course(&[(2, Cutoff::Clock(None, clock(21, 0)), CutoffOn::Arrival)]);
    let (schedule, _, _) = schedule(&course);
    let found = &schedule.findings;
    assert_eq!(found.len(), 1, "{found:?}");
    let says = found[0].says.show(Units::Metric);
    assert!(says.contains("Sun 25 Oct 21:00"), "{says}");
    assert!(schedule.splits[2].margin > Some(Elapsed::from_secs(12 * 3600)));
}

/// A departure half a minute past the minute is printed as the next minute, and so is what is
/// said of its cutoff.
#[test]
fn a_missed_cutoff_is_told_by_its_event_and_its_printed_times() {
    let mut course = course(&[]);
    let (free, _, _) = schedule(&course);
    let split = &free.splits[2];
    for (on, event, word) in [
        (CutoffOn::Arrival, split.arrival, "reached"),
        (CutoffOn::Departure, split.departure, "left"),
    ] {
        for second in [0, 29, 30, 31, 59] {
            // so that the event is so many seconds past a minute of the cutoff's clock
            let limit = Elapsed::from_secs(event.as_secs() - 20 * 60 - second);
            course.stations[2].cutoff = Some((Cutoff::Elapsed(limit), on, None));
            let (late, _, _) = schedule(&course);
            let minutes = if second < 30 { 20 } else { 21 };
            let says = late.findings[0].says.show(Units::Metric);
            let wanted = format!("is {word} 0:{minutes} after its cutoff");
            assert!(says.contains(&wanted), "{second} s: {says}");
            let margin = late.splits[2].margin.expect("it has a cutoff");
            assert_eq!(margin.to_margin_text(), format!("-0:{minutes}"));
        }
    }
}
