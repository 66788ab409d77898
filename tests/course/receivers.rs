//! Tracks as receivers record them: lengths under jitter against paths of known length, and points
//! from before the first fix.

use sutler::course::Course;
use sutler::inputs::Inputs;
use sutler::inputs::route_gpx::TrackPoint;

use super::sketch::{Noise, at_spot, deg, flat, point, quiet, warned, with_points};
use crate::support::demo;

/// A path by its heading, radians from east, at a distance from its start.
type Heading = fn(f64) -> f64;

const LENGTH_M: f64 = 30_000.0;

fn straight(_: f64) -> f64 {
    0.3
}

/// Bends of some 15 m radius at the tightest.
fn winding(m: f64) -> f64 {
    use std::f64::consts::TAU;
    0.8 * (m * TAU / 300.0).sin() + 0.5 * (m * TAU / 70.0).sin()
}

/// Legs of 80 m with hairpins of 4 m radius.
fn switchbacks(m: f64) -> f64 {
    use std::f64::consts::PI;
    let (leg_m, turn_m) = (80.0, 4.0 * PI);
    let (there, back) = (0.3, PI - 0.3);
    let leg = m.div_euclid(leg_m + turn_m);
    let (from, to) = if leg % 2.0 == 0.0 {
        (there, back)
    } else {
        (back, there)
    };
    let turned = ((m.rem_euclid(leg_m + turn_m) - leg_m) / turn_m).max(0.0);
    from + (to - from) * turned
}

/// Spots of a path at distances that rise, metres east and north.
fn spots_m(heading: Heading, at_m: impl Iterator<Item = f64>) -> Vec<(f64, f64)> {
    const STEP_M: f64 = 0.1;
    let (mut here, mut gone) = ((0.0, 0.0), 0.0);
    at_m.map(|m| {
        while gone < m {
            let step_m = STEP_M.min(m - gone);
            let angle = heading(gone + step_m / 2.0);
            here = (here.0 + step_m * angle.cos(), here.1 + step_m * angle.sin());
            gone += step_m;
        }
        here
    })
    .collect()
}

fn every(step_m: f64) -> impl Iterator<Item = f64> {
    (0..=(LENGTH_M / step_m) as usize).map(move |i| i as f64 * step_m)
}

/// A track of the spots whose errors keep a share of the last, coordinates to so many decimals.
fn recorded(spots_m: &[(f64, f64)], sigma_m: f64, correlation: f64, decimals: i32) -> Inputs {
    let mut noise = Noise::seeded(11);
    let east = noise.correlated(spots_m.len(), correlation, sigma_m);
    let north = noise.correlated(spots_m.len(), correlation, sigma_m);
    let rounded = |value: f64| (value * 10_f64.powi(decimals)).round() / 10_f64.powi(decimals);
    let spots = spots_m.iter().zip(east.iter().zip(&north));
    let points = spots.map(|((x, y), (east, north))| {
        let exact = point((x + east, y + north), Some(500.0));
        TrackPoint {
            lat: rounded(exact.lat),
            lon: rounded(exact.lon),
            ..exact
        }
    });
    with_points(points.collect())
}

fn recorded_m(course: &Course) -> f64 {
    course.survey.route_length_m * (1.0 + course.survey.jitter)
}

/// Jitter of deviation s that keeps a share c of itself gives a step of length d an error of
/// variance q = 2 s² (1 - c) to each side, and so an excess of about q / (2 d²): 3.6, 10, 5 and
/// 3.2 % here, and 4 % for 1 m of fresh jitter.
#[test]
fn jitter_is_not_distance() {
    for (step_m, sigma_m, correlation, most) in [
        (5.0, 3.0, 0.9, 0.006),
        (3.0, 3.0, 0.9, 0.016),
        (2.0, 2.0, 0.95, 0.006),
        (10.0, 4.0, 0.8, 0.012), // of which straight steps between the points of bends are most
        (5.0, 1.0, 0.0, 0.006),
    ] {
        let excess = sigma_m * sigma_m * (1.0 - correlation) / (step_m * step_m);
        for heading in [straight as Heading, winding, switchbacks] {
            let spots_m = spots_m(heading, every(step_m));
            let track = recorded(&spots_m, sigma_m, correlation, 7);
            let course = warned(&track, "recorded with jitter");
            let what = format!("{step_m} {sigma_m}: {:?}", course.survey);
            let length_m = course.profile.length_m();
            assert!((length_m / LENGTH_M - 1.0).abs() < most, "{what}");
            assert!((length_m - course.survey.route_length_m).abs() < 1e-6);
            let over = recorded_m(&course) / LENGTH_M - 1.0;
            // corners between the points take from what jitter adds
            assert!(over < 1.1 * excess && over > excess - 0.02, "{over} {what}");
        }
    }
}

