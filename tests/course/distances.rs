//! Two distances: the organiser's and the route file's.

use sutler::course::StationRole;
use sutler::diagnostics::Spanned;
use sutler::inputs::Inputs;
use sutler::inputs::surfaces_csv::{Surface, SurfaceRow};

use super::sketch::{at_km, at_spot, build, flat, quiet, refused, warned};

const TINY_M: f64 = 1e-6;

fn official(inputs: &mut Inputs, km: f64) {
    inputs.course.official_distance_m = Some(Spanned::unwritten(km * 1000.0));
}

#[test]
fn without_a_list_distance_marks_stand_between_start_and_finish() {
    let course = quiet(&flat(20_000.0));
    let names: Vec<&str> = course.stations.iter().map(|s| s.name.as_str()).collect();
    assert_eq!(names, ["Start", "5 km", "10 km", "15 km", "Finish"]);
    assert_eq!(course.stations[0].role, StationRole::Start);
    assert_eq!(course.stations[4].role, StationRole::Finish);
    assert!((course.stations[2].distance_m - 10_000.0).abs() < TINY_M);
    assert_eq!(course.survey.ratio(), None);
    assert_eq!(course.stations[4].official_m, course.survey.route_length_m);
    let last_mark = |km: f64| {
        let stations = quiet(&flat(km * 1000.0)).stations;
        stations[stations.len() - 2].name.clone()
    };
    // a mark just before the finish says nothing; long routes have one every 10 km
    assert_eq!(last_mark(20.9), "15 km");
    assert_eq!(last_mark(21.1), "20 km");
    assert_eq!(last_mark(100.0), "90 km");
    assert_eq!(last_mark(4.0), "Start");
}

/// Halves and quarters of the official distance are those of the route.
#[test]
fn official_distances_are_rescaled() {
    for official_km in [19.5, 20.0, 20.4] {
        let mut inputs = flat(20_000.0);
        official(&mut inputs, official_km);
        inputs.stations = vec![at_km("A", official_km / 4.0), at_km("B", official_km / 2.0)];
        let course = quiet(&inputs);
        let length_m = course.survey.route_length_m;
        assert!((course.stations[1].distance_m - length_m / 4.0).abs() < TINY_M);
        assert!((course.stations[2].distance_m - length_m / 2.0).abs() < TINY_M);
        assert!((course.stations[3].official_m - official_km * 1000.0).abs() < TINY_M);
        let ratio = course.survey.ratio().unwrap();
        assert!((ratio - length_m / (official_km * 1000.0)).abs() < 1e-12);
    }
}

/// A station with coordinates is an anchor: the scale differs on its two sides.
#[test]
fn coordinates_anchor_the_scale() {
    let mut inputs = flat(20_000.0);
    official(&mut inputs, 20.0);
    let mut hut = at_spot("Hut", (12_000.0, 30.0));
    hut.distance_m = Some(Spanned::unwritten(11_500.0));
    inputs.stations = vec![at_km("A", 5.75), hut, at_km("B", 15.75)];
    let course = quiet(&inputs);
    let half_way_m = (course.stations[1].distance_m, course.stations[3].distance_m);
    assert!((course.stations[2].distance_m - 12_000.0).abs() < 15.0);
    assert!((half_way_m.0 - course.stations[2].distance_m / 2.0).abs() < TINY_M);
    let rest_m = course.survey.route_length_m - course.stations[2].distance_m;
    assert!((half_way_m.1 - course.stations[2].distance_m - rest_m / 2.0).abs() < TINY_M);
    // The course's own conversion agrees with where its stations lie, there and back.
    for station in &course.stations {
        assert!(
            (course.distance_of_official(station.official_m) - station.distance_m).abs() < TINY_M
        );
    }
    for m in [0.0, 777.0, 11_499.0, 11_501.0, 19_999.0] {
        let there = course.distance_of_official(m);
        assert!((course.official_of_distance(there) - m).abs() < TINY_M);
    }
    assert!((course.distance_of_official(5_750.0) - half_way_m.0).abs() < TINY_M);
    assert_eq!(course.distance_of_official(-5.0), 0.0);
    assert_eq!(
        course.distance_of_official(1e9),
        course.stations[4].distance_m
    );
}

