//! Segments: they add up, and their steepness is that of the ground.

use proptest::prelude::*;

use super::sketch::{at_km, build, flat, quiet, relief, straight};

#[test]
fn a_hill_between_two_stations() {
    // 20 % for 1 km, then 8 % down for 2 km, level before and after.
    let mut inputs = straight(
        10.0,
        relief(&[
            (0.0, 500.0),
            (3.0, 500.0),
            (4.0, 700.0),
            (6.0, 540.0),
            (9.0, 540.0),
        ]),
    );
    inputs.stations = vec![at_km("A", 2.0), at_km("B", 3.8), at_km("C", 7.0)];
    let course = quiet(&inputs);
    let [before, up, down, after] = &course.segments[..] else {
        panic!()
    };
    assert!(before.climb_m < 0.1 && before.descent_m < 0.1);
    assert_eq!((before.steepest_up * 100.0).round(), 0.0);
    assert!((up.climb_m - 160.0).abs() < 1.5, "{up:?}");
    assert!((up.steepest_up - 0.20).abs() < 0.002, "{up:?}");
    assert_eq!(up.share_below_10, 0.0);
    assert!((up.share_above_10 - 0.8 / 1.8).abs() < 0.03, "{up:?}");
    assert!((up.highest_m - 660.0).abs() < 1.0);
    assert!((down.climb_m - 40.0).abs() < 3.0 && (down.descent_m - 160.0).abs() < 3.0);
    assert!((down.steepest_down + 0.08).abs() < 0.002, "{down:?}");
    assert_eq!(down.share_below_10, 0.0);
    assert!((down.highest_m - 700.0).abs() < 3.0);
    assert!((down.length_m - 3200.0).abs() < 1.0 && (down.official_length_m - 3200.0).abs() < 1e-6);
    assert!(after.climb_m < 0.1);
}

#[test]
fn a_segment_shorter_than_a_pitch_is_judged_whole() {
    let mut inputs = straight(
        10.0,
        relief(&[(0.0, 500.0), (2.0, 500.0), (3.0, 350.0), (6.0, 350.0)]),
    );
    inputs.stations = vec![at_km("A", 2.2), at_km("B", 2.4)];
    let short = &quiet(&inputs).segments[1];
    assert!((short.steepest_down + 0.15).abs() < 0.002, "{short:?}");
    assert_eq!(short.steepest_up, 0.0);
    assert!((short.share_below_10 - 1.0).abs() < 1e-9);
    assert!((short.descent_m - 30.0).abs() < 0.5);
}

#[test]
fn a_short_course_still_has_a_grid() {
    let course = quiet(&flat(120.0));
    assert!(course.profile.elevation_m.len() >= 20);
    assert!((course.profile.length_m() - 120.0).abs() < 0.2);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, rng_seed: proptest::test_runner::RngSeed::Fixed(1), ..ProptestConfig::default() })]

    /// However the course is cut, segments add up to it in length, climb and descent.
    #[test]
    fn segments_add_up(
        corners in prop::collection::vec(0.0..400.0_f64, 4..40),
        cuts in prop::collection::btree_set(1_u32..99, 0..12),
        wobble in 0.0..6.0_f64,
        official in prop::option::of(0.8..1.3_f64),
    ) {
        let step_km = 12.0 / (corners.len() - 1) as f64;
        let corners: Vec<(f64, f64)> =
            corners.iter().enumerate().map(|(i, h)| (i as f64 * step_km, 600.0 + h)).collect();
        let mut heights = relief(&corners);
        for (i, h) in heights.iter_mut().enumerate() {
            *h = h.map(|h| h + wobble * (i as f64 * 1.7).sin());
        }
        let mut inputs = straight(10.0, heights);
        let (whole, _) = build(&inputs);
        let whole = whole.unwrap();
        let (up_m, down_m) = whole.climb_and_descent_m();
        prop_assert!((up_m - whole.survey.filtered_climb_m).abs() < 1e-6);
        prop_assert!((down_m - whole.survey.filtered_descent_m).abs() < 1e-6);
        inputs.stations = cuts.iter().map(|c| at_km(&format!("S{c}"), f64::from(*c) * 0.12)).collect();
        inputs.course.official_climb_m = official
            .map(|ratio| sutler::diagnostics::Spanned::unwritten(ratio * whole.survey.filtered_climb_m));
        let (course, _) = build(&inputs);
        let course = course.unwrap();
        let (climb_m, descent_m) = course.climb_and_descent_m();
        let length_m: f64 = course.segments.iter().map(|s| s.length_m).sum();
        prop_assert!((length_m - course.survey.route_length_m).abs() < 1e-6);
        match (course.survey.repairs.stretch, course.survey.official_climb_m) {
            (Some(_), Some(official_m)) => prop_assert!((climb_m - official_m).abs() <= 1e-6 * official_m),
            _ => {
                prop_assert!((climb_m - whole.survey.filtered_climb_m).abs() < 1e-6);
                prop_assert!((descent_m - whole.survey.filtered_descent_m).abs() < 1e-6);
            }
        }
        // What goes up comes down, but for turns too small to count at either end.
        let profile = &course.profile;
        let net_m = profile.elevation_m.last().unwrap() - profile.elevation_m[0];
        let room_m = 2.0 * 5.0 * course.survey.repairs.stretch.unwrap_or(1.0).max(1.0);
        prop_assert!((climb_m - descent_m - net_m).abs() <= room_m + 1e-6);
        let highest = course.segments.iter().map(|s| s.highest_m).fold(0.0, f64::max);
        let top = profile.elevation_m.iter().copied().fold(0.0, f64::max);
        prop_assert!((highest - top).abs() < 1e-9);
    }

    /// Shallow drops on a rising line and small rises on a falling one, near the height that counts.
    #[test]
    fn the_organisers_climb_is_met_or_refused(
        turns in prop::collection::vec(2.0..14.0_f64, 3..30),
        slope_m in -400.0..400.0_f64,
        ratio in 0.7..1.4_f64,
    ) {
        let step_km = 12.0 / turns.len() as f64;
        let mut corners = vec![(0.0, 600.0)];
        for (i, turn_m) in turns.iter().enumerate() {
            let along = (i + 1) as f64;
            let aside_m = if i % 2 == 0 { *turn_m } else { -turn_m };
            corners.push((along * step_km, 600.0 + slope_m * along / turns.len() as f64 + aside_m));
        }
        let mut inputs = straight(10.0, relief(&corners));
        let plain = build(&inputs).0.unwrap();
        let official_m = ratio * plain.survey.filtered_climb_m;
        inputs.course.official_climb_m = Some(sutler::diagnostics::Spanned::unwritten(official_m));
        let (course, said) = build(&inputs);
        let course = course.unwrap();
        let parts_m: f64 = course.segments.iter().map(|s| s.climb_m).sum();
        prop_assert!((course.climb_and_descent_m().0 - parts_m).abs() < 1e-6);
        if course.survey.repairs.stretch.is_some() {
            prop_assert!((parts_m - official_m).abs() < 1e-6 * official_m.max(1.0));
        } else {
            prop_assert!(said.iter().any(|s| s.message.contains("organiser's climb")), "{said:?}");
            prop_assert_eq!(course.profile.elevation_m, plain.profile.elevation_m);
        }
    }
}