/// Lines as planners draw them: rounded, unevenly set, bending from point to point.
#[test]
fn drawn_lines_keep_their_length() {
    let mut noise = Noise::seeded(12);
    for heading in [straight as Heading, winding, switchbacks] {
        for step_m in [5.0, 10.0, 20.0] {
            for decimals in [5, 6, 7] {
                let course = quiet(&recorded(
                    &spots_m(heading, every(step_m)),
                    0.0,
                    0.0,
                    decimals,
                ));
                assert_eq!(course.survey.jitter, 0.0, "{step_m} {decimals}");
            }
        }
        let mut at_m = 0.0;
        let unevenly = std::iter::repeat_with(|| {
            at_m += 1.0 + noise.normal(8.0).abs();
            at_m
        });
        let unevenly: Vec<f64> = unevenly.take_while(|m| *m < LENGTH_M).collect();
        for sigma_m in [0.0, 0.3] {
            let spots_m = spots_m(heading, unevenly.iter().copied());
            let course = quiet(&recorded(&spots_m, sigma_m, 0.0, 6));
            assert_eq!(course.survey.jitter, 0.0, "{sigma_m}");
        }
    }
}

#[test]
fn shipped_courses_have_no_jitter() {
    for name in ["velprek-50k", "torvena-100k", "wolkenried-100mi"] {
        let inputs = demo::course(name, "finish = \"30:00:00\"");
        let mut notes = sutler::diagnostics::Notes::new();
        let course = Course::build(&inputs, &mut notes).unwrap();
        assert_eq!(course.survey.jitter, 0.0, "{name}");
    }
}

/// Stations snap to where the path passes them, within 2 % of its own length; 10 % are on record.
#[test]
fn stations_lie_right_on_a_track_with_jitter() {
    let spots_m = spots_m(winding, every(3.0));
    let mut track = recorded(&spots_m, 3.0, 0.9, 7);
    track.stations = [2000, 5000, 9000]
        .map(|i| at_spot(&format!("at {i}"), spots_m[i]))
        .to_vec();
    let course = warned(&track, "recorded with jitter");
    for (station, i) in course.stations[1..4].iter().zip([2000.0, 5000.0, 9000.0]) {
        let off_m = station.distance_m - i * 3.0;
        assert!(off_m.abs() < 0.02 * i * 3.0, "{} {off_m}", station.name);
    }
}

fn at_deg(lat: f64, lon: f64) -> TrackPoint {
    TrackPoint {
        lat,
        lon,
        elevation_m: Some(500.0),
        time_s: None,
    }
}

#[test]
fn points_before_the_first_fix_are_named_and_left_out() {
    let clean = flat(20_000.0);
    let expected_m = quiet(&clean).profile.length_m();
    let with = |strays: &[(usize, f64, f64)]| {
        let mut inputs = clean.clone();
        for (index, lat, lon) in strays {
            inputs.track.points.insert(*index, at_deg(*lat, *lon));
        }
        inputs
    };
    for (strays, words) in [
        (&[(0, 0.0, 0.0)][..], "point 1 at 0, 0 lies"),
        (&[(200, 0.0, 0.0)], "point 201 at 0, 0 lies 5"),
        (&[(200, 48.0, 8.0)], "point 201 at 48, 8 lies 222.3"),
        (
            &[(0, 0.0, 0.0), (1, 0.0, 0.0), (300, 0.0, 0.0)],
            "3 points lie far from all others and are left out, first point 1 at 0, 0",
        ),
    ] {
        let course = warned(&with(strays), words);
        assert!((course.profile.length_m() - expected_m).abs() < 1e-6);
    }
}

/// Where the course itself is there, and where a leg is only long.
#[test]
fn points_that_belong_are_kept() {
    let near: Vec<TrackPoint> = (0..=100)
        .map(|i| at_deg(0.0, f64::from(i) * 1e-3))
        .collect();
    assert_eq!(quiet(&with_points(near)).survey.points, 101);
    let (start, top) = (deg((0.0, 0.0)), deg((0.0, 40_000.0)));
    let out_and_back = [start, top, start].map(|(lat, lon)| at_deg(lat, lon));
    let course = warned(&with_points(out_and_back.to_vec()), "no points for");
    assert!(course.profile.length_m() > 79_000.0);
}
