use chrono::{DateTime, Duration, Utc};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;
use solar_positioning::{Horizon, Location, SolarPositions, delta_t};

use super::{Line, between, clock, local, some_day};
use crate::conditions::sky::Sky;
use crate::conditions::{Conditions, Light, SunEventKind, sun_times};
use crate::diagnostics::Notes;
use crate::inputs::Inputs;
use crate::time::RaceClock;

const HOUR_S: f64 = 3600.0;
const LONGEST_S: f64 = 48.0 * HOUR_S;

/// Straight lines of a quarter day beside the algorithm's own uncertainty of 0.0003°.
const SKY_TOLERANCE_DEG: f64 = 0.0002;

/// At an anchor only the sky's straight lines and the search's millisecond are between the field
/// and the algorithm: 0.0002° is 0.05 s at the equator, and some times that where the sun sets
/// at a slant.
const ANCHOR_TOLERANCE_S: f64 = 1.0;

/// Between anchors 15 km apart on a straight course the times bend by less than this.
const BETWEEN_TOLERANCE_S: f64 = 1.0;

fn over(line: &Line, clock: &RaceClock) -> Conditions {
    let mut notes = Notes::new();
    let inputs = Inputs::default();
    let conditions = Conditions::over(&line.course(), &inputs, Some(clock), LONGEST_S, &mut notes);
    assert_eq!(notes, Notes::new());
    conditions
}

/// Every change from the start until the longest time.
fn changes(conditions: &Conditions, distance_m: f64) -> Vec<f64> {
    let mut changes = Vec::new();
    let mut at = 0.0;
    loop {
        at = conditions.next_dark_change_s(distance_m, at);
        if at > LONGEST_S {
            return changes;
        }
        changes.push(at);
    }
}

#[test]
fn the_quick_sun_agrees_with_the_algorithm() {
    let mut random = ChaCha8Rng::seed_from_u64(1);
    for _ in 0..40 {
        let start = some_day(&mut random)
            .and_hms_opt(5, 43, 21)
            .unwrap()
            .and_utc();
        let sky = Sky::around(start, 2.0, 3.0).unwrap();
        for _ in 0..10 {
            let place = Location {
                latitude: between(&mut random, -90.0, 90.0),
                longitude: between(&mut random, -180.0, 180.0),
            };
            let ms = (between(&mut random, -1.9, 2.9) * 86_400_000.0) as i64;
            let time = start + Duration::milliseconds(ms);
            let quick = sky.position(sky.jd(ms as f64 / 1000.0), place).elevation;
            let delta_t = delta_t::estimate_from_date_like(&start).unwrap();
            let exact = SolarPositions::new()
                .at(&time, place, 0.0, delta_t, None)
                .unwrap();
            let error = (quick - exact.elevation_angle()).abs();
            assert!(error < SKY_TOLERANCE_DEG, "{error}° at {place:?} {time}");
        }
    }
}

#[test]
fn dusk_and_dawn_along_the_course_are_those_of_the_day_there() {
    // 160 km from west to east in the Alps, over the night in which the clocks go back.
    let zone = chrono_tz::Europe::Vienna;
    let line = Line::hundred_miles((47.0, 11.0), (47.3, 13.1));
    let clock = clock("2026-10-24T06:00", zone);
    let conditions = over(&line, &clock);
    for part in [0.0, 0.03, 0.17, 0.5, 0.62, 0.95, 1.0] {
        let (lat_deg, lon_deg) = (47.0 + 0.3 * part, 11.0 + 2.1 * part);
        let found = changes(&conditions, line.length_m * part);
        let day = |day: &str| sun_times(lat_deg, lon_deg, day.parse().unwrap(), zone);
        let (saturday, sunday) = (day("2026-10-24"), day("2026-10-25"));
        let expected = [saturday.dawn, saturday.dusk, sunday.dawn, sunday.dusk];
        assert_eq!(found.len(), expected.len(), "{found:?}");
        for (found, expected) in found.iter().zip(expected) {
            let expected = expected.unwrap() - clock.start().to_utc();
            let apart_s = found - expected.num_milliseconds() as f64 / 1000.0;
            assert!(apart_s.abs() < BETWEEN_TOLERANCE_S, "{apart_s} s at {part}");
        }
    }
}

