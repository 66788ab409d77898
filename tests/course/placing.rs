//! Stations with coordinates on routes that pass the same spot more than once.

use sutler::course::{Course, StationRole};
use sutler::diagnostics::{SourceFile, Sources, Span, Spanned};
use sutler::inputs::Inputs;
use sutler::inputs::stations_csv::{StationKind, StationRow};

use super::sketch::{
    Noise, at_km, at_spot, build, quiet, refused, row, walk, warned, waypoint, with_points,
};

/// What a receiver is off by, metres.
const SIGMA_M: f64 = 4.0;
/// A noisy track of 50 m steps is longer than its line, by about σ²/step² of it: 0.6 %.
const ROOM: f64 = 0.012;
/// A noisy pass is nearest some metres before or after, and noise stretches legs unevenly.
const PLACE_M: f64 = 60.0;

/// A noisy track along corners (kilometres), a point every 50 m.
fn track(corners_km: &[(f64, f64)], seed: u64) -> Inputs {
    let corners: Vec<(f64, f64)> = corners_km.iter().map(|(x, y)| (x * 1e3, y * 1e3)).collect();
    with_points(walk(&corners, 50.0, SIGMA_M, &mut Noise::seeded(seed)))
}

fn spot(name: &str, x_km: f64, y_km: f64) -> StationRow {
    at_spot(name, (x_km * 1e3 + 6.0, y_km * 1e3 - 8.0))
}

fn same_place(place: &str, row: StationRow) -> StationRow {
    StationRow {
        place: place.to_owned(),
        ..row
    }
}

/// Names, distances in km on the noiseless line, and visits of all stations but the ends.
#[track_caller]
fn assert_stations(course: &Course, line_km: f64, expected: &[(&str, f64, u32)]) {
    let between = &course.stations[1..course.stations.len() - 1];
    let names: Vec<&str> = between.iter().map(|s| s.name.as_str()).collect();
    let wanted: Vec<&str> = expected.iter().map(|e| e.0).collect();
    assert_eq!(names, wanted);
    let stretch = course.survey.route_length_m / (line_km * 1000.0);
    assert!((1.0..1.0 + ROOM).contains(&stretch), "{stretch}");
    for (station, (name, km, visit)) in between.iter().zip(expected) {
        let off_m = station.distance_m - km * 1000.0 * stretch;
        assert!(
            off_m.abs() < PLACE_M,
            "{name} at {} instead of {km} km",
            station.distance_m
        );
        assert_eq!(station.visit, *visit, "{name}");
    }
}

#[test]
fn out_and_back() {
    for seed in 0..20 {
        let mut inputs = track(
            &[(0.0, 0.0), (6.0, 0.0), (6.0, 4.0), (6.0, 0.0), (0.0, 0.0)],
            seed,
        );
        inputs.stations = vec![
            spot("Mill", 3.0, 0.0),
            spot("Ford", 6.0, 1.0),
            spot("Hut", 6.0, 4.0),
            spot("Ford", 6.0, 1.0),
            same_place("Mill", spot("Mill, homeward", 3.0, 0.0)),
        ];
        let course = quiet(&inputs);
        assert_stations(
            &course,
            20.0,
            &[
                ("Mill", 3.0, 1),
                ("Ford", 7.0, 1),
                ("Hut", 10.0, 1),
                ("Ford", 13.0, 2),
                ("Mill, homeward", 17.0, 2),
            ],
        );
        let visits: Vec<usize> = course.places.iter().map(|p| p.visits.len()).collect();
        assert_eq!(visits, [1, 2, 2, 1, 1]); // Start, Mill, Ford, Hut, Finish
    }
}

/// A station 100 m before the turn is passed twice within the radius of one pass.
#[test]
fn a_station_just_before_the_turn() {
    for seed in 0..20 {
        let mut inputs = track(&[(0.0, 0.0), (5.0, 0.0), (0.0, 0.0)], seed);
        inputs.stations = vec![spot("Gate", 4.9, 0.0), spot("Gate", 4.9, 0.0)];
        assert_stations(&quiet(&inputs), 10.0, &[("Gate", 4.9, 1), ("Gate", 5.1, 2)]);
    }
}