/// A row with coordinates alone gets its official distance from the scale.
#[test]
fn coordinates_alone_get_an_official_distance() {
    let mut inputs = flat(20_000.0);
    official(&mut inputs, 20.4);
    inputs.stations = vec![at_spot("Hut", (12_000.0, 30.0))];
    let hut = &quiet(&inputs).stations[1];
    assert!((hut.official_m / hut.distance_m - 20_400.0 / 20_000.0).abs() < 1e-3);
}

#[test]
fn a_ratio_above_three_percent_is_said() {
    for (km, said) in [
        (20.0 / 1.029, false),
        (20.0 / 1.032, true),
        (20.0 / 0.968, true),
    ] {
        let mut inputs = flat(20_000.0);
        official(&mut inputs, km);
        if said {
            warned(&inputs, "the organiser counts");
        } else {
            quiet(&inputs);
        }
    }
}

#[test]
fn a_route_of_another_course_is_refused() {
    for km in [0.0, 9.0, 60.0] {
        let mut inputs = flat(20_000.0);
        inputs.stations = vec![at_km("Finish", km)];
        let error = refused(&inputs, "the organiser counts");
        assert!(error.hint.unwrap().contains("`laps`"));
    }
}

/// The quick-start list: a name and a distance, its last row the finish.
#[test]
fn the_last_row_of_a_plain_list_is_the_finish() {
    let length_m = quiet(&flat(30_000.0)).survey.route_length_m;
    for share in [0.999, 0.9995, 1.0, 1.001, 1.02] {
        let mut inputs = flat(30_000.0);
        let last_km = share * length_m / 1000.0;
        inputs.stations = vec![
            at_km("Checkpoint 1", 10.0),
            at_km("Checkpoint 2", 20.0),
            at_km("Town", last_km),
        ];
        let course = quiet(&inputs);
        let names: Vec<&str> = course.stations.iter().map(|s| s.name.as_str()).collect();
        assert_eq!(names, ["Start", "Checkpoint 1", "Checkpoint 2", "Town"]);
        assert_eq!(course.stations[3].role, StationRole::Finish);
        assert_eq!(course.stations[3].distance_m, length_m);
        assert!((course.survey.ratio().unwrap() - 1.0 / share).abs() < 1e-12);
        assert!((course.stations[1].distance_m - 10_000.0 / share).abs() < TINY_M);
    }
}

#[test]
fn a_first_row_at_zero_is_the_start() {
    let mut inputs = flat(30_000.0);
    inputs.stations = vec![
        at_km("Harbour", 0.0),
        at_km("Hut", 12.0),
        at_km("FINISH", 29.5),
    ];
    let course = quiet(&inputs);
    assert_eq!(course.stations.len(), 3);
    assert_eq!(course.stations[0].name, "Harbour");
    assert_eq!(course.stations[2].role, StationRole::Finish);
    assert_eq!(course.survey.official_length_m, Some(29_500.0));
}

#[test]
fn a_last_station_before_the_end_is_not_the_finish() {
    let mut inputs = flat(30_000.0);
    inputs.stations = vec![at_km("Hut", 12.0), at_km("Last water", 28.0)];
    let course = quiet(&inputs);
    assert_eq!(course.stations.last().unwrap().name, "Finish");
    assert_eq!(course.survey.official_length_m, None);
    assert!((course.stations[2].distance_m - 28_000.0).abs() < TINY_M);
    inputs.stations[1] = at_km("Town", 29.6);
    let course = warned(&inputs, "`Town` is taken as a station");
    assert_eq!(course.stations.len(), 4);
    official(&mut inputs, 29.6);
    assert_eq!(quiet(&inputs).stations.len(), 3);
}

#[test]
fn two_official_lengths_are_said() {
    let mut inputs = flat(30_000.0);
    official(&mut inputs, 30.0);
    inputs.stations = vec![at_km("Finish", 29.0)];
    let course = warned(&inputs, "the list ends at 29.00 km");
    assert_eq!(course.survey.official_length_m, Some(30_000.0));
}

#[test]
fn a_distance_beyond_the_end_is_refused() {
    let mut inputs = flat(30_000.0);
    inputs.stations = vec![at_km("Hut", 12.0), at_km("Lodge", 48.0)];
    refused(
        &inputs,
        "`Lodge` (48.00 km) is not before the end of the course (30.0",
    );
}

