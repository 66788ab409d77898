//! The JSON that other tools read: keys, types, order and meaning, as documented.

use chrono::DateTime;
use serde_json::Value;

use crate::support::case::{Case, in_repository, short_route};

/// Keys that every split has, all but the first two numbers.
const ALWAYS: [&str; 8] = [
    "station",
    "place",
    "distance_m",
    "official_m",
    "arrival_s",
    "departure_s",
    "early_s",
    "late_s",
];
/// Keys that hold whole seconds.
const SECONDS: [&str; 8] = [
    "arrival_s",
    "departure_s",
    "early_s",
    "late_s",
    "cutoff_s",
    "margin_s",
    "latest_departure_s",
    "finish_s",
];
const WITH_START: [&str; 2] = ["arrival", "departure"];
const WITH_CUTOFF: [&str; 2] = ["cutoff_s", "margin_s"];
const BEFORE_CUTOFF: [&str; 2] = ["latest_departure_s", "binding"];

/// The two stations of these lists, on the way of the short route.
const STATIONS: &str = "name,distance_km\nMiller's Ford,15.25\nOak Gap,32.1\n";

fn quick(list: &str, more: &[&str]) -> Value {
    let route = short_route();
    let case = Case::new().file("S.csv", list);
    let args = [
        "splits",
        "--route",
        &route,
        "--stations",
        "S.csv",
        "--finish",
        "7:12:33",
    ];
    let args: Vec<&str> = args
        .iter()
        .chain(more)
        .chain(&["--format", "json"])
        .copied()
        .collect();
    case.run(&args).exits(0).json()
}

fn splits(value: &Value) -> &Vec<Value> {
    value["splits"].as_array().expect("a list of splits")
}

fn names(value: &Value) -> Vec<&str> {
    splits(value)
        .iter()
        .map(|s| s["station"].as_str().unwrap())
        .collect()
}

#[track_caller]
fn has(split: &Value, keys: &[&str]) {
    for key in keys {
        assert!(!split[key].is_null(), "no {key} in {split:#}");
    }
}

#[track_caller]
fn lacks(split: &Value, keys: &[&str]) {
    for key in keys {
        assert!(split.get(key).is_none(), "{key} in {split:#}");
    }
}

#[track_caller]
fn seconds(value: &Value, key: &str) -> i64 {
    value[key]
        .as_i64()
        .unwrap_or_else(|| panic!("{key} is no whole number in {value:#}"))
}

#[test]
fn splits_stand_in_course_order_with_start_and_finish() {
    let out = quick(STATIONS, &[]);
    assert_eq!(names(&out), ["Start", "Miller's Ford", "Oak Gap", "Finish"]);
    for pair in splits(&out).windows(2) {
        assert!(pair[0]["distance_m"].as_f64() < pair[1]["distance_m"].as_f64());
        assert!(seconds(&pair[0], "departure_s") < seconds(&pair[1], "arrival_s"));
    }
}

#[test]
fn every_split_has_its_keys_with_their_types() {
    let out = quick(STATIONS, &[]);
    for split in splits(&out) {
        has(split, &ALWAYS);
        for key in &ALWAYS[..2] {
            assert!(split[key].is_string(), "{key} in {split:#}");
        }
        for key in &ALWAYS[2..] {
            assert!(split[key].is_number(), "{key} in {split:#}");
        }
        for key in SECONDS.iter().filter(|key| split.get(*key).is_some()) {
            seconds(split, key);
        }
        let (early, late) = (seconds(split, "early_s"), seconds(split, "late_s"));
        assert!(
            (early..=late).contains(&seconds(split, "arrival_s")),
            "{split:#}"
        );
    }
    assert!(out["findings"].is_array());
}