#[test]
fn three_laps_drawn_once_or_thrice() {
    let lap = [(0.0, 0.0), (4.0, 0.0), (4.0, 3.0), (0.0, 3.0), (0.0, 0.0)];
    let thrice: Vec<(f64, f64)> = (0..3).flat_map(|_| lap).collect();
    for seed in 0..10 {
        let mut once = track(&lap, seed);
        once.course.laps = 3;
        for mut inputs in [once, track(&thrice, seed + 100)] {
            let rows = ["Dam", "Barn", "Camp"];
            inputs.stations = (0..3)
                .flat_map(|lap| {
                    let camp = (lap < 2).then(|| spot(rows[2], 0.0, 0.0));
                    [spot(rows[0], 4.0, 0.5), spot(rows[1], 1.0, 3.0)]
                        .into_iter()
                        .chain(camp)
                })
                .collect();
            let course = quiet(&inputs);
            assert_stations(
                &course,
                42.0,
                &[
                    ("Dam", 4.5, 1),
                    ("Barn", 10.0, 1),
                    ("Camp", 14.0, 1),
                    ("Dam", 18.5, 2),
                    ("Barn", 24.0, 2),
                    ("Camp", 28.0, 2),
                    ("Dam", 32.5, 3),
                    ("Barn", 38.0, 3),
                ],
            );
        }
    }
}

#[test]
fn lollipop() {
    for seed in 0..20 {
        let stick = [
            (0.0, 0.0),
            (5.0, 0.0),
            (8.0, 2.0),
            (8.0, -2.0),
            (5.0, 0.0),
            (0.0, 0.0),
        ];
        let mut inputs = track(&stick, seed);
        let side_km = 13.0_f64.sqrt();
        inputs.stations = vec![
            spot("Well", 2.0, 0.0),
            spot("Fork", 5.0, 0.0),
            spot("Tower", 8.0, 0.0),
            spot("Fork", 5.0, 0.0),
            spot("Well", 2.0, 0.0),
        ];
        let loop_km = 4.0 + 2.0 * side_km;
        assert_stations(
            &quiet(&inputs),
            10.0 + loop_km,
            &[
                ("Well", 2.0, 1),
                ("Fork", 5.0, 1),
                ("Tower", 7.0 + side_km, 1),
                ("Fork", 5.0 + loop_km, 2),
                ("Well", 8.0 + loop_km, 2),
            ],
        );
    }
}

#[test]
fn figure_of_eight() {
    let corners = [
        (0.0, 0.0),
        (3.0, 3.0),
        (6.0, 3.0),
        (6.0, 0.0),
        (3.0, 0.0),
        (0.0, 3.0),
        (-3.0, 3.0),
        (-3.0, 0.0),
        (0.0, 0.0),
    ];
    let d = 18.0_f64.sqrt();
    let line_km = 2.0 * d + 18.0;
    for seed in 0..20 {
        let mut inputs = track(&corners, seed);
        inputs.stations = vec![
            spot("Crossing", 1.5, 1.5),
            spot("East", 6.0, 1.0),
            spot("Crossing", 1.5, 1.5),
            spot("West", -3.0, 2.0),
        ];
        assert_stations(
            &quiet(&inputs),
            line_km,
            &[
                ("Crossing", d / 2.0, 1),
                ("East", d + 5.0, 1),
                ("Crossing", d * 1.5 + 9.0, 2),
                ("West", 2.0 * d + 13.0, 1),
            ],
        );
    }
}

/// One row for a spot that is passed twice: the distance says which; without it the first is
/// taken, and that is said.
#[test]
fn which_of_two_passes() {
    let corners = [(0.0, 0.0), (6.0, 0.0), (0.0, 0.0)];
    for seed in 0..20 {
        for (km, meant_km) in [(Some(2.1), 2.0), (Some(9.8), 10.0), (None, 2.0)] {
            let mut inputs = track(&corners, seed);
            let mut row = spot("Well", 2.0, 0.0);
            row.distance_m = km.map(|km| Spanned::unwritten(km * 1000.0));
            inputs.stations = vec![row];
            inputs.course.official_distance_m = Some(Spanned::unwritten(12_000.0));
            let (course, said) = build(&inputs);
            let again = said
                .iter()
                .filter(|d| d.message.contains("and again at"))
                .count();
            assert_eq!(again, usize::from(km.is_none()), "{said:?}");
            assert_stations(&course.unwrap(), 12.0, &[("Well", meant_km, 1)]);
        }
    }
}

/// Rows without coordinates on both sides tell the pass too.
#[test]
fn neighbours_by_distance_tell_the_pass() {
    let mut inputs = track(&[(0.0, 0.0), (6.0, 0.0), (0.0, 0.0)], 1);
    inputs.stations = vec![
        at_km("Hut", 7.0),
        spot("Well", 2.0, 0.0),
        at_km("Finish", 12.0),
    ];
    assert_stations(&quiet(&inputs), 12.0, &[("Hut", 7.0, 1), ("Well", 10.0, 1)]);
}

