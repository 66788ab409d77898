//! The sun's times and the standard atmosphere against published and independent figures.
//! (The field over a course is tested beside its code, where courses can be made by hand.)

use chrono::{DateTime, NaiveDate, Utc};
use chrono_tz::Tz;
use solar_positioning::time::JulianDate;
use solar_positioning::{Location, RefractionCorrection, SolarPositions};
use sutler::conditions::{LAPSE_C_PER_M, lapsed_c, moon, moon_events, sun_times};

use crate::support::reference::{self, Row};

/// Two theories of the sun that claim 0.0003° (0.1 s) or better, and a table of whole seconds;
/// the rest is room for their different estimates of TT - UT1 in years far from now.
const SUN_TOLERANCE_S: f64 = 2.0;

/// In high latitudes the sun crosses the horizon at a slant of a few degrees or less: the same
/// angle takes many times as long.
const POLAR_TOLERANCE_S: f64 = 10.0;

/// Where "high latitudes" begin for these tests.
const POLAR_DEG: f64 = 65.0;

/// The worked example prints five decimals.
const ANGLE_TOLERANCE_DEG: f64 = 0.000_006;

#[test]
fn sun_times_of_a_civil_day_agree_with_an_independent_ephemeris() {
    let rows = reference::rows("sun_civil_days.csv");
    assert!(rows.len() >= 50);
    for row in rows {
        let zone: Tz = row.text("zone").parse().unwrap();
        let date: NaiveDate = row.text("date").parse().unwrap();
        let lat_deg = row.number("lat_deg");
        let ours = sun_times(lat_deg, row.number("lon_deg"), date, zone);
        let tolerance_s = if lat_deg.abs() < POLAR_DEG {
            SUN_TOLERANCE_S
        } else {
            POLAR_TOLERANCE_S
        };
        for (column, ours) in [
            ("dawn", ours.dawn),
            ("sunrise", ours.sunrise),
            ("sunset", ours.sunset),
            ("dusk", ours.dusk),
        ] {
            assert_same_instant(&row, column, ours, tolerance_s);
            if let Some(instant) = ours {
                let on_the_wall = instant.with_timezone(&zone).date_naive();
                assert_eq!(on_the_wall, date, "{row}: {column} is on another day");
            }
        }
    }
}

#[track_caller]
fn assert_same_instant(row: &Row, column: &str, ours: Option<DateTime<Utc>>, tolerance_s: f64) {
    let text = row.text(column);
    let theirs: Option<DateTime<Utc>> = (!text.is_empty()).then(|| text.parse().unwrap());
    let (Some(ours), Some(theirs)) = (ours, theirs) else {
        assert_eq!(ours, theirs, "{row}: {column}");
        return;
    };
    let apart_s = (ours - theirs).num_milliseconds() as f64 / 1000.0;
    assert!(
        apart_s.abs() <= tolerance_s,
        "{row}: {column} is {theirs}, ours {ours} ({apart_s} s apart, tolerance {tolerance_s} s)"
    );
}

#[test]
fn the_worked_example_of_the_solar_position_algorithm_comes_out() {
    let rows = reference::rows("sun_worked_example.csv");
    let find = |quantity: &str| {
        rows.iter()
            .find(|row| row.text("quantity") == quantity)
            .unwrap()
    };
    let location = Location {
        latitude: 39.742476,
        longitude: -105.1786,
    };
    let time = JulianDate::from_utc(2003, 10, 17, 19, 30, 30.0, 67.0).unwrap();
    let air = RefractionCorrection::new(820.0, 11.0).unwrap();
    let sun = SolarPositions::new()
        .at_from_julian(time, location, 1830.14, Some(air))
        .unwrap();
    find("zenith_deg").assert_near("value", sun.zenith_angle(), ANGLE_TOLERANCE_DEG);
    find("azimuth_deg").assert_near("value", sun.azimuth(), ANGLE_TOLERANCE_DEG);

    let date = NaiveDate::from_ymd_opt(2003, 10, 17).unwrap();
    let midnight = date.and_hms_opt(0, 0, 0).unwrap().and_utc();
    let day = sun_times(location.latitude, location.longitude, date, chrono_tz::UTC);
    for (row, ours) in [("sunrise_s", day.sunrise), ("sunset_s", day.sunset)] {
        let seconds = (ours.unwrap() - midnight).num_milliseconds() as f64 / 1000.0;
        find(row).assert_near("value", seconds, SUN_TOLERANCE_S);
    }
}

