use approx::assert_relative_eq;
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::SeedableRng;

use super::{Line, between, clock, local};
use crate::conditions::{Conditions, Weather};
use crate::diagnostics::{Notes, Spanned};
use crate::inputs::plan_toml::Forecast;
use crate::inputs::{Inputs, WeatherRow};
use crate::time::{Elapsed, RaceClock};

const HOUR_S: f64 = 3600.0;
const DAY_S: f64 = 24.0 * HOUR_S;

/// A row at the start; the rest by the struct's other fields.
fn row(time: &str, temp_c: f64) -> WeatherRow {
    WeatherRow {
        time: local(time),
        place: None,
        elevation_m: None,
        temp_c,
        humidity_pct: Some(50.0),
        wind_kmh: Some(5.0),
        rain_mm_per_h: 0.0,
        thunder: false,
        span: None,
    }
}

fn at_place(place: &str, row: WeatherRow) -> WeatherRow {
    WeatherRow {
        place: Some(place.to_owned()),
        ..row
    }
}

fn at_height(elevation_m: f64, row: WeatherRow) -> WeatherRow {
    WeatherRow {
        elevation_m: Some(elevation_m),
        ..row
    }
}

/// Out from a valley to a hut and back, 1000 m up.
fn out_and_back() -> Line {
    Line {
        from_deg: (47.0, 11.0),
        to_deg: (47.1, 11.2),
        length_m: 40_000.0,
        stations: vec![
            ("Valley", 0.0, 500.0),
            ("Hut", 20_000.0, 1500.0),
            ("Valley", 40_000.0, 500.0),
        ],
    }
}

/// Conditions and the messages of all notes, for a race of a day.
fn over(rows: Vec<WeatherRow>, clock: Option<&RaceClock>) -> (Conditions, Vec<String>) {
    let inputs = Inputs {
        weather: rows,
        ..Inputs::default()
    };
    with(&inputs, clock)
}

fn with(inputs: &Inputs, clock: Option<&RaceClock>) -> (Conditions, Vec<String>) {
    let mut notes = Notes::new();
    let course = out_and_back().course();
    let conditions = Conditions::over(&course, inputs, clock, DAY_S, &mut notes);
    let messages = notes.all().iter().map(|d| d.message.clone()).collect();
    (conditions, messages)
}

/// Hourly rows for a whole day that starts at midnight.
fn day_of(temp_c: impl Fn(u32) -> f64) -> Vec<WeatherRow> {
    (0..24)
        .map(|hour| row(&format!("2026-07-04T{hour:02}:00"), temp_c(hour)))
        .collect()
}

fn july() -> RaceClock {
    clock("2026-07-04T00:00", chrono_tz::Europe::Vienna)
}

#[track_caller]
fn temp_c(conditions: &Conditions, distance_m: f64, elevation_m: f64, elapsed_s: f64) -> f64 {
    let weather = conditions.weather(distance_m, elevation_m, elapsed_s);
    weather.unwrap().temp_c
}

#[test]
fn between_hours_it_is_linear_and_outside_them_constant() {
    let (conditions, notes) = over(day_of(f64::from), Some(&july()));
    assert_eq!(notes, Vec::<String>::new());
    for (elapsed_s, expected) in [
        (0.0, 0.0),
        (1800.0, 0.5),
        (13.25 * HOUR_S, 13.25),
        (23.0 * HOUR_S, 23.0),
        (23.9 * HOUR_S, 23.0),
        (40.0 * HOUR_S, 23.0),
        (-HOUR_S, 0.0),
    ] {
        assert_relative_eq!(temp_c(&conditions, 0.0, 500.0, elapsed_s), expected);
    }
}

#[test]
fn every_quantity_is_interpolated_and_thunder_is_on_the_safe_side() {
    let later = WeatherRow {
        humidity_pct: Some(90.0),
        wind_kmh: Some(25.0),
        rain_mm_per_h: 4.0,
        thunder: true,
        ..row("2026-07-04T01:00", 10.0)
    };
    let rows = vec![
        row("2026-07-04T00:00", 20.0),
        later,
        row("2026-07-04T02:00", 10.0),
    ];
    let (conditions, _) = over(rows, Some(&july()));
    let at = |elapsed_s: f64| conditions.weather(0.0, 500.0, elapsed_s).unwrap();
    let expected = Weather {
        temp_c: 17.5,
        humidity_pct: 60.0,
        wind_kmh: 10.0,
        rain_mm_per_h: 1.0,
        thunder: true,
        rain_chance_pct: None,
    };
    assert_eq!(at(900.0), expected);
    let thunder = [0.0, 1.0, 3600.0, 7199.0, 7200.0, 9000.0].map(|s| at(s).thunder);
    assert_eq!(thunder, [false, true, true, true, false, false]);
}

