//! The solver on courses whose answer is known.

use crate::conditions::Conditions;
use crate::course::Course;
use crate::course::tests::slopes;
use crate::diagnostics::Notes;
use crate::inputs::Inputs;
use crate::inputs::plan_toml::Forecast;
use crate::inputs::surfaces_csv::Surface;

use super::cost::by_name;
use super::{
    Fade, Goal, Impossible, Pacing, PacingSettings, finish_of_effort_s, slowing, slowing_exponent,
    solve,
};

/// Hand-computed hours carry four decimals.
const HOURS: f64 = 1e-4;

/// 10 km level, 5 km at +10 %, 5 km at -10 %, 5 km at +20 %, 5 km at -20 %, a station after each.
fn five_slopes() -> Course {
    slopes(
        &[
            (10_000.0, 0.0),
            (5000.0, 0.1),
            (5000.0, -0.1),
            (5000.0, 0.2),
            (5000.0, -0.2),
        ],
        Surface::Paved,
    )
}

fn solved(course: &Course, fade: f64, finish_s: f64, stops_s: Vec<f64>) -> Pacing {
    let conditions = Conditions::over(
        course,
        &Inputs::default(),
        None,
        finish_s,
        &mut Notes::new(),
    );
    let settings = PacingSettings {
        cost: by_name("graded").expect("it is built in"),
        downhill_cap: 1.10,
        fade: Fade::Power { exponent: fade },
        altitude_per_km: 0.0,
        ..PacingSettings::default()
    };
    solve(course, &conditions, &settings, &Goal { finish_s, stops_s }).expect("it can be run")
}

/// The worked case of the default model: target 6 h, 5 min stops after the first climb and the
/// second; computed by hand from the cited formulas.
#[test]
fn worked_case() {
    let course = five_slopes();
    let expected = [
        (1.0, [1.4453, 2.6434, 3.3837, 5.1461]),
        (1.08, [1.2927, 2.4812, 3.2367, 5.0891]),
        (1.13, [1.2056, 2.3849, 3.1482, 5.0538]),
    ];
    for (fade, hours) in expected {
        let pacing = solved(
            &course,
            fade,
            6.0 * 3600.0,
            vec![0.0, 0.0, 300.0, 0.0, 300.0, 0.0],
        );
        assert!(
            (pacing.level_speed_mps - 1.9219).abs() < 1e-4,
            "{}",
            pacing.level_speed_mps
        );
        for (arrival_s, expected_h) in pacing.arrival_s[1..].iter().zip(hours) {
            assert!(
                (arrival_s / 3600.0 - expected_h).abs() < HOURS,
                "{arrival_s} {expected_h}"
            );
        }
        assert!((pacing.arrival_s[5] - 6.0 * 3600.0).abs() < 1e-9);
    }
}

/// Twice the target is twice every moving time where no hour of the day matters.
#[test]
fn time_scales_with_the_target_where_all_is_run() {
    let course = slopes(&[(8000.0, 0.03), (8000.0, -0.03)], Surface::Paved);
    let fast = solved(&course, 1.05, 6000.0, vec![0.0; 3]);
    let slow = solved(&course, 1.05, 12_000.0, vec![0.0; 3]);
    assert!((slow.arrival_s[1] / fast.arrival_s[1] - 2.0).abs() < 1e-6);
}

#[test]
fn a_stronger_fade_never_delays_an_arrival_on_the_way() {
    let course = five_slopes();
    let mut before: Option<Pacing> = None;
    for hundredth in 100..=125 {
        let now = solved(
            &course,
            f64::from(hundredth) / 100.0,
            21_600.0,
            vec![0.0; 6],
        );
        if let Some(before) = before {
            let pairs = now.arrival_s.iter().zip(&before.arrival_s);
            assert!(pairs.clone().all(|(now, before)| *now <= before + 1e-3));
        }
        before = Some(now);
    }
}

