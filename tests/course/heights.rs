//! Heights: what is repaired, how much is smoothed, and what the climb adds up to.

use sutler::course::{Course, climb_and_descent_m};
use sutler::diagnostics::Spanned;
use sutler::inputs::Inputs;
use sutler::inputs::course_toml::HeightSource;

use super::sketch::{Noise, build, quiet, relief, straight, warned};
use crate::support::reference;

/// Independent normal noise on the level adds σ/√π per sample to a raw sum: the mean of the larger
/// of 0 and a normal difference of deviation √2 σ is √2 σ/√(2π).
#[test]
fn raw_noise_adds_its_closed_form() {
    let mut noise = Noise::seeded(1);
    let (sigma, samples) = (1.5, 200_000);
    let heights: Vec<f64> = (0..samples).map(|_| noise.normal(sigma)).collect();
    let (up_m, down_m) = climb_and_descent_m(&heights, 0.0);
    let expected_m = sigma / std::f64::consts::PI.sqrt() * samples as f64;
    const TOLERANCE: f64 = 0.01; // three standard errors of the mean of so many samples
    assert!(
        (up_m / expected_m - 1.0).abs() < TOLERANCE,
        "{up_m} {expected_m}"
    );
    assert!(
        (down_m / expected_m - 1.0).abs() < TOLERANCE,
        "{down_m} {expected_m}"
    );
}

#[test]
fn jitter_below_the_threshold_adds_nothing() {
    let heights: Vec<f64> = (0..21).map(|i| f64::from(i % 2) * 2.0).collect();
    assert_eq!(climb_and_descent_m(&heights, 0.0), (20.0, 20.0));
    assert_eq!(climb_and_descent_m(&heights, 3.0), (0.0, 0.0));
    assert_eq!(climb_and_descent_m(&heights, 2.0), (20.0, 20.0));
}

#[test]
fn turning_points_not_anchors() {
    // An anchor that moves in steps of the threshold would lose what is left over at the top.
    let heights = [0.0, 4.0, 8.0, 12.0, 14.0, 10.0, 6.0, 5.5, 9.0, 9.5];
    assert_eq!(climb_and_descent_m(&heights, 4.0), (18.0, 8.5));
    assert_eq!(climb_and_descent_m(&heights, 5.0), (14.0, 8.5));
    assert_eq!(climb_and_descent_m(&heights, 15.0), (0.0, 0.0));
    assert_eq!(climb_and_descent_m(&[], 3.0), (0.0, 0.0));
    assert_eq!(climb_and_descent_m(&[7.0], 3.0), (0.0, 0.0));
}

/// Ten hills of 100 m at 10 %, a height every 10 m.
fn ten_hills() -> Vec<f64> {
    (0..=2000)
        .map(|i| 100.0 - 100.0 * ((f64::from(i) / 100.0) % 2.0 - 1.0).abs())
        .collect()
}

#[test]
fn ten_noisy_hills_against_a_simulation() {
    const RUNS: usize = 30;
    const TOLERANCE: f64 = 0.015; // three standard errors of the widest column over these runs
    let mut noise = Noise::seeded(2);
    for row in reference::rows("hill_climb.csv") {
        let mut sums = [0.0; 5];
        for _ in 0..RUNS {
            let error = noise.correlated(2001, row.number("correlation"), row.number("sigma_m"));
            let heights: Vec<f64> = ten_hills().iter().zip(error).map(|(h, e)| h + e).collect();
            for (sum, t) in sums.iter_mut().zip([0.0, 1.0, 3.0, 5.0, 10.0]) {
                *sum += climb_and_descent_m(&heights, t).0 / RUNS as f64;
            }
        }
        for (column, ours) in ["raw", "t1", "t3", "t5", "t10"].into_iter().zip(sums) {
            row.assert_near(column, ours, TOLERANCE * row.number(column));
        }
    }
}

/// Ground with a known gradient everywhere.
struct Ground {
    name: &'static str,
    height_m: fn(f64) -> f64,
    climb_per_km: f64,
}

const GROUNDS: [Ground; 3] = [
    Ground {
        name: "ten sharp hills",
        height_m: |x| 600.0 - 100.0 * ((x / 1000.0) % 2.0 - 1.0).abs(),
        climb_per_km: 50.0,
    },
    Ground {
        name: "long waves",
        height_m: |x| 800.0 - 150.0 * (x * std::f64::consts::TAU / 4000.0).cos(),
        climb_per_km: 75.0,
    },
    Ground {
        name: "one even slope",
        height_m: |x| 300.0 + 0.05 * x,
        climb_per_km: 50.0,
    },
];
const GROUND_M: f64 = 40_000.0;