#[test]
fn the_start_s_row_follows_the_height_by_the_standard_atmosphere() {
    // ICAO Doc 7488: 288.15 K at sea level, 284.900 K at 500 m, 275.150 K at 2000 m.
    let (conditions, _) = over(day_of(|_| 284.9 - 273.15), Some(&july()));
    for (height_m, kelvin) in [(500.0, 284.9), (0.0, 288.15), (2000.0, 275.15)] {
        for distance_m in [0.0, 12_345.0, 40_000.0] {
            let found = temp_c(&conditions, distance_m, height_m, 5.0 * HOUR_S);
            assert_relative_eq!(found, kelvin - 273.15, epsilon = 1e-9);
        }
    }
}

#[test]
fn a_row_with_its_own_height_is_for_that_height() {
    let rows = day_of(|_| 10.0).into_iter().map(|r| at_height(2500.0, r));
    let (conditions, _) = over(rows.collect(), Some(&july()));
    assert_relative_eq!(temp_c(&conditions, 0.0, 500.0, 0.0), 10.0 + 2.0 * 6.5);
}

#[test]
fn between_heights_it_is_linear_and_outside_them_standard() {
    // An inversion: warmer above. The rows at the start count for the start's height.
    let mut rows = day_of(|_| 2.0);
    rows.extend(day_of(|_| 6.0).into_iter().map(|r| at_height(1500.0, r)));
    let (conditions, notes) = over(rows, Some(&july()));
    assert_eq!(notes, Vec::<String>::new());
    for (height_m, expected) in [
        (500.0, 2.0),
        (750.0, 3.0),
        (1500.0, 6.0),
        (2500.0, 6.0 - 6.5),
        (300.0, 2.0 + 1.3),
    ] {
        assert_relative_eq!(
            temp_c(&conditions, 7e3, height_m, 0.0),
            expected,
            epsilon = 1e-9
        );
    }
}

#[test]
fn between_places_it_goes_by_distance_and_a_place_serves_every_visit() {
    let mut rows: Vec<_> = day_of(|_| 20.0);
    rows.extend(day_of(|_| 8.0).into_iter().map(|r| at_place("hut ", r)));
    let (conditions, notes) = over(rows, Some(&july()));
    assert_eq!(notes, Vec::<String>::new());
    // At 1000 m the valley's forecast is 20 - 3.25 and the hut's 8 + 3.25.
    for (distance_m, height_m, expected) in [
        (0.0, 500.0, 20.0),
        (20_000.0, 1500.0, 8.0),
        (40_000.0, 500.0, 20.0),
        (50_000.0, 500.0, 20.0),
        (10_000.0, 1000.0, (16.75 + 11.25) / 2.0),
        (30_000.0, 1000.0, (16.75 + 11.25) / 2.0),
        (35_000.0, 1000.0, 0.75 * 16.75 + 0.25 * 11.25),
    ] {
        let found = temp_c(&conditions, distance_m, height_m, 9e3);
        assert_relative_eq!(found, expected, epsilon = 1e-9);
    }
}

#[test]
fn a_night_of_25_hours_has_its_hour_twice() {
    // Vienna, 25 October 2026: 02:00 to 03:00 comes twice.
    let clock = clock("2026-10-25T00:00", chrono_tz::Europe::Vienna);
    let times = ["00", "01", "02", "02", "03", "04"];
    let row = |(i, hour): (usize, &&str)| row(&format!("2026-10-25T{hour}:00"), i as f64);
    let (conditions, notes) = over(times.iter().enumerate().map(row).collect(), Some(&clock));
    assert!(
        notes.iter().all(|n| n.starts_with("the forecast ends")),
        "{notes:?}"
    );
    for i in 0..50 {
        let hours = f64::from(i) / 10.0;
        assert_relative_eq!(temp_c(&conditions, 0.0, 500.0, hours * HOUR_S), hours);
    }

    // A single row for it is the first; from there to 03:00 two hours pass.
    let once = ["01", "02", "03"].iter().enumerate().map(row).collect();
    let (conditions, _) = over(once, Some(&clock));
    for (hours, expected) in [(1.0, 0.0), (2.0, 1.0), (3.0, 1.5), (4.0, 2.0)] {
        assert_relative_eq!(temp_c(&conditions, 0.0, 500.0, hours * HOUR_S), expected);
    }
}

