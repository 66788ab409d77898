//! Steps of a way at a steady pace.

use super::*;
use crate::course::Profile;
use crate::course::tests::{course, station};
use crate::diagnostics::Notes;
use crate::inputs::Inputs;
use crate::inputs::surfaces_csv::Surface;

const SPACING_M: f64 = 100.0;
const SPEED_MPS: f64 = 2.0;
const STOP_S: f64 = 900.0;

/// Twelve flat kilometres with one station.
fn flat(station_m: f64) -> Course {
    let nodes = 121;
    let profile = Profile {
        spacing_m: SPACING_M,
        elevation_m: vec![0.0; nodes],
        position_deg: vec![(46.0, 8.0); nodes],
        surface: vec![Surface::default(); nodes - 1],
    };
    let ends = [("Start", 0.0), ("Ford", station_m), ("Finish", 12_000.0)];
    course(
        profile,
        ends.map(|(name, at_m)| station(name, at_m)).to_vec(),
    )
}

/// Between two nodes of the profile; on a node; on one, but for the last digit.
const STATIONS_M: [f64; 3] = [5050.0, 5000.0, 5_000.000_000_001];

/// The steps of the stop, of the way after it, and of the way before.
fn steps(station_m: f64) -> (Vec<Spell>, Vec<Spell>, Vec<Spell>) {
    let course = flat(station_m);
    let conditions = Conditions::over(&course, &Inputs::default(), None, 9e4, &mut Notes::new());
    let stop_s = |at_m: f64| if at_m > station_m - 1e-6 { STOP_S } else { 0.0 };
    let node_s: Vec<f64> = (0..121)
        .map(|i| f64::from(i) * SPACING_M)
        .map(|at_m| at_m / SPEED_MPS + stop_s(at_m))
        .collect();
    let arrival_s = station_m / SPEED_MPS;
    let along = Along {
        course: &course,
        conditions: &conditions,
        arrival_s: &[0.0, arrival_s, 6900.0],
        departure_s: &[0.0, arrival_s + STOP_S, 6900.0],
        node_s: &node_s,
    };
    (along.stop(1), along.way(1), along.way(0))
}

#[test]
fn steps_add_up_to_stop_and_way() {
    for at_m in STATIONS_M {
        let (stop, after, before) = steps(at_m);
        let seconds = |steps: &[Spell]| steps.iter().map(|s| s.hours).sum::<f64>() * S_PER_HOUR;
        assert!((seconds(&stop) - STOP_S).abs() < 1e-6);
        assert!((seconds(&before) - at_m / SPEED_MPS).abs() < 1e-6);
        assert!((seconds(&after) - (12_000.0 - at_m) / SPEED_MPS).abs() < 1e-6);
    }
}

#[test]
fn a_stop_slows_no_step_of_the_way() {
    for at_m in STATIONS_M {
        let (stop, after, before) = steps(at_m);
        assert!(stop.iter().all(|step| step.speed_mps == 0.0));
        for step in before.iter().chain(&after) {
            assert!((step.speed_mps - SPEED_MPS).abs() < 1e-6, "{step:?}");
        }
    }
}

#[test]
fn the_weather_is_looked_up_at_least_every_ten_minutes_or_so() {
    let (stop, after, before) = steps(STATIONS_M[0]);
    let node_s = SPACING_M / SPEED_MPS;
    for step in stop.iter().chain(&before).chain(&after) {
        assert!(step.hours * S_PER_HOUR < LOOK_EVERY_S + node_s, "{step:?}");
    }
}
