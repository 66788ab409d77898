//! `sutler new`: a folder that plans as it is.

use super::REPORT_VERBS;
use crate::support::case::{Case, in_repository, short_route};

#[test]
fn a_new_folder_plans_as_it_is() {
    let case = Case::new();
    case.run(&["new", "race"])
        .exits(0)
        .quietly()
        .prints("race/plan.toml");
    for verb in REPORT_VERBS {
        case.run(&[verb, "race/plan.toml"]).exits(0).quietly();
    }
    case.run(&["check", "race"])
        .exits(0)
        .quietly()
        .prints("no warnings");
}

#[test]
fn a_new_folder_holds_every_file_and_nothing_else() {
    let case = Case::new();
    case.run(&["new", "race"]).exits(0);
    let wanted = [
        "race/",
        "race/course/",
        "race/course/course.toml",
        "race/course/route.gpx",
        "race/course/stations.csv",
        "race/course/surfaces.csv",
        "race/crew.toml",
        "race/gear.csv",
        "race/pantry.csv",
        "race/plan.toml",
        "race/runner.toml",
        "race/weather.csv",
    ];
    assert_eq!(case.listing(), wanted);
}

#[test]
fn an_empty_folder_is_filled() {
    let case = Case::new();
    std::fs::create_dir(case.path("race")).unwrap();
    case.run(&["new", "race"]).exits(0);
    case.run(&["plan", "race"]).exits(0).quietly();
}

#[test]
fn the_current_folder_is_filled_if_empty() {
    let case = Case::new();
    case.run(&["new", "."]).exits(0).quietly();
    case.run(&["plan"]).exits(0).quietly();
}

#[test]
fn a_folder_with_something_in_it_is_left_alone() {
    let case = Case::new()
        .file("race/notes.txt", "mine")
        .file("plain", "a file");
    let before = case.listing();
    for folder in ["race", "plain", "."] {
        let refused = case.run(&["new", folder]).exits(2).prints_nothing();
        refused.says("not empty");
        assert_eq!(case.listing(), before);
    }
    assert_eq!(case.text("race/notes.txt"), "mine");
}

#[test]
fn nothing_is_left_behind_where_it_cannot_be_written() {
    let case = Case::new().file("plain", "a file");
    for folder in ["plain/race", "missing/below/race"] {
        case.run(&["new", folder])
            .exits(2)
            .prints_nothing()
            .says("could not write");
        assert_eq!(case.listing(), ["plain"]);
    }
}

#[test]
fn ones_own_route_takes_the_place_of_the_examples() {
    let case = Case::new();
    let route = short_route();
    case.run(&["new", "race", "--route", &route])
        .exits(0)
        .quietly();
    assert_eq!(
        case.text("race/course/route.gpx"),
        std::fs::read_to_string(in_repository("courses/velprek-50k/route.gpx")).unwrap()
    );
    // what told of the example's route does not tell of this one: the lists wait to be filled in
    let outcome = case.run(&["course", "race", "--format", "json"]).exits(0);
    let names: Vec<String> = outcome.json()["stations"]
        .as_array()
        .unwrap()
        .iter()
        .map(|station| station["station"].as_str().unwrap().to_owned())
        .collect();
    assert_eq!(names[..2], ["Start", "5 km"]);
    assert_eq!(names.last().map(String::as_str), Some("Finish"));
    assert!(!names.iter().any(|name| name == "Mill"));
    assert_eq!(
        outcome.err.matches("warning: ").count(),
        outcome.err.matches("has column names and no rows").count(),
        "{outcome}"
    );
}

#[test]
fn a_route_that_cannot_be_read_makes_no_folder() {
    let case = Case::new();
    case.run(&["new", "race", "--route", "nowhere.gpx"])
        .exits(2)
        .prints_nothing()
        .says("`nowhere.gpx`");
    assert!(case.listing().is_empty());
}