#[test]
fn waypoints_are_ordered_by_the_route_and_visited_again() {
    for seed in 0..20 {
        let mut inputs = track(
            &[(0.0, 0.0), (6.0, 0.0), (6.0, 4.0), (6.0, 0.0), (0.0, 0.0)],
            seed,
        );
        inputs.track.waypoints = vec![
            waypoint("Hut", (6010.0, 3990.0)),
            waypoint("Mill", (3000.0, 20.0)),
            waypoint("Square", (0.0, 10.0)),
        ];
        let course = quiet(&inputs);
        assert_stations(
            &course,
            20.0,
            &[("Mill", 3.0, 1), ("Hut", 10.0, 1), ("Mill", 17.0, 2)],
        );
        let ends = (&course.stations[0], course.stations.last().unwrap());
        assert_eq!(
            (ends.0.name.as_str(), ends.1.name.as_str()),
            ("Square", "Square")
        );
        assert_eq!(
            (ends.0.role, ends.1.role),
            (StationRole::Start, StationRole::Finish)
        );
        assert_eq!(ends.1.visit, 2);
        assert_eq!(course.places.len(), 3);
        // Nobody said that there is anything to drink.
        assert!(course.stations.iter().all(|s| s.offers.is_empty()));
    }
}

/// Passing within a few hundred metres again is the same visit: a spur, or bends below a hut.
#[test]
fn a_spur_to_a_waypoint_is_one_visit() {
    let spur = [(0.0, 0.0), (5.0, 0.0), (5.0, 0.12), (5.0, 0.0), (9.0, 0.0)];
    let bends = [
        (0.0, 0.0),
        (5.0, 0.0),
        (5.0, 0.05),
        (4.8, 0.05),
        (4.8, 0.1),
        (5.0, 0.1),
        (9.0, 0.1),
    ];
    for (corners, at) in [(&spur[..], (5000.0, 60.0)), (&bends[..], (5000.0, 50.0))] {
        let mut inputs = track(corners, 4);
        inputs.track.waypoints = vec![waypoint("Hut", at)];
        assert_eq!(quiet(&inputs).stations.len(), 3);
    }
}

#[test]
fn waypoints_off_the_route() {
    let mut inputs = track(&[(0.0, 0.0), (9.0, 0.0)], 4);
    inputs.track.waypoints = vec![waypoint("Car park", (4000.0, 5000.0))];
    assert_eq!(warned(&inputs, "not on the route").stations.len(), 2);
    inputs.track.waypoints = vec![waypoint("Spring", (4000.0, 400.0))];
    assert_eq!(warned(&inputs, "m from the route").stations.len(), 3);
    inputs.track.waypoints = vec![waypoint("A", (4000.0, 4.0)), waypoint("B", (4000.0, 4.0))];
    assert_eq!(warned(&inputs, "where another one").stations.len(), 3);
}

#[test]
fn coordinates_off_the_route() {
    let mut inputs = track(&[(0.0, 0.0), (9.0, 0.0)], 5);
    inputs.stations = vec![spot("Hut", 4.0, 0.4)];
    let course = warned(&inputs, "m from the route, and the nearest point is used");
    assert!(
        (course.stations[1].distance_m / course.survey.route_length_m - 4.0 / 9.0).abs() < 0.005
    );
    let mut listed = spot("Hut", 4.0, 0.4);
    listed.distance_m = Some(Spanned::unwritten(5000.0));
    inputs.stations = vec![listed];
    let course = warned(&inputs, "its distance is used");
    assert_eq!(course.stations[1].distance_m, 5000.0);
    inputs.stations = vec![spot("Hut", 4.0, 5.0), spot("Barn", 6.0, 4.0)];
    let error = refused(&inputs, "`Hut` lies 4.9");
    assert!(error.hint.unwrap().contains("latitude"));
    refused(&inputs, "`Barn` lies 3.9"); // all at once
}

#[test]
fn coordinates_out_of_order() {
    let mut inputs = track(&[(0.0, 0.0), (9.0, 0.0)], 6);
    inputs.stations = vec![
        spot("A", 2.0, 0.0),
        spot("B", 7.0, 0.0),
        spot("C", 4.0, 0.0),
        spot("D", 8.0, 0.0),
    ];
    let error = refused(&inputs, "fits nowhere between its neighbours");
    assert!(error.hint.unwrap().contains("move the row"));
    let (_, said) = build(&inputs);
    assert_eq!(said.len(), 1, "only one of them is in the way: {said:?}");
    inputs.stations = vec![
        spot("A", 2.0, 0.0),
        spot("End", 0.0, 0.0),
        spot("B", 7.0, 0.0),
    ];
    refused(&inputs, "`End` lies where the route starts or ends");
}