#[test]
fn events_of_the_sun_are_those_of_the_civil_days() {
    let zone = chrono_tz::America::New_York;
    let line = Line::hundred_miles((40.7128, -74.006), (41.0, -73.0));
    let clock = clock("2026-10-31T00:00", zone);
    let conditions = over(&line, &clock);
    let mut expected: Vec<(DateTime<Utc>, SunEventKind)> = Vec::new();
    // The first of November has 25 hours, so 48 hours end before its last one.
    for day in ["2026-10-31", "2026-11-01"] {
        let day = sun_times(40.7128, -74.006, day.parse().unwrap(), zone);
        expected.push((day.dawn.unwrap(), SunEventKind::Dawn));
        expected.push((day.sunrise.unwrap(), SunEventKind::Sunrise));
        expected.push((day.sunset.unwrap(), SunEventKind::Sunset));
        expected.push((day.dusk.unwrap(), SunEventKind::Dusk));
    }
    assert_eq!(conditions.sun_events().len(), expected.len());
    for (event, (instant, kind)) in conditions.sun_events().iter().zip(expected) {
        assert_eq!(event.kind, kind);
        let apart_s = (event.instant - instant).num_milliseconds().abs() as f64 / 1000.0;
        assert!(apart_s < ANCHOR_TOLERANCE_S, "{apart_s} s for {kind:?}");
    }
}

#[test]
fn light_follows_the_height_of_the_sun() {
    let mut random = ChaCha8Rng::seed_from_u64(2);
    /// Heights this near to a horizon may fall on either side of it.
    const UNSURE_DEG: f64 = 0.005;
    let zone = chrono_tz::UTC;
    let mut seen = [0; 3];
    for lat_deg in [-78.0, -45.0, 0.0, 47.0, 60.5, 66.5, 69.6, 78.2] {
        for month in 1..=12 {
            let line = Line::hundred_miles((lat_deg, 15.0), (lat_deg, 15.0));
            let clock = clock(&format!("2026-{month:02}-17T06:00"), zone);
            let conditions = over(&line, &clock);
            for _ in 0..40 {
                let elapsed_s = between(&mut random, -40.0 * HOUR_S, LONGEST_S + 40.0 * HOUR_S);
                let time = clock.start() + Duration::milliseconds((elapsed_s * 1000.0) as i64);
                let place = Location {
                    latitude: lat_deg,
                    longitude: 15.0,
                };
                let sun = SolarPositions::new()
                    .at(&time, place, 0.0, 69.2, None)
                    .unwrap();
                let height = sun.elevation_angle();
                let above = |horizon: Horizon| height - horizon.elevation_angle();
                let (sunset, dusk) = (above(Horizon::SunriseSunset), above(Horizon::CivilTwilight));
                if sunset.abs() < UNSURE_DEG || dusk.abs() < UNSURE_DEG {
                    continue;
                }
                let expected = match (sunset > 0.0, dusk > 0.0) {
                    (true, _) => Light::Day,
                    (false, true) => Light::Twilight,
                    (false, false) => Light::Dark,
                };
                let found = conditions.light(between(&mut random, 0.0, line.length_m), elapsed_s);
                assert_eq!(found, expected, "{lat_deg}° on {time}: sun at {height}°");
                seen[expected as usize] += 1;
            }
        }
    }
    assert!(seen.iter().all(|n| *n > 250), "{seen:?}");
}

#[test]
fn polar_day_and_night_have_no_changes() {
    let zone = chrono_tz::Arctic::Longyearbyen;
    let line = Line::hundred_miles((78.2, 15.6), (78.2, 15.6));
    for (start, dark) in [("2026-06-21T06:00", false), ("2026-12-21T06:00", true)] {
        let conditions = over(&line, &clock(start, zone));
        assert_eq!(conditions.is_dark(0.0, 0.0), dark);
        assert_eq!(conditions.is_dark(9e4, 30.0 * HOUR_S), dark);
        assert_eq!(conditions.sun_events(), []);
        if dark {
            assert!(conditions.next_dark_change_s(0.0, 0.0) > LONGEST_S + 48.0 * HOUR_S);
            assert!(conditions.previous_dark_change_s(0.0, 0.0) < -48.0 * HOUR_S);
        } else {
            assert_eq!(conditions.next_dark_change_s(0.0, 0.0), f64::INFINITY);
            assert_eq!(
                conditions.previous_dark_change_s(0.0, 0.0),
                f64::NEG_INFINITY
            );
        }
    }
}

#[test]
fn a_night_that_is_gone_further_north_shrinks_to_nothing_on_the_way() {
    // On this day the sun comes down to 6° below the horizon between 60° and 61° north.
    let zone = chrono_tz::Europe::Oslo;
    let line = Line::hundred_miles((60.0, 10.0), (61.5, 10.0));
    let conditions = over(&line, &clock("2026-06-21T12:00", zone));
    let night_s = |distance_m: f64| {
        let dusk = conditions.next_dark_change_s(distance_m, 0.0);
        let dawn = conditions.next_dark_change_s(distance_m, dusk);
        if dusk.is_finite() { dawn - dusk } else { 0.0 }
    };
    assert!(night_s(0.0) > HOUR_S);
    assert_eq!(night_s(line.length_m), 0.0);
    let mut before_s = night_s(0.0);
    for i in 1..=10_000 {
        let here_s = night_s(line.length_m * f64::from(i) / 10_000.0);
        assert!(
            here_s <= before_s && before_s - here_s < 30.0,
            "{before_s} {here_s}"
        );
        before_s = here_s;
    }
}