#[test]
fn stations_on_top_of_each_other_are_refused() {
    for km in [12.0, 12.0005] {
        let mut inputs = flat(30_000.0);
        inputs.stations = vec![at_km("Hut", 12.0), at_km("Tap", km)];
        refused(&inputs, "`Tap`");
    }
    let mut inputs = flat(30_000.0);
    inputs.stations = vec![
        at_km("Hut", 12.0),
        at_spot("Tap", (12_000.0, 0.0)),
        at_km("Barn", 12.001),
    ];
    let (course, said) = build(&inputs);
    assert!(course.is_none());
    assert!(
        said.iter().any(|d| d.message.contains(" falls at ")),
        "{said:?}"
    );
}

/// An anchor far from where its distance would put it is said.
#[test]
fn an_odd_stretch_is_said() {
    let mut inputs = flat(30_000.0);
    let mut hut = at_spot("Hut", (12_000.0, 0.0));
    hut.distance_m = Some(Spanned::unwritten(8_000.0));
    inputs.stations = vec![hut];
    warned(
        &inputs,
        "from `Start` to `Hut` the organiser counts 8.00 km",
    );
}

#[test]
fn a_list_of_one_lap_is_said() {
    let mut inputs = flat(5_000.0);
    let back: Vec<_> = inputs.track.points.iter().rev().copied().collect();
    inputs.track.points.extend(back);
    inputs.course.laps = 4;
    inputs.stations = vec![at_km("A", 3.0), at_km("B", 8.0)];
    let course = warned(&inputs, "only the first of 4 laps");
    assert!((course.survey.route_length_m / 40_000.0 - 1.0).abs() < 1e-3);
}

#[test]
fn laps_bridge_the_gap_of_an_open_lap() {
    let mut inputs = flat(5_000.0);
    inputs.course.laps = 3;
    let course = warned(&inputs, "from where it starts");
    assert!((course.survey.route_length_m / 25_000.0 - 1.0).abs() < 1e-3); // three out, two back
}

#[test]
fn breaks_of_a_track_are_bridged_and_said() {
    let gap = |metres: f64| {
        let mut inputs = flat(5_000.0);
        let east_deg = metres / 1000.0 * 0.012_92; // a kilometre east at 46 degrees
        inputs.track.breaks = vec![200];
        for point in &mut inputs.track.points[200..] {
            point.lon += east_deg;
        }
        inputs
    };
    quiet(&gap(150.0));
    let course = warned(&gap(800.0), "no points for 0.81 km after 2.49 km");
    assert!((course.survey.route_length_m - 5800.0).abs() < 10.0);
}

fn ground(from_km: f64, to_km: f64, surface: Surface) -> SurfaceRow {
    SurfaceRow {
        from_m: from_km * 1000.0,
        to_m: to_km * 1000.0,
        surface,
        span: None,
    }
}

/// Surfaces go by the organiser's count, as stations do.
#[test]
fn surfaces_by_official_distance() {
    let mut inputs = flat(20_000.0);
    official(&mut inputs, 20.4);
    inputs.course.surface = Surface::Track;
    inputs.surfaces = vec![
        ground(0.0, 5.1, Surface::Paved),
        ground(10.2, 25.0, Surface::Rocky),
    ];
    let course = quiet(&inputs);
    let profile = &course.profile;
    for (i, surface) in profile.surface.iter().enumerate() {
        let share = (i as f64 + 0.5) / profile.surface.len() as f64;
        let expected = match share {
            s if s < 0.25 => Surface::Paved,
            s if s < 0.5 => Surface::Track,
            _ => Surface::Rocky,
        };
        assert_eq!(*surface, expected, "{share}");
    }
}

#[test]
fn surfaces_that_overlap_or_miss_are_said() {
    let mut inputs = flat(20_000.0);
    inputs.surfaces = vec![
        ground(0.0, 9.0, Surface::Paved),
        ground(5.0, 6.0, Surface::Sand),
    ];
    let course = warned(&inputs, "overlap earlier ones");
    assert_eq!(course.profile.surface[220], Surface::Sand); // 5.5 km in
    assert_eq!(course.profile.surface[100], Surface::Paved);
    inputs.surfaces = vec![ground(21.0, 22.0, Surface::Paved)];
    warned(&inputs, "covers none");
    inputs.surfaces = vec![ground(6.0, 5.0, Surface::Paved)];
    warned(&inputs, "covers none");
}