fn recorded(ground: &Ground, step_m: f64, sigma_m: f64, seed: u64) -> Inputs {
    let mut noise = Noise::seeded(seed);
    let points = (GROUND_M / step_m) as usize + 1;
    straight(
        step_m,
        (0..points).map(|i| Some((ground.height_m)(i as f64 * step_m) + noise.normal(sigma_m))),
    )
}

/// Root mean square error of the gradient of a grid step.
fn gradient_error(course: &Course, ground: &Ground) -> f64 {
    let profile = &course.profile;
    // The sketch's metres differ from the ellipsoid's by less than 0.1 %.
    let scale = GROUND_M / profile.length_m();
    let true_m = |i: usize| (ground.height_m)(i as f64 * profile.spacing_m * scale);
    let steps = profile.surface.len();
    let squares: f64 = (0..steps)
        .map(|i| profile.gradient(i) - (true_m(i + 1) - true_m(i)) / profile.spacing_m)
        .map(|error| error * error)
        .sum();
    (squares / steps as f64).sqrt()
}

/// The gradient is what paces are made of. Noise of deviation s, a height every 10 m, left as it
/// is gives a 25 m step a gradient error of √2 s / 25: 2.8, 5.7 and 11.3 % for 0.5, 1 and 2 m.
#[test]
fn gradients_mean_something_under_noise() {
    for ground in &GROUNDS {
        for (sigma_m, most) in [(0.0, 0.007), (0.5, 0.016), (1.0, 0.020), (2.0, 0.026)] {
            let course = quiet(&recorded(ground, 10.0, sigma_m, 5));
            let error = gradient_error(&course, ground);
            assert!(error < most, "{} {sigma_m}: {error}", ground.name);
            let as_recorded = std::f64::consts::SQRT_2 * sigma_m / 25.0;
            assert!(
                sigma_m == 0.0 || error < 0.6 * as_recorded,
                "{} {sigma_m}",
                ground.name
            );
        }
    }
}

/// Sharp tops lose what the average rounds off; smooth ground next to nothing.
#[test]
fn climb_is_near_the_truth_under_noise() {
    for ground in &GROUNDS {
        for step_m in [3.0, 10.0, 40.0] {
            for sigma_m in [0.0, 0.5, 1.0, 2.0] {
                let course = quiet(&recorded(ground, step_m, sigma_m, 6));
                let (climb_m, _) = course.climb_and_descent_m();
                let ratio = climb_m / (ground.climb_per_km * GROUND_M / 1000.0);
                let least = if ground.name == "ten sharp hills" {
                    0.93
                } else {
                    0.985
                };
                let what = format!("{} {step_m} {sigma_m}: {ratio}", ground.name);
                assert!((least..1.015).contains(&ratio), "{what}");
                // What a raw sum would have said.
                let raw = course.survey.raw_climb_m / (ground.climb_per_km * GROUND_M / 1000.0);
                assert!(sigma_m < 1.0 || step_m > 10.0 || raw > 1.1, "{what} {raw}");
            }
        }
    }
}

#[test]
fn clean_heights_are_not_smoothed_and_noisy_ones_more() {
    let window_m = |sigma_m| {
        quiet(&recorded(&GROUNDS[0], 10.0, sigma_m, 7))
            .survey
            .repairs
            .window_m
    };
    assert!(window_m(0.0) <= 30.0); // about a grid step
    assert!(window_m(0.5) > window_m(0.0));
    assert!(window_m(2.0) > window_m(0.5));
    assert!(window_m(5.0) <= 150.0);
}

/// The five-diagonal solution and the choice of its strength against a dense one.
#[test]
fn the_smoother_agrees_with_a_dense_solution() {
    const SPACING_M: f64 = 24.9;
    const TOLERANCE_M: f64 = 1e-4; // a metre of the sketch is one of the ellipsoid to 1e-6
    let rows = reference::rows("smoothed_heights.csv");
    for name in ["a", "b", "c"] {
        let rows: Vec<_> = rows.iter().filter(|r| r.text("profile") == name).collect();
        assert_eq!(rows.len(), 201);
        let mut inputs = Inputs::default();
        // Along the equator a degree is exactly a hundred-and-eightieth of the radius times pi.
        let degree_m = 6_378_137.0 * std::f64::consts::PI / 180.0;
        for row in rows.iter().filter(|r| r.maybe("recorded_m").is_some()) {
            inputs
                .track
                .points
                .push(sutler::inputs::route_gpx::TrackPoint {
                    lat: 0.0,
                    lon: row.number("node") * SPACING_M / degree_m,
                    elevation_m: row.maybe("recorded_m"),
                    time_s: None,
                });
        }
        let course = quiet(&inputs);
        assert_eq!(course.profile.elevation_m.len(), rows.len());
        assert_eq!(course.survey.repairs.window_m, rows[0].number("window_m"));
        for (row, ours_m) in rows.iter().zip(&course.profile.elevation_m) {
            row.assert_near("smooth_m", *ours_m, TOLERANCE_M);
        }
    }
}