#[test]
fn the_target_is_met_to_the_second() {
    let out = quick(STATIONS, &[]);
    let (first, last) = (&splits(&out)[0], splits(&out).last().unwrap());
    // 7 h 12 min 33 s
    let target = 7 * 3600 + 12 * 60 + 33;
    assert_eq!(seconds(&out, "finish_s"), target);
    for key in ["arrival_s", "departure_s"] {
        assert_eq!(seconds(first, key), 0);
        assert_eq!(seconds(last, key), target);
    }
    // and on that condition nothing is open there
    let on_target = quick(STATIONS, &["--on-target"]);
    for key in ["arrival_s", "early_s", "likely_s", "late_s"] {
        assert_eq!(seconds(&splits(&on_target)[0], key), 0);
        assert_eq!(seconds(splits(&on_target).last().unwrap(), key), target);
    }
    // a wish is kept by fewer than half
    assert!(seconds(last, "early_s") < target && target < seconds(last, "likely_s"));
}

/// What was run stands before what is wished for, and the more was run the surer is the finish.
#[test]
fn past_results_say_how_sure_the_finish_is() {
    let finish = |past: &[&str]| {
        let options: Vec<&str> = past.iter().flat_map(|past| ["--past", past]).collect();
        let out = quick(STATIONS, &options);
        let last = splits(&out).last().unwrap();
        ["early_s", "likely_s", "late_s"].map(|key| seconds(last, key))
    };
    let one = finish(&["50km/1500m/7:50:00"]);
    let three = finish(&["50km/1500m/7:50:00", "80km/2000m/14:00:00", "30mi/7:00:00"]);
    let width = |[early, _, late]: [i64; 3]| late as f64 / early as f64;
    assert!(width(three) < width(one), "{one:?} {three:?}");
    assert!(one[1] > 7 * 3600 + 20 * 60, "{one:?}");
}

#[test]
fn a_list_of_names_and_distances_has_no_stops() {
    let metres = "name,distance_m\nMiller's Ford,15250\nOak Gap,32100\n";
    // the international mile of 1959
    let miles = format!(
        "name,distance_mi\nMiller's Ford,{}\nOak Gap,{}\n",
        15.25 / 1.609344,
        32.1 / 1.609344
    );
    let in_km = quick(STATIONS, &[]);
    for split in splits(&in_km) {
        assert_eq!(split["arrival_s"], split["departure_s"]);
    }
    assert_eq!(quick(metres, &[]), in_km);
    assert_eq!(quick(&miles, &[]), in_km);
}

#[test]
fn distances_are_along_the_route_file_and_official_ones_beside_them() {
    // the organiser counts 52 km on a route file of 49.5 km
    let list = "name,distance_km\nMiller's Ford,26\nFinish,52\n";
    let out = quick(list, &[]);
    let (middle, last) = (&splits(&out)[1], &splits(&out)[2]);
    let route_m = last["distance_m"].as_f64().unwrap();
    assert!((49_000.0..50_000.0).contains(&route_m), "{route_m} m");
    assert_eq!(last["official_m"], 52_000.0);
    assert_eq!(middle["official_m"], 26_000.0);
    // half of the organiser's way is half of the route file's, to the printed decimetre
    let half_m = middle["distance_m"].as_f64().unwrap();
    assert!(
        (half_m - route_m / 2.0).abs() <= 0.1,
        "{half_m} m of {route_m} m"
    );
}

/// Metres along a track, by points this far from each other on a sphere of the mean radius of
/// WGS84; within 0.5 % of the ellipsoid everywhere (the flattening is 0.34 %).
fn sphere_length_m(gpx: &str) -> f64 {
    let number = |text: &str, key: &str| -> f64 {
        let rest = text.split_once(&format!("{key}=\"")).unwrap().1;
        rest.split_once('"').unwrap().0.parse().unwrap()
    };
    let points: Vec<(f64, f64)> = gpx
        .split("<trkpt ")
        .skip(1)
        .map(|point| {
            (
                number(point, "lat").to_radians(),
                number(point, "lon").to_radians(),
            )
        })
        .collect();
    let between = |a: (f64, f64), b: (f64, f64)| {
        let h = ((b.0 - a.0) / 2.0).sin().powi(2)
            + a.0.cos() * b.0.cos() * ((b.1 - a.1) / 2.0).sin().powi(2);
        2.0 * 6_371_008.8 * h.sqrt().asin()
    };
    points
        .windows(2)
        .map(|pair| between(pair[0], pair[1]))
        .sum()
}

