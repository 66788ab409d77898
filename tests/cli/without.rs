//! `--without`: what is not there after all.

use crate::support::case::{Case, Outcome, in_repository, short_route};

fn run(verb: &str, more: &[&str], losses: &[&str]) -> Outcome {
    let plan = in_repository("demo-data/plan.toml").display().to_string();
    let mut args = vec![verb, &plan];
    args.extend(more);
    args.extend(losses.iter().flat_map(|loss| ["--without", *loss]));
    Case::new().run(&args)
}

const SEEN: [&str; 2] = ["--seen", "Innerfalz=19:40"];

#[test]
fn every_mistake_is_said_at_once() {
    let losses = [
        "bg:x",
        "bag:Innerfals",
        "crew:Kaltwandalm",
        "",
        "item:gal",
        "offers:",
        "flask:big",
    ];
    for (verb, more) in [("plan", &[][..]), ("replan", &SEEN)] {
        run(verb, more, &losses)
            .exits(2)
            .says("there is no loss of the kind `bg`")
            .says("did you mean `Innerfalz`?")
            .says("`Kaltwandalm` is not open to the crew")
            .says("`--without` is empty")
            .says("neither pantry nor gear has `gal`")
            .says("no place is named")
            .says("a flask has no name")
            .prints_nothing();
    }
}

#[test]
fn more_flasks_than_there_are_cannot_be_lost() {
    run("fuel", &[], &["flask"; 4])
        .exits(2)
        .says("you have only 3 flasks");
}

#[test]
fn without_a_crew_none_can_be_missed() {
    let route = short_route();
    let args = [
        "plan",
        "--route",
        &route,
        "--finish",
        "7:30:00",
        "--without",
        "crew:Start",
    ];
    Case::new()
        .run(&args)
        .exits(2)
        .says("the plan has no crew to do without");
}

#[test]
fn the_difference_is_shown_and_cautions_stay() {
    run("plan", &[], &["bag:innerfalz", "flask", "flask"])
        .exits(1)
        .prints("Without bag:Innerfalz, flask, flask")
        .prints("New findings")
        .prints("Thirst overrides the plan");
}

/// Known before the start a bag's things are packed elsewhere; found out there they are missing.
#[test]
fn known_before_and_found_out_on_the_day_are_two_cases() {
    run("plan", &[], &["bag:innerfalz"])
        .prints("Known before the start: the rest is packed again.");
    let found = run("plan", &["--found-out"], &["bag:innerfalz"]);
    found.prints("Found out on the day: nothing is packed elsewhere instead.");
    let (json, day) = (["--format", "json"], ["--format", "json", "--found-out"]);
    let known = run("bags", &json, &["bag:innerfalz"]).json();
    let found = run("bags", &day, &["bag:innerfalz"]).json();
    assert_eq!(known["without"]["found_out"], false);
    assert_eq!(found["without"]["found_out"], true);
    assert_ne!(known["without"]["changes"], found["without"]["changes"]);
}

#[test]
fn lamp_layer_and_the_whole_crew_can_be_missing() {
    run("plan", &[], &["item:lamp"])
        .exits(1)
        .prints("no `lamp`, needed from ");
    run("plan", &[], &["item:warm layer"])
        .exits(1)
        .prints("no `warm layer`, needed");
    let alone = run("crew", &["--format", "json"], &["crew"]).json();
    assert_eq!(alone["without"]["losses"][0], "crew");
    assert_eq!(alone["crew"].as_array().map(Vec::len), Some(0));
}

#[test]
fn data_carries_the_difference() {
    let json = ["--format", "json"];
    let value = run("bags", &json, &["crew:Moosgatter"]).json();
    assert_eq!(value["without"]["losses"][0], "crew:Moosgatter");
    assert!(!value["without"]["changes"].as_array().unwrap().is_empty());
    let value = run("replan", &[&SEEN[..], &json].concat(), &["crew:Moosgatter"]).json();
    assert_eq!(value["losses"][0], "crew:Moosgatter");
    let changes = value["hold_effort"]["changes"].as_array().unwrap();
    let there = changes.iter().find(|c| c["station"] == "Moosgatter back");
    assert!(!there.unwrap()["lost"].as_array().unwrap().is_empty());
}

#[test]
fn replanning_says_what_is_not_there_and_where_it_was_to_be() {
    run("replan", &SEEN, &["bag:Innerfalz"])
        .prints("Without ")
        .prints("bag:Innerfalz")
        .prints("not there: ")
        .prints("`dry socks` was to be taken up at `Innerfalz` and is missing");
}

#[test]
fn a_crew_that_does_not_get_there_brings_no_pacer_and_says_so() {
    let outcome = run("crew", &[], &["crew:Innerfalz"]);
    let outcome = outcome
        .prints("`Matej` cannot join at `Innerfalz`")
        .prints("join at `Moosgatter back`");
    assert!(!outcome.out.contains("It finds nothing"), "{outcome}");
    let data = run("crew", &["--format", "json"], &["crew:Innerfalz"]).json();
    let meetings = data["crew"].as_array().unwrap();
    assert!(meetings.iter().all(|one| one["station"] != "Innerfalz"));
    let back = meetings
        .iter()
        .find(|one| one["station"] == "Moosgatter back");
    // the crew waits at Moosgatter, where it was before
    assert_eq!(back.unwrap()["drive_s"], 0.0, "{meetings:#?}");
    let named = |one: &serde_json::Value| one.to_string().contains("Matej");
    assert!(!meetings.iter().any(named), "{meetings:#?}");
}