#[test]
fn the_source_of_heights_sets_threshold_and_least_window() {
    for (source, threshold_m, least_m) in [
        (HeightSource::Unknown, 5.0, 0.0),
        (HeightSource::Barometer, 3.0, 0.0),
        (HeightSource::TerrainModel, 3.0, 0.0),
        (HeightSource::Satellite, 10.0, 50.0),
    ] {
        let mut inputs = recorded(&GROUNDS[1], 10.0, 0.0, 8);
        inputs.course.heights = source;
        let repairs = quiet(&inputs).survey.repairs;
        assert_eq!(repairs.threshold_m, threshold_m);
        assert!(repairs.window_m >= least_m);
        assert!(!repairs.flat);
    }
}

/// Satellite noise that lasts: correlated over some 200 m, 5 m of deviation.
#[test]
fn satellite_noise_hardly_adds_climb() {
    let mut noise = Noise::seeded(9);
    let error = noise.correlated(2001, 0.95, 5.0);
    let heights = ten_hills()
        .into_iter()
        .zip(error)
        .map(|(h, e)| Some(500.0 + h + e));
    let mut inputs = straight(10.0, heights);
    inputs.course.heights = HeightSource::Satellite;
    let course = quiet(&inputs);
    assert!(course.survey.raw_climb_m > 1200.0);
    let (climb_m, _) = course.climb_and_descent_m();
    // Sharp tops lose some 3 % to the average.
    assert!((950.0..1050.0).contains(&climb_m), "{climb_m}");
}

/// Flat ground under noise of 3 m that lasts for 50 to 300 m: 150 to 300 m of climb in 40 km.
#[test]
fn climb_that_noise_could_make_is_said() {
    for (step_m, correlation) in [(5.0, 0.9), (5.0, 0.97), (10.0, 0.95), (20.0, 0.8)] {
        let points = (GROUND_M / step_m) as usize + 1;
        let error = Noise::seeded(13).correlated(points, correlation, 3.0);
        let heights = error.into_iter().map(|e| Some(500.0 + e));
        let mut inputs = straight(step_m, heights);
        let course = warned(&inputs, "may be noise");
        let (climb_m, _) = course.climb_and_descent_m();
        assert!((50.0..400.0).contains(&climb_m), "{climb_m}");
        // whoever knows better is believed
        inputs.course.heights = HeightSource::Barometer;
        quiet(&inputs);
    }
}

/// Low waves are hills, under the same noise and without.
#[test]
fn low_waves_are_not_doubted() {
    for (sigma_m, most) in [(0.0, 1.01), (3.0, 1.2)] {
        let error = Noise::seeded(14).correlated(4001, 0.95, sigma_m);
        let wave = |i: usize| 500.0 - 10.0 * (i as f64 * std::f64::consts::TAU / 100.0).cos();
        let heights = error
            .into_iter()
            .enumerate()
            .map(|(i, e)| Some(wave(i) + e));
        let course = quiet(&straight(10.0, heights));
        let (climb_m, _) = course.climb_and_descent_m();
        assert!((0.99..most).contains(&(climb_m / 800.0)), "{climb_m}");
    }
}

/// A slope of 5 % from 200 m, a height every 10 m over 10 km.
fn slope() -> Vec<Option<f64>> {
    (0..=1000)
        .map(|i| Some(200.0 + 0.5 * f64::from(i)))
        .collect()
}

fn assert_is_the_slope(course: &Course) {
    for (i, h) in course.profile.elevation_m.iter().enumerate() {
        let true_m = 200.0 + 500.0 * i as f64 / (course.profile.elevation_m.len() - 1) as f64;
        assert!((h - true_m).abs() < 0.3, "node {i}: {h} {true_m}");
    }
    // Ends without a height are level: up to 0.5 m each.
    assert!((course.climb_and_descent_m().0 - 500.0).abs() < 1.5);
    assert_eq!(course.climb_and_descent_m().1, 0.0);
}