#[test]
fn the_finish_lies_at_the_length_of_the_route_file() {
    let out = quick(STATIONS, &[]);
    let gpx = std::fs::read_to_string(short_route()).unwrap();
    let (ours_m, sphere_m) = (
        splits(&out)[3]["distance_m"].as_f64().unwrap(),
        sphere_length_m(&gpx),
    );
    assert!(
        (ours_m / sphere_m - 1.0).abs() < 0.005,
        "{ours_m} m, {sphere_m} m"
    );
    // stations of a list without a finish are not rescaled
    assert_eq!(splits(&out)[1]["distance_m"], 15_250.0);
}

#[test]
fn instants_are_there_where_a_start_is_known_and_absent_where_not() {
    let without = quick(STATIONS, &[]);
    lacks(&without, &["start"]);
    for split in splits(&without) {
        lacks(split, &WITH_START);
    }
    // the clocks of the European Union go back at 03:00 on 25 October 2026 (Directive 2000/84/EC)
    let with = quick(
        STATIONS,
        &["--start", "2026-10-24T23:00", "--timezone", "Europe/Vienna"],
    );
    assert_eq!(with["start"], "2026-10-24T23:00:00+02:00");
    let start = DateTime::parse_from_rfc3339("2026-10-24T23:00:00+02:00").unwrap();
    for split in splits(&with) {
        has(split, &WITH_START);
        for (key, elapsed) in [("arrival", "arrival_s"), ("departure", "departure_s")] {
            let instant = DateTime::parse_from_rfc3339(split[key].as_str().unwrap()).unwrap();
            assert_eq!(
                (instant - start).num_seconds(),
                seconds(split, elapsed),
                "{split:#}"
            );
        }
    }
    assert_eq!(splits(&with)[3]["arrival"], "2026-10-25T05:12:33+01:00");
    assert!(
        splits(&with)[1]["arrival"]
            .as_str()
            .unwrap()
            .ends_with("+02:00")
    );
}

#[test]
fn cutoffs_are_there_where_set_and_absent_where_not() {
    let list = "name,distance_km,cutoff,cutoff_on,stop_min\n\
                Miller's Ford,15,,,5\nOak Gap,32,+6:00,departure,10\nLow Barn,40,,,\nLast Hut,45,+9:00,,\n";
    let out = quick(list, &[]);
    let [start, ford, gap, barn, hut, finish] = &splits(&out)[..] else {
        panic!("{out:#}")
    };
    for split in [start, ford, barn] {
        lacks(split, &WITH_CUTOFF);
        has(split, &BEFORE_CUTOFF);
    }
    for split in [gap, hut] {
        has(split, &WITH_CUTOFF);
    }
    lacks(finish, &WITH_CUTOFF);
    for split in [hut, finish] {
        lacks(split, &BEFORE_CUTOFF);
    }
    assert_eq!(seconds(gap, "cutoff_s"), 6 * 3600);
    assert_eq!(seconds(gap, "departure_s") - seconds(gap, "arrival_s"), 600);
    assert_eq!(
        seconds(gap, "margin_s"),
        6 * 3600 - seconds(gap, "departure_s")
    );
    assert_eq!(
        seconds(hut, "margin_s"),
        9 * 3600 - seconds(hut, "arrival_s")
    );
    assert_eq!(gap["binding"], "Oak Gap");
    assert_eq!(seconds(gap, "latest_departure_s"), 6 * 3600);
    assert_eq!(barn["binding"], "Last Hut");
}

