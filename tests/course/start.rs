//! The official start, on days when the clocks change.

use chrono::{NaiveDate, NaiveDateTime};
use chrono_tz::Tz;

use sutler::diagnostics::Spanned;
use sutler::inputs::Inputs;

use super::sketch::{flat, quiet, refused, warned};

fn starting(year: i32, month: u32, day: u32, hour: u32, minute: u32, zone: Tz) -> Inputs {
    let start: NaiveDateTime = NaiveDate::from_ymd_opt(year, month, day)
        .unwrap()
        .and_hms_opt(hour, minute, 0)
        .unwrap();
    let mut inputs = flat(5000.0);
    inputs.course.start = Some(Spanned::unwritten(start));
    inputs.course.timezone = Some(Spanned::unwritten(zone));
    inputs
}

/// European Union summer time ends on the last Sunday of October at 01:00 UTC and begins on the
/// last Sunday of March at 01:00 UTC (directive 2000/84/EC).
#[test]
fn a_start_before_the_clocks_go_back() {
    let course = quiet(&starting(2026, 10, 24, 18, 0, chrono_tz::Europe::Vienna));
    assert_eq!(
        course.official_start.unwrap().to_rfc3339(),
        "2026-10-24T18:00:00+02:00"
    );
}

#[test]
fn a_start_shown_twice_is_the_first_and_said() {
    let inputs = starting(2026, 10, 25, 2, 30, chrono_tz::Europe::Vienna);
    let course = warned(&inputs, "twice");
    assert_eq!(
        course.official_start.unwrap().to_rfc3339(),
        "2026-10-25T02:30:00+02:00"
    );
}

#[test]
fn a_start_skipped_by_the_clocks_is_refused_with_the_way_out() {
    let error = refused(
        &starting(2026, 3, 29, 2, 30, chrono_tz::Europe::Vienna),
        "go forward",
    );
    assert!(error.hint.unwrap().contains("2026-03-29T03:30"));
}

#[test]
fn no_zone_means_no_clock() {
    let mut inputs = starting(2026, 6, 6, 5, 0, chrono_tz::Europe::Vienna);
    inputs.course.timezone = None;
    assert_eq!(warned(&inputs, "time zone").official_start, None);
    inputs.course.start = None;
    assert_eq!(quiet(&inputs).official_start, None);
}

#[test]
fn the_name_is_the_organisers_then_the_files() {
    let mut inputs = flat(5000.0);
    assert_eq!(quiet(&inputs).name, "Unnamed course");
    inputs.track.name = Some("morning track".to_owned());
    assert_eq!(quiet(&inputs).name, "morning track");
    inputs.course.name = Some("Three Ridges".to_owned());
    assert_eq!(quiet(&inputs).name, "Three Ridges");
}