#[test]
fn missing_heights_are_filled() {
    let mut heights = slope();
    heights[300..500].fill(None);
    let course = warned(
        &straight(10.0, heights),
        "200 of 1001 points have no height",
    );
    assert_eq!(course.survey.repairs.filled, 200);
    assert_is_the_slope(&course);
}

#[test]
fn zeros_for_missing_heights_are_filled() {
    let mut heights = slope();
    heights[300..320].fill(Some(0.0));
    heights[700] = Some(0.0);
    heights[900] = Some(f64::NAN);
    heights[901] = Some(-32_768.0); // a height model's sign for no data
    let course = warned(&straight(10.0, heights), "23 of 1001");
    assert_eq!(course.survey.repairs.filled, 23);
    assert_is_the_slope(&course);
}

#[test]
fn the_sea_is_no_missing_height() {
    // Down to the beach, along it, and up again at 8 %.
    let heights = (0..=600).map(|i| Some((0.8 * (f64::from((i - 300_i32).abs()) - 50.0)).max(0.0)));
    let course = quiet(&straight(10.0, heights));
    assert_eq!(course.survey.repairs.filled, 0);
    assert!((course.climb_and_descent_m().0 - 200.0).abs() < 4.0);
    // The same with a stretch of zeros high above it.
    let mut heights: Vec<Option<f64>> = (0..=600)
        .map(|i| Some((0.8 * (f64::from((i - 300_i32).abs()) - 50.0)).max(0.0)))
        .collect();
    heights[40..50].fill(Some(0.0));
    let course = warned(&straight(10.0, heights), "10 of 601");
    assert!((course.climb_and_descent_m().0 - 200.0).abs() < 4.0);
}

#[test]
fn heights_end_level() {
    let mut heights = slope();
    heights[..100].fill(None);
    heights[900..].fill(None);
    let course = warned(&straight(10.0, heights), "201 of 1001");
    let profile = &course.profile;
    assert!((profile.elevation_m[0] - 250.0).abs() < 1.0);
    assert!((profile.elevation_m.last().unwrap() - 649.5).abs() < 1.0);
    assert!((course.climb_and_descent_m().0 - 399.5).abs() < 2.0);
}

#[test]
fn spikes_are_replaced() {
    let mut heights = slope();
    heights[200] = Some(5000.0);
    heights[400..404].fill(Some(60.0));
    heights[0] = Some(900.0);
    heights[1000] = Some(-400.0);
    let course = warned(&straight(10.0, heights), "7 heights jump");
    assert_eq!(course.survey.repairs.spikes, 7);
    assert_is_the_slope(&course);
}

#[test]
fn what_a_path_can_climb_is_no_spike() {
    // Steps cut at 60 % for 100 m, and a lasting jump of a barometer that was set anew.
    let mut height = 400.0;
    let steep = (0..=500).map(|i| {
        height += if (200..210).contains(&i) { 6.0 } else { 0.0 };
        Some(height + if i > 400 { 60.0 } else { 0.0 })
    });
    let course = quiet(&straight(10.0, steep));
    assert_eq!(course.survey.repairs.spikes, 0);
    assert!((course.climb_and_descent_m().0 - 120.0).abs() < 3.0);
}

#[test]
fn no_heights_make_a_flat_course() {
    for heights in [vec![None; 500], vec![Some(0.0); 500], {
        let mut one = vec![None; 500];
        one[3] = Some(77.0);
        one
    }] {
        let course = warned(&straight(10.0, heights), "flat");
        assert!(course.survey.repairs.flat);
        assert_eq!(course.climb_and_descent_m(), (0.0, 0.0));
        assert!(course.profile.elevation_m.iter().all(|h| *h == 0.0));
    }
}

#[test]
fn the_organisers_climb_scales_the_profile() {
    let mut inputs = recorded(&GROUNDS[1], 10.0, 0.5, 10);
    let plain = quiet(&inputs);
    for ratio in [0.8, 1.0, 1.25] {
        let official_m = ratio * plain.survey.filtered_climb_m;
        inputs.course.official_climb_m = Some(Spanned::unwritten(official_m));
        let course = quiet(&inputs);
        assert!((course.climb_and_descent_m().0 - official_m).abs() < 1e-6 * official_m);
        assert_eq!(
            course.survey.filtered_climb_m,
            plain.survey.filtered_climb_m
        );
        let ends = |c: &Course| {
            (
                c.profile.elevation_m[0],
                *c.profile.elevation_m.last().unwrap(),
            )
        };
        assert!((ends(&course).0 - ends(&plain).0).abs() < 1e-9);
        assert!((ends(&course).1 - ends(&plain).1).abs() < 1e-9);
        let counted = climb_and_descent_m(&course.profile.elevation_m, 5.0).0;
        assert!(
            (counted / official_m - 1.0).abs() < 0.005,
            "{counted} {official_m}"
        );
    }
}