#[test]
fn a_plan_holds_all_of_it() {
    let case = Case::new()
        .copied("demo-data")
        .copied("courses/velprek-50k");
    let plan = ["plan", "demo-data/plan-50k.toml", "--format", "json"];
    let outcome = case.run(&plan);
    assert!(matches!(outcome.code, Some(0 | 1)), "{outcome}");
    let out = outcome.json();
    let splits_out = case
        .run(&["splits", "demo-data/plan-50k.toml", "--format", "json"])
        .json();
    assert_eq!(out["splits"], splits_out["splits"]);
    assert_eq!(out["other_finishes"], splits_out["other_finishes"]);
    for key in [
        "segments", "bags", "crew", "pickups", "findings", "cautions",
    ] {
        assert!(out[key].is_array(), "{key} in {out:#}");
    }
    let segments = out["segments"].as_array().unwrap();
    assert_eq!(segments.len() + 1, splits(&out).len());
    for (segment, pair) in segments.iter().zip(splits(&out).windows(2)) {
        assert_eq!(segment["from"], pair[0]["station"]);
        assert_eq!(segment["to"], pair[1]["station"]);
        let moving = seconds(&pair[1], "arrival_s") - seconds(&pair[0], "departure_s");
        assert_eq!(seconds(segment, "moving_s"), moving);
        for key in [
            "length_m",
            "climb_m",
            "descent_m",
            "pace_s_per_km",
            "fluid_ml",
            "sodium_mg",
            "carbs_g",
            "energy_kcal",
        ] {
            let number = segment[key].as_f64();
            assert!(number.is_some_and(|n| 0.0 <= n), "{key} in {segment:#}");
        }
    }
    for finding in out["findings"].as_array().unwrap() {
        has(finding, &["kind", "weight", "text", "ways_out"]);
        let weight = finding["weight"].as_str().unwrap();
        assert!(
            ["note", "warning", "failure"].contains(&weight),
            "{finding:#}"
        );
    }
    assert!(!out["cautions"].as_array().unwrap().is_empty());
}

#[test]
fn bags_and_crew_name_places_stations_and_seconds() {
    let case = Case::new()
        .copied("demo-data")
        .copied("courses/torvena-100k");
    let args = ["plan", "demo-data/plan-100k.toml", "--format", "json"];
    let out = case.run(&args).json();
    let stations = names(&out);
    let bags = out["bags"].as_array().unwrap();
    // the organiser brings bags to two places, and the crew drives to three stations and the finish
    assert_eq!(bags.len(), 2, "{bags:#?}");
    for bag in bags {
        assert!(bag["place"].is_string(), "{bag:#}");
        for visit in bag["visits"].as_array().unwrap() {
            assert!(
                stations.contains(&visit["station"].as_str().unwrap()),
                "{visit:#}"
            );
            for serving in visit["servings"].as_array().unwrap() {
                assert!(serving["food"].is_string() && serving["count"].is_u64());
                assert_eq!(serving["source"], "bag", "{serving:#}");
            }
        }
    }
    let crew = out["crew"].as_array().unwrap();
    let met: Vec<&str> = crew
        .iter()
        .map(|m| m["station"].as_str().unwrap())
        .collect();
    assert_eq!(
        met,
        [
            "Pian dei Larovi",
            "Ponte Morlin",
            "Stavoli Grimana",
            "Lumiesana"
        ]
    );
    for meeting in crew {
        let split = splits(&out)
            .iter()
            .find(|s| s["station"] == meeting["station"])
            .unwrap();
        assert_eq!(meeting["likely_s"], split["likely_s"]);
        assert_eq!(meeting["late_s"], split["late_s"]);
        assert_eq!(meeting["departure_s"], split["departure_s"]);
        // 20 minutes of buffer in crew-100k.toml, whether the drive is known or not
        assert_eq!(
            seconds(meeting, "be_there_s"),
            seconds(split, "early_s") - 1200
        );
    }
}

#[test]
fn the_course_has_stations_and_segments_without_a_target() {
    let plan = in_repository("demo-data/plan-100k.toml");
    let args = ["course", plan.to_str().unwrap(), "--format", "json"];
    let out = Case::new().run(&args).exits(0).json();
    let (stations, segments) = (
        out["stations"].as_array().unwrap(),
        out["segments"].as_array().unwrap(),
    );
    assert_eq!((stations.len(), segments.len()), (15, 14));
    assert_eq!(stations[0]["distance_m"], 0.0);
    assert_eq!(stations[14]["distance_m"], out["survey"]["route_length_m"]);
    assert_eq!(stations[7]["station"], "Ponte Morlin");
    assert_eq!(stations[7]["drop_bag"], true);
}