/// Cutting a segment in two with a station that takes no time moves no other arrival.
#[test]
fn a_station_without_a_stop_changes_nothing() {
    let whole = slopes(&[(9000.0, 0.08), (9000.0, -0.12)], Surface::Rocky);
    let cut = slopes(
        &[(9000.0, 0.08), (3013.0, -0.12), (5987.0, -0.12)],
        Surface::Rocky,
    );
    let whole = solved(&whole, 1.08, 14_400.0, vec![0.0; 3]);
    let cut = solved(&cut, 1.08, 14_400.0, vec![0.0; 4]);
    assert!((whole.arrival_s[1] - cut.arrival_s[1]).abs() < 0.01);
}

/// Standing of a runner who stands as usual: `11 % (1 - e^(-10/10))` = 6.9533 % of 10 h, of which
/// 13, 42 and 76 % lie before the quarters of the distance, by hand.
#[test]
fn standing_is_spread_over_the_way() {
    let course = slopes(&[(10_000.0, 0.0); 4], Surface::Paved);
    let pacing = standing(&course, Some(1.0), vec![0.0; 5]);
    let stood_h = 0.11 * (1.0 - (-1.0_f64).exp()) * 10.0;
    assert!((stood_h - 0.69533).abs() < 1e-5);
    for (quarter, stood_before) in [(1, 0.13), (2, 0.42), (3, 0.76), (4, 1.0)] {
        let moved_h = f64::from(quarter) / 4.0 * (10.0 - stood_h);
        let expected_h = moved_h + stood_before * stood_h;
        let arrival_h = pacing.arrival_s[quarter as usize] / 3600.0;
        assert!((arrival_h - expected_h).abs() < HOURS, "{arrival_h}");
    }
}

/// A plan that names as many minutes as the runner stands leaves nothing to spread.
#[test]
fn planned_stops_count_towards_standing() {
    let course = slopes(&[(10_000.0, 0.0); 4], Surface::Paved);
    let stops_s = vec![0.0, 900.0, 900.0, 900.0, 0.0];
    let told = standing(&course, Some(1.0), stops_s.clone());
    let untold = standing(&course, None, stops_s);
    assert_eq!(told.arrival_s, untold.arrival_s);
    let some = standing(&course, Some(1.0), vec![0.0, 900.0, 0.0, 0.0, 0.0]);
    let moving_s: f64 = untold.segments.iter().map(|segment| segment.moving_s).sum();
    let with_rest_s: f64 = some.segments.iter().map(|segment| segment.moving_s).sum();
    // all but the 15 minutes, the rest of 41.7 min stood on the way
    assert!((with_rest_s - (36_000.0 - 900.0)).abs() < 0.1);
    assert!(with_rest_s > moving_s);
}

fn standing(course: &Course, stop_multiplier: Option<f64>, stops_s: Vec<f64>) -> Pacing {
    let conditions = Conditions::over(course, &Inputs::default(), None, 36e3, &mut Notes::new());
    let settings = PacingSettings {
        fade: Fade::Power { exponent: 1.0 },
        stop_multiplier,
        altitude_per_km: 0.0,
        ..PacingSettings::default()
    };
    let goal = Goal {
        finish_s: 36_000.0,
        stops_s,
    };
    solve(course, &conditions, &settings, &goal).expect("it can be run")
}

#[test]
fn targets_beyond_anyone_are_refused_with_the_bound() {
    let course = slopes(&[(10_000.0, 0.0)], Surface::Paved);
    let conditions = Conditions::over(&course, &Inputs::default(), None, 1e5, &mut Notes::new());
    let settings = PacingSettings {
        altitude_per_km: 0.0,
        ..PacingSettings::default()
    };
    let ask = |finish_s: f64, stop_s: f64| {
        let goal = Goal {
            finish_s,
            stops_s: vec![stop_s, 0.0],
        };
        solve(&course, &conditions, &settings, &goal).map(|_| ())
    };
    // 10 km at 5.8 m/s
    match ask(1700.0, 0.0) {
        Err(Impossible::TooFast { fastest_s }) => {
            assert!((fastest_s - 10_000.0 / 5.8).abs() < 1e-6);
        }
        other => panic!("{other:?}"),
    }
    assert_eq!(ask(1725.0, 0.0), Ok(()));
    assert!(matches!(
        ask(60_000.0, 0.0),
        Err(Impossible::TooSlow { .. })
    ));
    assert!(matches!(
        ask(3600.0, 4000.0),
        Err(Impossible::TooFast { .. })
    ));
}