#[test]
fn an_organisers_climb_of_another_course_is_not_believed() {
    let mut inputs = recorded(&GROUNDS[1], 10.0, 0.0, 11);
    let plain = quiet(&inputs);
    for ratio in [0.0, 0.6, 1.5, f64::NAN] {
        let official_m = ratio * plain.survey.filtered_climb_m;
        inputs.course.official_climb_m = Some(Spanned::unwritten(official_m));
        let course = warned(&inputs, "organiser's climb");
        assert_eq!(course.profile.elevation_m, plain.profile.elevation_m);
    }
}

/// 1 m is 3.2808 ft (NIST Special Publication 811, appendix B).
#[test]
fn heights_in_feet_are_said() {
    let mut inputs = recorded(&GROUNDS[1], 10.0, 0.0, 11);
    let climb_m = quiet(&inputs).survey.filtered_climb_m;
    for point in &mut inputs.track.points {
        point.elevation_m = point.elevation_m.map(|height_m| 3.2808 * height_m);
    }
    inputs.course.official_climb_m = Some(Spanned::unwritten(climb_m));
    warned(&inputs, "look like feet");
}

/// Worked by hand: from 100 m over 165 and 155 to 300 m. The line between the ends rises 200 m, a
/// third of it (66.67 m) on each leg; the legs rise 65, -10 and 145 m, which is 210 m of climb.
/// Flattened by s, the drop is 66.67 - 76.67 s: up for s < 0.8696, and then everything climbs, 200 m
/// in all. A climb of 200 m or less is none that a stretch gives; 205 m is where 10 m of drop have
/// become 5: s = (66.67 + 5) / 76.67 = 0.9348.
#[test]
fn a_drop_that_flattening_makes_a_rise_is_counted_as_one() {
    let heights = relief(&[(0.0, 100.0), (4.0, 165.0), (8.0, 155.0), (12.0, 300.0)]);
    let mut inputs = straight(10.0, heights);
    inputs.course.official_climb_m = Some(Spanned::unwritten(205.0));
    let course = quiet(&inputs);
    assert!((course.climb_and_descent_m().0 - 205.0).abs() < 1e-6);
    // Smoothing rounds the corners by less than half a metre.
    assert!((course.survey.repairs.stretch.unwrap() - 0.9348).abs() < 0.01);
    inputs.course.official_climb_m = Some(Spanned::unwritten(195.0));
    let course = warned(&inputs, "organiser's climb (195 m)");
    assert!((course.climb_and_descent_m().0 - 210.0).abs() < 2.0);
}

#[test]
fn laps_climb_as_often() {
    let mut noise = Noise::seeded(12);
    // Out 2 km and back on the same path, so that the lap closes.
    let there = |i: i32| f64::from(200 - (i - 200).abs());
    let points = (0..=400)
        .map(|i| {
            super::sketch::point(
                (there(i) * 10.0, 0.0),
                Some(500.0 + there(i) + noise.normal(0.3)),
            )
        })
        .collect();
    let mut inputs = super::sketch::with_points(points);
    let once = quiet(&inputs);
    inputs.course.laps = 5;
    let all = quiet(&inputs);
    assert!((all.survey.route_length_m / once.survey.route_length_m - 5.0).abs() < 1e-9);
    let ratio = all.climb_and_descent_m().0 / once.climb_and_descent_m().0;
    assert!((ratio - 5.0).abs() < 0.05, "{ratio}");
    assert_eq!(all.survey.points, 401);
}

#[test]
fn integer_heights_are_no_hills() {
    let heights = (0..=2000).map(|i| Some((500.0 + 0.02 * 10.0 * f64::from(i)).round()));
    let (course, said) = build(&straight(10.0, heights));
    let course = course.unwrap();
    assert!(said.is_empty(), "{said:?}");
    assert!((course.climb_and_descent_m().0 - 400.0).abs() < 2.0);
    let steepest = (0..course.profile.surface.len()).map(|i| course.profile.gradient(i));
    assert!(steepest.fold(0.0, f64::max) < 0.05);
}

/// No race stays above 5500 m: such heights are feet, and that is said.
#[test]
fn heights_that_can_only_be_feet_are_told() {
    let feet = |base_m: f64| {
        straight(
            10.0,
            ten_hills().iter().map(|m| Some((m + base_m) / 0.3048)),
        )
    };
    warned(&feet(1700.0), "likely feet");
    quiet(&feet(300.0));
}
