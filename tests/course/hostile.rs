//! Routes and lists that make no sense: always words, never a panic.

use proptest::prelude::*;

use sutler::diagnostics::Spanned;
use sutler::inputs::Inputs;
use sutler::inputs::route_gpx::TrackPoint;
use sutler::inputs::stations_csv::StationRow;

use super::sketch::{at_km, build, flat, quiet, refused, row, warned, with_points};

fn points(deg: impl IntoIterator<Item = (f64, f64)>) -> Inputs {
    with_points(
        deg.into_iter()
            .map(|(lat, lon)| TrackPoint {
                lat,
                lon,
                elevation_m: Some(100.0),
                time_s: None,
            })
            .collect(),
    )
}

#[test]
fn too_few_points() {
    refused(&points([]), "the route has no points");
    refused(&points([(46.0, 8.0)]), "the route has 1 point");
    refused(
        &points([(f64::NAN, 8.0), (46.0, f64::INFINITY), (46.0, 8.0)]),
        "the route has 1 point",
    );
}

#[test]
fn all_on_one_spot() {
    refused(&points(vec![(46.0, 8.0); 2]), "the route is 0.0 m long");
    refused(
        &points(vec![(46.0, 8.0); 100_000]),
        "the route is 0.0 m long",
    );
}

#[test]
fn longer_than_any_race() {
    refused(
        &points((0..100).map(|i| (0.0, f64::from(i % 2) * 170.0))),
        "km long",
    );
    let mut inputs = flat(20_000.0);
    inputs.course.laps = u32::MAX;
    refused(&inputs, "too many");
    inputs.course.laps = 1000;
    refused(&inputs, "km long");
    inputs.course.laps = 0;
    quiet(&inputs);
}

#[test]
fn across_the_date_line() {
    let inputs = points((0..=100).map(|i| {
        let lon = 179.95 + 0.001 * f64::from(i);
        (-17.0, if lon > 180.0 { lon - 360.0 } else { lon })
    }));
    let course = quiet(&inputs);
    // 0.1 degrees of the parallel of 17 degrees south.
    assert!(
        (course.survey.route_length_m - 10_648.0).abs() < 15.0,
        "{:?}",
        course.survey
    );
    assert!(
        course
            .profile
            .position_deg
            .iter()
            .all(|p| p.1.abs() > 179.9 && p.1.abs() <= 180.0)
    );
    // Written beyond 180 degrees, as some planners do.
    let inputs = points((0..=100).map(|i| (-17.0, 179.95 + 0.001 * f64::from(i))));
    assert_eq!(
        quiet(&inputs).profile.position_deg.len(),
        course.profile.position_deg.len()
    );
}

#[test]
fn over_the_poles() {
    for pole in [90.0, -90.0] {
        let over = (-50..=50).map(|i: i32| {
            let lat = pole - f64::from(i.abs()) * 0.001 * f64::signum(pole);
            (lat, if i < 0 { 10.0 } else { -170.0 })
        });
        let course = quiet(&points(over));
        // 0.1 degrees of a meridian, whose degree is 111.694 km at the pole.
        assert!(
            (course.survey.route_length_m - 11_169.4).abs() < 1.0,
            "{:?}",
            course.survey
        );
    }
}

#[test]
fn a_hundred_thousand_points() {
    let course = quiet(&points(
        (0..100_000).map(|i| (46.0 + f64::from(i) * 1e-5, 8.0)),
    ));
    assert_eq!(course.survey.points, 100_000);
    assert!((course.survey.route_length_m - 111_200.0).abs() < 100.0);
}

#[test]
fn points_that_lie_nowhere_are_left_out() {
    let mut inputs = flat(20_000.0);
    inputs.track.points[7].lat = 4600.0;
    inputs.track.points[9].lon = f64::NAN;
    let course = warned(&inputs, "2 points of the route lie nowhere");
    assert!((course.survey.route_length_m - 20_000.0).abs() < 30.0);
}

#[test]
fn breaks_beyond_the_track_do_no_harm() {
    let mut inputs = flat(20_000.0);
    inputs.track.breaks = vec![0, 7, 7, 401, usize::MAX];
    quiet(&inputs);
}

fn any_row() -> impl Strategy<Value = StationRow> {
    let name = prop::sample::select(vec!["Start", "Finish", "Hut", "Well", "", "  "]);
    let distance = prop::option::of(prop_oneof![
        4 => 0.0..12_000.0_f64,
        1 => prop::num::f64::ANY,
    ]);
    let position = prop::option::of((45.9..46.1_f64, 7.9..8.2_f64));
    (name, distance, position).prop_map(|(name, distance_m, position)| StationRow {
        distance_m: distance_m.map(Spanned::unwritten),
        position: position.map(Spanned::unwritten),
        ..row(name)
    })
}

fn any_point() -> impl Strategy<Value = TrackPoint> {
    let near = (45.95..46.05_f64, 7.95..8.15_f64);
    let height = prop::option::of(prop_oneof![
        5 => 0.0..3000.0_f64,
        1 => Just(0.0),
        1 => prop::num::f64::ANY,
    ]);
    let position = prop_oneof![
        20 => near,
        1 => (prop::num::f64::ANY, prop::num::f64::ANY),
    ];
    (position, height).prop_map(|((lat, lon), elevation_m)| TrackPoint {
        lat,
        lon,
        elevation_m,
        time_s: None,
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 100, failure_persistence: None, rng_seed: proptest::test_runner::RngSeed::Fixed(1), ..ProptestConfig::default() })]

    /// `build` also checks the invariants of every course that comes out.
    #[test]
    fn nothing_panics(
        points in prop::collection::vec(any_point(), 0..40),
        rows in prop::collection::vec(any_row(), 0..8),
        breaks in prop::collection::vec(0_usize..50, 0..4),
        laps in 0_u32..4,
        official_m in prop::option::of(prop_oneof![prop::num::f64::ANY, 100.0..50_000.0_f64]),
        climb_m in prop::option::of(prop::num::f64::ANY),
    ) {
        let mut inputs = with_points(points);
        inputs.track.breaks = breaks;
        inputs.stations = rows;
        inputs.course.laps = laps;
        inputs.course.official_distance_m = official_m.map(Spanned::unwritten);
        inputs.course.official_climb_m = climb_m.map(Spanned::unwritten);
        build(&inputs);
    }

    /// Rows in order by distance alone always make a course, and its two distances convert there
    /// and back.
    #[test]
    fn lists_in_order_are_placed(
        permille in prop::collection::btree_set(1_u32..990, 0..15),
        ratio in 0.9..1.1_f64,
    ) {
        let mut inputs = flat(50_000.0);
        inputs.course.official_distance_m = Some(Spanned::unwritten(50_000.0 * ratio));
        inputs.stations = permille.iter().map(|p| at_km(&format!("S{p}"), f64::from(*p) * 0.05 * ratio)).collect();
        let (course, said) = build(&inputs);
        prop_assert!(course.is_some(), "{said:?}");
        let course = course.unwrap();
        prop_assert!(permille.is_empty() || course.stations.len() == permille.len() + 2);
        for share in [0.0, 0.123, 0.5, 0.77, 1.0] {
            let m = share * 50_000.0 * ratio;
            prop_assert!((course.official_of_distance(course.distance_of_official(m)) - m).abs() < 1e-6);
        }
    }
}