/// A slower target makes no step quicker, whatever the course and the runner's own fade: time for
/// a step entered after a share `y` of the effort grows with `T · slowing(y T) / mean slowing(T)`,
/// and so at least as `T / mean slowing(T)`, where the slowing at the start does not grow at all.
#[test]
fn the_fade_of_a_slower_target_eats_up_no_step() {
    const PARTS: usize = 500;
    let first_step = |effort_m: f64, finish_s: f64, strength: f64| {
        let exponent = slowing_exponent(effort_m, finish_s, strength);
        let hours = |part: usize| (part as f64 + 0.5) / PARTS as f64 * finish_s / 3600.0;
        let slowed: f64 = (0..PARTS).map(|p| slowing(hours(p), exponent)).sum();
        finish_s / slowed
    };
    for strength in [0.0, 0.5, 0.9, 1.0, 1.2, 2.0, 3.0, 4.0] {
        for km in [5.0, 20.0, 50.0, 100.0, 160.0, 249.0, 251.0, 400.0, 1000.0] {
            for tenth_kmh in 8..200 {
                let (effort_m, speed_mps) = (km * 1000.0, f64::from(tenth_kmh) / 36.0);
                let finish_s = effort_m / speed_mps;
                let (now, later) = (
                    first_step(effort_m, finish_s, strength),
                    first_step(effort_m, finish_s * 1.001, strength),
                );
                // a thousandth more in all is at least a ninth of a thousandth more here
                assert!(
                    later > now * 1.00011,
                    "{strength} {km} km {tenth_kmh} {now} {later}"
                );
            }
        }
    }
}

/// A level hundred miles, a station every tenth: more in the target is more everywhere.
#[test]
fn a_later_target_is_later_at_every_tenth() {
    let course = slopes(&[(16_000.0, 0.0); 10], Surface::SmoothTrail);
    let conditions = Conditions::over(&course, &Inputs::default(), None, 2e5, &mut Notes::new());
    let mut before: Option<Pacing> = None;
    for minute in (11 * 60..36 * 60).step_by(7) {
        let goal = Goal {
            finish_s: f64::from(minute) * 60.0,
            stops_s: vec![0.0; 11],
        };
        let now =
            solve(&course, &conditions, &PacingSettings::default(), &goal).expect("it can be run");
        if let Some(before) = before {
            let pairs = now.arrival_s[1..].iter().zip(&before.arrival_s[1..]);
            // seven minutes in all; a hundredth of a second is the solver's
            assert!(pairs.clone().all(|(now, before)| *now > before + 1.0));
        }
        before = Some(now);
    }
}

/// Speeds in the parts of a race over that of the first part, for the fade of the recordings.
fn speeds(course: &Course, hours: f64) -> Vec<f64> {
    let conditions = Conditions::over(course, &Inputs::default(), None, 2e5, &mut Notes::new());
    let settings = PacingSettings {
        altitude_per_km: 0.0,
        ..PacingSettings::default()
    };
    let goal = Goal {
        finish_s: hours * 3600.0,
        stops_s: vec![0.0; course.stations.len()],
    };
    let pacing = solve(course, &conditions, &settings, &goal).expect("it can be run");
    let parts = pacing.segments.iter();
    let each: Vec<f64> = parts.map(|part| part.effort_m / part.moving_s).collect();
    each.iter().map(|speed| speed / each[0]).collect()
}

