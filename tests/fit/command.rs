//! `sutler fit` as it is typed.

use super::UNUSUAL;
use crate::support::case::Case;
use crate::support::recorded::{Recorded, Runner};

/// A folder with some days of an unusual runner.
fn with_days(count: u64) -> Case {
    (0..count).fold(Case::new(), |case, seed| {
        case.file(
            &format!("runs/day-{seed}.gpx"),
            Recorded::day(seed, UNUSUAL).gpx(),
        )
    })
}

const NO_TIMES: &str = "<gpx version=\"1.1\"><trk><trkseg>\
    <trkpt lat=\"45.5\" lon=\"14.2\"><ele>900</ele></trkpt>\
    <trkpt lat=\"45.6\" lon=\"14.2\"><ele>950</ele></trkpt></trkseg></trk></gpx>";

#[test]
fn a_folder_of_runs_gives_figures_and_their_worth() {
    let outcome = with_days(3).run(&["fit", "runs"]).exits(0).quietly();
    for words in [
        "Your own pace, from 3 recordings",
        "slowing down",
        "Would they have helped?",
        "runs/day-1.gpx  2026-05-10",
        "nine in ten below",
        "All recordings",
        "What these recordings cannot tell",
        "[pacing]\n# Fitted to 3 recordings of ",
    ] {
        assert!(outcome.out.contains(words), "no `{words}`\n{outcome}");
    }
    assert!(
        outcome.out.lines().all(|line| line.chars().count() <= 80),
        "{outcome}"
    );
}

#[test]
fn bad_files_are_named_and_the_others_go_on() {
    let case = with_days(1)
        .file("plan.gpx", NO_TIMES)
        .file("broken.gpx", "<html></html>")
        .file("empty.gpx", "");
    let files = [
        "runs/day-0.gpx",
        "plan.gpx",
        "broken.gpx",
        "empty.gpx",
        "gone.gpx",
    ];
    let args: Vec<&str> = ["fit"].into_iter().chain(files).collect();
    let outcome = case
        .run(&args)
        .exits(0)
        .prints("from 1 recording\n")
        .prints("One recording leaves none to try the figures on")
        .says("warning: `plan.gpx` is left out: its points have no times")
        .says("`broken.gpx` is left out: it could not be read")
        .says("`empty.gpx` is empty")
        .says("`gone.gpx` is left out: no such file");
    assert!(!outcome.err.contains("error"), "{outcome}");
}

#[test]
fn nothing_usable_is_an_error() {
    let case = Case::new()
        .file("plan.gpx", NO_TIMES)
        .file("notes/readme.txt", "");
    case.run(&["fit", "plan.gpx"])
        .exits(2)
        .prints_nothing()
        .says("error: no recording could be used");
    case.run(&["fit", "notes"])
        .exits(2)
        .says("there is no GPX file in `notes`");
    case.run(&["fit"]).exits(2).says("RUN.gpx");
}

#[test]
fn data_formats_hold_what_the_table_shows() {
    let case = with_days(3);
    let json = case
        .run(&["fit", "runs", "--format", "json"])
        .exits(0)
        .quietly()
        .json();
    assert_eq!(json["fit"]["recordings"].as_array().map(Vec::len), Some(3));
    let number = |name: &str| json["fit"]["figure"][name].as_f64().unwrap();
    assert!(number("low") <= number("value") && number("value") <= number("high"));
    let csv = case.run(&["fit", "runs", "--format", "csv"]).exits(0).out;
    let fade = csv.lines().find(|line| line.starts_with("fade,")).unwrap();
    assert_eq!(fade.split(',').count(), 6);
    let miles = case.run(&["fit", "runs", "--units", "imperial"]).exits(0);
    miles.prints("mi  finish");
    case.run(&["fit", "runs", "--format", "markdown", "-o", "fit.md"])
        .exits(0)
        .quietly()
        .prints_nothing();
    assert!(case.text("fit.md").contains("```text\n[pacing]\n"));
}