#[test]
fn a_course_over_the_date_line_has_no_jump() {
    let line = Line::hundred_miles((-16.8, 179.2), (-16.7, 180.7));
    let conditions = over(&line, &clock("2026-07-04T06:00", chrono_tz::Pacific::Fiji));
    let mut before_s = conditions.next_dark_change_s(0.0, 3600.0);
    for i in 1..=1000 {
        let here_s = conditions.next_dark_change_s(line.length_m * f64::from(i) / 1000.0, 3600.0);
        assert!((here_s - before_s).abs() < 2.0, "{before_s} {here_s}");
        before_s = here_s;
    }
}

#[test]
fn it_turns_dark_exactly_when_it_is_said_to() {
    let mut random = ChaCha8Rng::seed_from_u64(3);
    let mut flips = 0;
    for _ in 0..150 {
        let from = (
            between(&mut random, -90.0, 90.0),
            between(&mut random, -180.0, 180.0),
        );
        let to = ((from.0 + 1.0).min(90.0), from.1 + 1.0);
        let line = Line::hundred_miles(from, to);
        let day = some_day(&mut random)
            .and_hms_opt(6, 0, 0)
            .unwrap()
            .and_utc();
        let clock = RaceClock::starting(day.with_timezone(&chrono_tz::UTC));
        let conditions = over(&line, &clock);
        for _ in 0..20 {
            let x = between(&mut random, -1000.0, line.length_m + 1000.0);
            let t = between(&mut random, -70.0 * HOUR_S, 120.0 * HOUR_S);
            let (before, after) = (
                conditions.previous_dark_change_s(x, t),
                conditions.next_dark_change_s(x, t),
            );
            assert!(before < t && t < after);
            let here = conditions.is_dark(x, t);
            for part in [0.001, 0.5, 0.999] {
                let low = before.max(t - 86_400.0);
                let inside = low + (after.min(t + 86_400.0) - low) * part;
                assert_eq!(conditions.is_dark(x, inside), here, "{x} {t} {inside}");
            }
            if after.is_finite() {
                flips += 1;
                assert_eq!(conditions.is_dark(x, after.next_down()), here);
                assert_eq!(conditions.is_dark(x, after), !here);
                assert_eq!(conditions.previous_dark_change_s(x, after.next_up()), after);
                assert_eq!(conditions.next_dark_change_s(x, after.next_down()), after);
                assert!(conditions.next_dark_change_s(x, after) > after);
                assert!(conditions.previous_dark_change_s(x, after) < after);
            }
        }
    }
    assert!(flips > 1000, "{flips}");
}

#[test]
fn without_a_clock_it_is_always_day() {
    let mut notes = Notes::new();
    let course = Line::hundred_miles((47.0, 11.0), (47.0, 12.0)).course();
    let conditions = Conditions::over(&course, &Inputs::default(), None, LONGEST_S, &mut notes);
    assert_eq!(notes, Notes::new());
    assert!(!conditions.knows_daylight() && !conditions.knows_weather());
    assert_eq!(conditions.light(0.0, 15.0 * HOUR_S), Light::Day);
    assert_eq!(conditions.next_dark_change_s(0.0, 0.0), f64::INFINITY);
    assert_eq!(conditions.weather(0.0, 0.0, 0.0), None);
}

#[test]
fn odd_places_times_and_lengths_are_taken_in_stride() {
    let start = clock("2026-06-21T06:00", chrono_tz::UTC);
    for (lat, lon) in [(90.0, 0.0), (-90.0, 180.0), (89.999, -180.0), (0.0, 540.0)] {
        let course = Line::hundred_miles((lat, lon), (lat, lon)).course();
        for longest_s in [0.0, -5.0, f64::NAN, f64::INFINITY, 1e18] {
            let mut notes = Notes::new();
            let inputs = Inputs::default();
            let made = Conditions::over(&course, &inputs, Some(&start), longest_s, &mut notes);
            assert!(made.knows_daylight(), "{lat} {lon} {longest_s} {notes:?}");
            for odd in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300, -1e300] {
                assert!(!made.is_dark(odd, f64::NAN));
                let _ = made.light(0.0, odd);
                assert!(made.next_dark_change_s(odd, 0.0) > 0.0);
                assert!(made.previous_dark_change_s(odd, 0.0) < 0.0);
            }
        }
    }
    let nowhere = Line::hundred_miles((f64::NAN, 0.0), (95.0, 0.0)).course();
    let mut notes = Notes::new();
    let conditions = Conditions::over(&nowhere, &Inputs::default(), Some(&start), 1.0, &mut notes);
    assert!(!conditions.knows_daylight());
    assert_eq!(notes.all().len(), 1);
    assert_eq!(local("2026-06-21T06:00"), start.start().naive_local());
}