#[test]
fn a_night_of_23_hours_has_an_hour_less() {
    // Vienna, 29 March 2026: 02:00 to 03:00 is skipped.
    let clock = clock("2026-03-29T00:00", chrono_tz::Europe::Vienna);
    let rows = ["00", "01", "02", "03", "04"]
        .iter()
        .map(|hour| row(&format!("2026-03-29T{hour}:00"), hour.parse().unwrap()));
    let (conditions, notes) = over(rows.collect(), Some(&clock));
    assert_eq!(
        notes[0],
        "forecast row for `2026-03-29T02:00` is not used: the clocks in Europe/Vienna go \
         forward past it"
    );
    for (hours, expected) in [(1.0, 1.0), (1.5, 2.0), (2.0, 3.0), (3.0, 4.0)] {
        assert_relative_eq!(temp_c(&conditions, 0.0, 500.0, hours * HOUR_S), expected);
    }
}

#[test]
fn a_clock_change_of_half_an_hour_is_one_too() {
    // Lord Howe Island, 5 April 2026: at 02:00 the clocks go back to 01:30.
    let clock = clock("2026-04-05T00:00", chrono_tz::Australia::Lord_Howe);
    let rows = [
        ("00:00", 0.0),
        ("01:30", 1.5),
        ("01:30", 2.0),
        ("03:00", 3.5),
    ]
    .map(|(time, temp_c)| row(&format!("2026-04-05T{time}"), temp_c));
    let (conditions, _) = over(rows.to_vec(), Some(&clock));
    for hours in [0.0, 1.0, 1.5, 1.9, 2.0, 3.0, 3.5] {
        assert_relative_eq!(temp_c(&conditions, 0.0, 500.0, hours * HOUR_S), hours);
    }
}

#[test]
fn the_plan_s_forecast_serves_where_there_are_no_usable_rows() {
    let mut inputs = Inputs::default();
    inputs.plan.forecast = Some(Forecast {
        temp_c: 18.0,
        humidity_pct: Some(60.0),
        wind_kmh: Some(12.0),
        rain_mm_per_h: 0.5,
        rain_chance_pct: None,
    });
    let (conditions, notes) = with(&inputs, None);
    assert_eq!(notes, Vec::<String>::new());
    assert!(conditions.knows_weather() && !conditions.knows_daylight());
    let here = conditions.weather(3e3, 1500.0, 1e5).unwrap();
    assert_relative_eq!(here.temp_c, 18.0 - 6.5);
    assert_relative_eq!(here.wind_kmh, 12.0);

    inputs.weather = day_of(|_| 30.0);
    let (conditions, notes) = with(&inputs, None);
    assert_eq!(
        notes,
        ["the forecast by the hour is not used: the start is not known"]
    );
    assert_relative_eq!(temp_c(&conditions, 0.0, 500.0, 0.0), 18.0);

    // Last year's forecast.
    let zone = chrono_tz::Europe::Vienna;
    let (conditions, notes) = with(&inputs, Some(&clock("2027-07-04T00:00", zone)));
    assert_eq!(notes.len(), 1);
    assert!(notes[0].contains("it is for Sat 2026-07-04 00:00 to Sat 2026-07-04 23:00"));
    assert_relative_eq!(temp_c(&conditions, 0.0, 500.0, 0.0), 18.0);
    let (conditions, _) = with(&inputs, Some(&clock("2025-07-04T00:00", zone)));
    assert_relative_eq!(temp_c(&conditions, 0.0, 500.0, 0.0), 18.0);
}

#[test]
fn a_forecast_that_leaves_out_part_of_the_race_is_said() {
    let zone = chrono_tz::Europe::Vienna;
    let early = clock("2026-07-03T20:00", zone);
    let (conditions, notes) = over(day_of(|_| 12.0), Some(&early));
    assert_eq!(
        notes,
        [
            "the forecast begins at Sat 2026-07-04 00:00, after the start at Fri 2026-07-03 20:00: \
          its first hour is used until then"
        ]
    );
    assert_relative_eq!(temp_c(&conditions, 0.0, 500.0, 0.0), 12.0);

    let late = clock("2026-07-04T06:00", zone);
    let mut inputs = Inputs {
        weather: day_of(|_| 12.0),
        ..Inputs::default()
    };
    let (_, notes) = with(&inputs, Some(&late));
    assert_eq!(
        notes,
        [
            "the forecast ends at Sat 2026-07-04 23:00, before the race at Sun 2026-07-05 06:00: \
          its last hour is used from then on"
        ]
    );
    // What counts is the finish that is planned, not the longest time allowed.
    inputs.plan.finish = Some(Spanned::unwritten(Elapsed::from_secs(17 * 3600)));
    assert_eq!(with(&inputs, Some(&late)).1, Vec::<String>::new());
}