#[test]
fn temperature_follows_the_standard_atmosphere() {
    /// The table has millikelvins and the formula is exact.
    const TOLERANCE_C: f64 = 0.0005;
    let rows = reference::rows("weather_standard_atmosphere.csv");
    for from in &rows {
        for to in &rows {
            let there_c = from.number("temp_k") - 273.15;
            let here_c = lapsed_c(there_c, from.number("height_m"), to.number("height_m"));
            to.assert_near("temp_k", here_c + 273.15, TOLERANCE_C);
        }
    }
    approx::assert_relative_eq!(LAPSE_C_PER_M * 1000.0, 6.5);
}

#[test]
fn no_place_or_date_upsets_the_sun() {
    let mut found = 0;
    for (year, month, day) in [(1950, 1, 1), (2000, 2, 29), (2026, 10, 25), (2090, 12, 31)] {
        let date = NaiveDate::from_ymd_opt(year, month, day).unwrap();
        for lat_deg in [-90.0, -89.99, -66.6, -45.0, 0.0, 47.0, 66.6, 89.99, 90.0] {
            for lon_deg in [-180.0, -12.3, 0.0, 99.0, 180.0] {
                let times = sun_times(lat_deg, lon_deg, date, chrono_tz::Europe::Vienna);
                found += usize::from(times.sunrise.is_some());
            }
        }
    }
    assert!(found > 40, "{found}");
    let date = NaiveDate::from_ymd_opt(2026, 6, 21).unwrap();
    let nowhere = [
        (91.0, 0.0),
        (0.0, 181.0),
        (f64::NAN, 0.0),
        (0.0, f64::INFINITY),
    ];
    for (lat_deg, lon_deg) in nowhere {
        let times = sun_times(lat_deg, lon_deg, date, chrono_tz::UTC);
        assert_eq!(times, Default::default(), "{lat_deg} {lon_deg}");
    }
    for date in [NaiveDate::MIN, NaiveDate::MAX] {
        let times = sun_times(47.0, 11.0, date, chrono_tz::Europe::Vienna);
        assert_eq!(times, Default::default(), "{date}");
    }
}

/// The series is good to 0.3° of longitude: 0.6 minutes of the Earth's turn, and more where the
/// moon crosses the horizon at a slant.
const MOON_TOLERANCE_S: i64 = 150;
/// The same in high latitudes, where it crosses at a few degrees.
const POLAR_MOON_TOLERANCE_S: i64 = 600;

#[test]
fn the_moon_rises_and_sets_as_an_independent_ephemeris_says() {
    let rows = reference::rows("moon_rise_set.csv");
    assert!(rows.len() >= 30);
    for row in rows {
        let after: DateTime<Utc> = row.text("after").parse().unwrap();
        let (lat_deg, lon_deg) = (row.number("lat_deg"), row.number("lon_deg"));
        let events = moon_events(lat_deg, lon_deg, after, after + chrono::Duration::days(2));
        let tolerance_s = if lat_deg.abs() < 60.0 {
            MOON_TOLERANCE_S
        } else {
            POLAR_MOON_TOLERANCE_S
        };
        for (column, rises) in [("next_rise", true), ("next_set", false)] {
            let ours = events.iter().find(|event| event.rises == rises).unwrap().at;
            let theirs: DateTime<Utc> = row.text(column).parse().unwrap();
            let apart_s = (ours - theirs).num_seconds();
            assert!(apart_s.abs() <= tolerance_s, "{row}: {column} {apart_s} s");
        }
        let lit = moon(after).lit;
        assert!((lit - row.number("lit")).abs() < 0.01, "{row}: {lit}");
    }
}

#[test]
fn the_worked_example_of_the_moon_comes_out() {
    // Meeus, Astronomical Algorithms, examples 47.a and 48.a, 12 April 1992, 0 h TD; from memory
    let body = moon("1992-04-12T00:00:00Z".parse().unwrap());
    assert!((body.longitude_deg - 133.1627).abs() < 0.3, "{body:?}");
    assert!((body.latitude_deg + 3.2291).abs() < 0.2, "{body:?}");
    assert!((body.parallax_deg - 0.99199).abs() < 0.003, "{body:?}");
    assert!((body.lit - 0.6786).abs() < 0.01, "{body:?}");
    assert!(body.is_waxing);
}