/// Published positive splits of races that the fade was not fitted to.
#[test]
fn published_positive_splits() {
    // the top ten of 100-km road races, 38, 21, 18 and 23 km: each part at 98.0 ± 2.1, 94.6 ± 3.4
    // and 95.5 ± 3.8 % of the speed of the one before (Knechtle 2015, doi 10.2147/OAJSM.S79568);
    // 7 h is a usual time for them (from memory)
    let road = [38e3, 18e3, 21e3, 23e3].map(|length_m| (length_m, 0.0));
    let top = speeds(&slopes(&road, Surface::Paved), 7.0);
    let published = [(0.980, 0.021), (0.946, 0.034), (0.955, 0.038)];
    for (pair, (ratio, deviation)) in top.windows(2).zip(published) {
        assert!(
            (pair[1] / pair[0] - ratio).abs() < 1.5 * deviation,
            "{top:?}"
        );
    }
    // within 15 % of their first speed stay the fastest of 100-km world championships (Lambert
    // 2004, J Sports Sci Med 3:167)
    assert!(top.iter().all(|speed| *speed > 0.85), "{top:?}");
    // quarters of the effort of a 98-km race with 3100 m of climb in two years, finishers of 16 to
    // 19 h (Ferenci, open splits of 2022 and 2023, stops included: 0.797, 0.761, 0.704 and 0.828,
    // 0.763, 0.740 of the first; the middle half of runners spans 0.09 in the last)
    let hill = [(3100.0, 0.0), (1290.0, 0.12), (1290.0, -0.12), (450.0, 0.0)];
    let quarters = slopes(&hill.repeat(16), Surface::Paved);
    let steps = speeds(&quarters, 17.5);
    let quarter = |q: usize| {
        // a quarter is 16 parts, weighed by what they take
        let part = &steps[16 * q..16 * (q + 1)];
        16.0 / part.iter().map(|speed| speed.recip()).sum::<f64>()
    };
    for (q, published) in [(1, 0.8125), (2, 0.762), (3, 0.722)] {
        let ours = quarter(q) / quarter(0);
        assert!((ours - published).abs() < 0.045, "{q}: {ours}");
    }
}

/// 28 °C all day are 13 °C above 15: by hand, 0.8 % each, 10.4 % more moving for the same effort,
/// and at 2300 m 1 / (1 - 0.04 * 2), 8.7 % more; the stops are as planned.
#[test]
fn the_same_effort_takes_longer_in_the_heat_and_up_high() {
    let course = slopes(&[(20_000.0, 0.0), (20_000.0, 0.0)], Surface::Paved);
    let mut inputs = Inputs::default();
    inputs.plan.forecast = Some(Forecast {
        temp_c: 28.0,
        humidity_pct: Some(50.0),
        wind_kmh: Some(5.0),
        rain_mm_per_h: 0.0,
        rain_chance_pct: None,
    });
    let hot = Conditions::over(&course, &inputs, None, 9e4, &mut Notes::new());
    assert!(hot.knows_weather());
    let settings = PacingSettings {
        fade: Fade::Power { exponent: 1.0 },
        ..PacingSettings::default()
    };
    let goal = Goal {
        finish_s: 5.0 * 3600.0,
        stops_s: vec![0.0, 600.0, 0.0],
    };
    let cool = PacingSettings {
        heat_per_c: 0.0,
        ..settings
    };
    let finish_s = finish_of_effort_s(&course, &hot, &settings, &goal, &cool);
    let by_hand_s = (5.0 * 3600.0 - 600.0) * 1.104 + 600.0;
    assert!((finish_s.expect("it can be run") - by_hand_s).abs() < 0.1);
    let same_s = finish_of_effort_s(&course, &hot, &settings, &goal, &settings);
    assert!((same_s.expect("it can be run") - goal.finish_s).abs() < 0.1);

    let mut high = course;
    high.profile.elevation_m.fill(2300.0);
    let mild = Conditions::over(&high, &Inputs::default(), None, 9e4, &mut Notes::new());
    let low = PacingSettings {
        altitude_per_km: 0.0,
        ..settings
    };
    let finish_s = finish_of_effort_s(&high, &mild, &settings, &goal, &low);
    let by_hand_s = (5.0 * 3600.0 - 600.0) / (1.0 - 0.04 * 2.0) + 600.0;
    assert!((finish_s.expect("it can be run") - by_hand_s).abs() < 0.1);
}