#[test]
fn rows_at_the_ends_by_coordinates_are_start_and_finish() {
    let mut inputs = track(&[(0.0, 0.0), (3.0, 0.0), (3.0, 3.0), (0.0, 0.0)], 7);
    inputs.stations = vec![
        spot("Square", 0.0, 0.0),
        spot("Hut", 3.0, 3.0),
        spot("Square", 0.0, 0.0),
    ];
    let course = quiet(&inputs);
    assert_eq!(course.stations.len(), 3);
    assert_eq!(course.stations[2].role, StationRole::Finish);
    assert_eq!(course.places[0].visits, [0, 2]);
}

#[test]
fn problems_stand_at_their_row() {
    let text = "name,distance_km\nHut,8\nBarn,5\nLodge,31\n";
    let mut sources = Sources::default();
    let file = sources.add(SourceFile::new("stations.csv", text));
    let span_of = |part: &str| {
        let at = text.find(part).unwrap();
        Span::new(file, at..at + part.len())
    };
    let listed = |name: &str, km: f64, cell: &str| StationRow {
        distance_m: Some(Spanned::at(km * 1000.0, span_of(cell))),
        ..row(name)
    };
    let mut inputs = track(&[(0.0, 0.0), (20.0, 0.0)], 8);
    inputs.stations = vec![
        listed("Hut", 8.0, "8"),
        listed("Barn", 5.0, "5"),
        listed("Lodge", 31.0, "31"),
    ];
    let order = refused(&inputs, "`Barn` (5.00 km) is listed after `Hut` (8.00 km)");
    assert_eq!(sources.position(order.at.unwrap()), (3, 6));
    assert_eq!(order.expected, "expected more than 8.00 km");
    let beyond = refused(&inputs, "`Lodge` (31.00 km) is not before the end");
    assert_eq!(sources.position(beyond.at.unwrap()), (4, 7));
    assert!(beyond.hint.unwrap().contains("official_distance_km"));
}

#[test]
fn a_row_without_any_place_is_refused() {
    let mut inputs = track(&[(0.0, 0.0), (20.0, 0.0)], 8);
    inputs.stations = vec![row("Nowhere")];
    refused(&inputs, "nothing says where station `Nowhere` is");
}

#[test]
fn one_name_for_places_far_apart_is_said() {
    let mut inputs = track(&[(0.0, 0.0), (20.0, 0.0)], 9);
    inputs.stations = vec![at_km("Water", 5.0), at_km("water ", 12.0)];
    let course = warned(&inputs, "two visits to `Water` lie");
    assert_eq!(course.places.len(), 3);
    assert_eq!(course.stations[2].visit, 2);
}

#[test]
fn what_rows_say_about_a_station_is_kept() {
    let mut inputs = track(&[(0.0, 0.0), (20.0, 0.0)], 10);
    let offers = |names: &[&str]| {
        names
            .iter()
            .map(|n| Spanned::unwritten((*n).to_owned()))
            .collect()
    };
    inputs.stations = vec![
        StationRow {
            stop_s: Some(Spanned::unwritten(60.0)),
            ..at_km("Start", 0.0)
        },
        StationRow {
            crew: true,
            drop_bag: true,
            pacer: true,
            stop_s: Some(Spanned::unwritten(300.0)),
            ..at_km("Hut", 5.0)
        },
        StationRow {
            offers: offers(&["cola"]),
            ..at_km("Barn", 7.0)
        },
        StationRow {
            kind: StationKind::Water,
            offers: offers(&["salt"]),
            ..at_km("Well", 9.0)
        },
        StationRow {
            kind: StationKind::Checkpoint,
            ..at_km("Pass", 11.0)
        },
    ];
    let course = warned(&inputs, "stop at `Start` is left out");
    let [start, hut, barn, well, pass] = &course.stations[..5] else {
        panic!()
    };
    assert_eq!(start.stop_s, None);
    assert_eq!(
        (hut.crew, hut.drop_bag, hut.pacer, hut.stop_s),
        (true, true, true, Some(300.0))
    );
    assert_eq!(hut.offered(), ["water"]); // an aid station that lists nothing
    assert_eq!(barn.offered(), ["water", "cola"]);
    assert_eq!(well.offered(), ["water", "salt"]);
    assert!(pass.offers.is_empty());
    assert_eq!(pass.role, StationRole::Between(StationKind::Checkpoint));
}