/// However many threads there are.
#[test]
fn the_same_runs_give_the_same_bytes() {
    let case = with_days(3);
    let run = |threads: &str| {
        let mut command = case.command(&["fit", "runs", "--format", "json"]);
        command
            .env("RAYON_NUM_THREADS", threads)
            .output()
            .unwrap()
            .stdout
    };
    let alone = run("1");
    assert!(!alone.is_empty());
    assert_eq!(alone, run("4"));
}

#[test]
fn write_changes_a_runner_file_and_shows_the_change_first() {
    let old = "mass_kg = 64 # weighed\n\n[pacing]\nfade = 0.7\n";
    let case = with_days(4).file("runner.toml", old);
    let outcome = case
        .run(&["fit", "runs", "--write", "runner.toml"])
        .exits(0)
        .says("in `runner.toml`:\n- fade = 0.7\n+ # Fitted to 4 recordings of ");
    assert!(!outcome.err.contains("mass_kg"), "{outcome}");
    let new = case.text("runner.toml");
    assert!(
        new.starts_with("mass_kg = 64 # weighed\n\n[pacing]\n# Fitted to 4"),
        "{new}"
    );
    case.run(&["fit", "runs", "--write", "runner.toml"])
        .exits(0)
        .says("`runner.toml` says this already");
    assert_eq!(case.text("runner.toml"), new);
    case.run(&["fit", "runs", "--write", "new.toml"]).exits(0);
    assert!(case.text("new.toml").starts_with("[pacing]\n# Fitted to 4"));
    assert_eq!(
        case.listing()
            .iter()
            .filter(|n| !n.starts_with("runs/"))
            .count(),
        2
    );
}

#[test]
fn a_runner_file_that_is_wrong_is_not_touched() {
    let old = "mass_kg = 700\n";
    let case = with_days(1).file("runner.toml", old);
    case.run(&["fit", "runs", "--write", "runner.toml"])
        .exits(2)
        .prints_nothing()
        .says("runner.toml:1:11");
    assert_eq!(case.text("runner.toml"), old);
    case.run(&["fit", "runs", "--write", "no/folder/runner.toml"])
        .exits(2)
        .says("could not write `no/folder/runner.toml`");
}

/// Figures that are no better than the defaults are printed, but not put where plans find them.
#[test]
fn figures_that_do_not_help_are_not_written() {
    // days that contradict each other: each is predicted worse from the other
    let mut one = Recorded::day(0, Runner::USUAL);
    let mut other = Recorded::day(1, Runner::USUAL);
    (one.runner.fade, other.runner.fade) = (0.0, 2.4);
    let old = "[pacing]\nfade = 1.0\n";
    let case = Case::new()
        .file("runs/one.gpx", one.gpx())
        .file("runs/other.gpx", other.gpx())
        .file("runner.toml", old);
    case.run(&["fit", "runs", "--write", "runner.toml"])
        .exits(0)
        .prints("keep the defaults")
        .says("`runner.toml` is left as it is");
    assert_eq!(case.text("runner.toml"), old);
}

/// What was fitted is what the planner uses.
#[test]
fn a_plan_takes_the_figures_up() {
    let case = with_days(4).copied("courses/velprek-50k");
    let plan = "course = \"courses/velprek-50k\"\nfinish = \"8:00:00\"\n";
    let case = case.file("plan.toml", plan);
    let finish = |case: &Case| {
        let json = case.run(&["splits", "--format", "json"]).json();
        let splits = json["splits"].as_array().unwrap().clone();
        let middle = splits[splits.len() / 2]["arrival_s"].as_i64().unwrap();
        (
            middle,
            splits[splits.len() - 1]["arrival_s"].as_i64().unwrap(),
        )
    };
    let before = finish(&case);
    case.run(&["fit", "runs", "--write", "runner.toml"])
        .exits(0);
    let after = finish(&case);
    assert_eq!(before.1, after.1);
    assert!((before.0 - after.0).abs() > 20, "{before:?} {after:?}");
}