#[test]
fn rows_that_cannot_be_placed_are_said_and_left_out() {
    let mut rows = day_of(|_| 12.0);
    rows.push(row("2026-07-04T03:00", 40.0));
    rows.push(at_place("Hutt", row("2026-07-04T03:00", 40.0)));
    rows.push(at_place("Hutt", row("2026-07-04T04:00", 40.0)));
    rows.extend(day_of(|_| 5.0).into_iter().map(|r| at_place("Hut", r)));
    rows.push(at_height(3000.0, row("2026-07-04T03:00", 40.0)));
    let (conditions, notes) = over(rows, Some(&july()));
    assert_eq!(
        notes,
        [
            "forecast rows for `Hutt` are not used: the course has no such place",
            "forecast rows by height alone are not used beside rows by place",
            "forecast row for `2026-07-04T03:00` is not used: the same time and place came before",
        ]
    );
    assert_relative_eq!(temp_c(&conditions, 0.0, 500.0, 3.0 * HOUR_S), 12.0);
    assert_relative_eq!(temp_c(&conditions, 2e4, 1500.0, 3.0 * HOUR_S), 5.0);

    let nothing = vec![at_place("Elsewhere", row("2026-07-04T03:00", 40.0))];
    let (conditions, notes) = over(nothing, Some(&july()));
    assert_eq!(notes.len(), 1);
    assert!(!conditions.knows_weather());
}

#[test]
fn weather_changes_little_in_little_time_and_way() {
    let mut random = ChaCha8Rng::seed_from_u64(4);
    // Swings of 10 degrees an hour at the most, two places 20 km apart, heights by the lapse.
    let swing = |random: &mut ChaCha8Rng| between(random, 0.0, 10.0);
    let mut rows = Vec::new();
    for hour in (0..24).rev() {
        let time = format!("2026-07-04T{hour:02}:00");
        rows.push(row(&time, swing(&mut random)));
        rows.push(at_place(
            "Hut",
            at_height(1800.0, row(&time, swing(&mut random))),
        ));
        rows.push(at_place("Hut", row(&time, swing(&mut random))));
    }
    let (conditions, _) = over(rows, Some(&july()));
    for _ in 0..5000 {
        let x = between(&mut random, -1e3, 42_000.0);
        let z = between(&mut random, 0.0, 2500.0);
        let t = between(&mut random, -HOUR_S, 26.0 * HOUR_S);
        let here = temp_c(&conditions, x, z, t);
        assert!((-20.0..30.0).contains(&here), "{here}");
        assert!((temp_c(&conditions, x, z, t + 1.0) - here).abs() <= 2.0 * 10.0 / HOUR_S);
        assert!((temp_c(&conditions, x + 1.0, z, t) - here).abs() <= 35.0 / 20_000.0);
        assert!((temp_c(&conditions, x, z + 0.1, t) - here).abs() <= 0.1 * 10.0 / 300.0 + 1e-9);
    }
}

/// Two lines follow the sun: the night's at sunrise, the day's two hours after solar noon, half way
/// between them half way (the half cosine of de Wit and others 1978, from memory). On 2026-06-21 at
/// 46.5 N 7.0 E the sun rises at 03:41 and sets at 19:30 UTC, noon at 11:34 (NOAA's published
/// equations, to the minute, worked out by hand).
#[test]
fn two_lines_follow_the_sun() {
    use crate::conditions::diurnal::warmth;
    use chrono::TimeZone;
    let zone = chrono_tz::Europe::Zurich;
    let at = |hour, minute| {
        let utc = chrono::Utc
            .with_ymd_and_hms(2026, 6, 21, hour, minute, 0)
            .unwrap();
        warmth(46.5, 7.0, utc.with_timezone(&zone))
    };
    for (hour, minute, expected) in [(3, 41, 0.0), (13, 34, 1.0), (8, 38, 0.5), (20, 37, 0.5)] {
        let found = at(hour, minute);
        assert!((found - expected).abs() < 0.03, "{hour}:{minute}: {found}");
    }
    // no jump anywhere, at midnight on the wall and by UTC neither, nor where the sun never sets
    for (lat, lon) in [(46.5, 7.0), (78.2, 15.6), (-44.0, 170.0), (64.0, -150.0)] {
        let start = chrono::Utc.with_ymd_and_hms(2026, 3, 18, 0, 0, 0).unwrap();
        let series: Vec<f64> = (0..4000)
            .map(|step| start + chrono::TimeDelta::minutes(3 * step))
            .map(|utc| warmth(lat, lon, utc.with_timezone(&zone)))
            .collect();
        let jump = series
            .windows(2)
            .map(|pair| (pair[1] - pair[0]).abs())
            .fold(0.0, f64::max);
        assert!(jump < 0.02, "{lat} {lon}: {jump}");
        assert!(series.iter().all(|share| (0.0..=1.0).contains(share)));
    }
}
