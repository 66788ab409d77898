//! `sutler book`: a folder whole or not at all.

use std::process::Stdio;
use std::time::Duration;

use crate::support::case::{Case, short_route};

fn args<'a>(route: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    let quick = ["book", "--route", route, "--finish", "7:30:00", "--out"];
    quick.iter().chain(more).copied().collect()
}

fn demo() -> Case {
    Case::new()
        .copied("demo-data")
        .copied("courses/velprek-50k")
}

const DEMO: [&str; 4] = ["book", "demo-data/plan-50k.toml", "--out", "race"];

#[test]
fn a_book_is_written_whole() {
    let case = demo();
    let before = case.listing();
    let outcome = case.run(&DEMO).exits(0).quietly();
    outcome
        .prints(&format!("wrote {} files", 27))
        .prints("index.html")
        .prints("no PDFs");
    let added: Vec<String> = (case.listing().into_iter())
        .filter(|name| !before.contains(name))
        .collect();
    assert_eq!(added.len(), 29, "{added:?}");
    assert!(case.text("race/index.html").contains("Velprek Hill Laps"));
    assert!(
        case.text("race/crew.ics")
            .starts_with("BEGIN:VCALENDAR\r\n")
    );
    assert!(case.text("race/splits.csv").starts_with("number,station,"));
    assert!(case.text("race/card.html").starts_with("<!DOCTYPE html>"));
}

#[test]
fn files_of_the_book_are_those_of_the_verbs() {
    let case = demo();
    case.run(&DEMO).exits(0);
    for (file, verb, format) in [
        ("race/splits.csv", "splits", "csv"),
        ("race/crew.md", "crew", "markdown"),
        ("race/plan.json", "plan", "json"),
    ] {
        let args = [
            verb,
            "demo-data/plan-50k.toml",
            "--format",
            format,
            "-o",
            "out",
        ];
        case.run(&args).exits(0);
        assert!(case.text("out") == case.text(file), "{file}");
        std::fs::remove_file(case.path("out")).unwrap();
    }
}

#[test]
fn a_folder_with_anything_in_it_is_kept() {
    let route = short_route();
    let case = Case::new().file("race/notes.txt", "mine");
    case.run(&args(&route, &["race"]))
        .exits(2)
        .prints_nothing()
        .says("not empty");
    assert_eq!(case.listing(), ["race/", "race/notes.txt"]);
    case.run(&args(&route, &["race/notes.txt"]))
        .exits(2)
        .says("is a file");
    assert_eq!(case.text("race/notes.txt"), "mine");
}

#[test]
fn an_older_book_is_replaced_and_nothing_else() {
    let route = short_route();
    let case = demo();
    case.run(&DEMO).exits(0);
    let case = case.file("race/notes.txt", "mine");
    assert!(case.path("race/crew.ics").exists());
    // a quick start has no crew: the calendar of the older book must not stay beside it
    case.run(&args(&route, &["race", "--overwrite"])).exits(0);
    assert!(!case.path("race/crew.ics").exists());
    assert!(!case.text("race/index.html").contains("crew.ics"));
    assert_eq!(case.text("race/notes.txt"), "mine");
    let quick = Case::new();
    quick.run(&args(&route, &["race"])).exits(0);
    let inside = |case: &Case| {
        let files = case.listing().into_iter();
        files
            .filter(|name| name.starts_with("race/") && name != "race/notes.txt")
            .collect::<Vec<String>>()
    };
    assert_eq!(inside(&case), inside(&quick));
}

#[test]
fn a_folder_that_never_was_a_book_is_kept_even_with_overwrite() {
    let route = short_route();
    let case = Case::new().file("race/plan.md", "mine");
    let before = case.listing();
    case.run(&args(&route, &["race", "--overwrite"]))
        .exits(2)
        .prints_nothing()
        .says("`race` is not empty, and `book` did not write it");
    assert_eq!(case.text("race/plan.md"), "mine");
    assert_eq!(case.listing(), before);
}

#[test]
fn a_file_of_the_book_that_was_changed_since_is_kept() {
    let route = short_route();
    let case = Case::new();
    case.run(&args(&route, &["race"])).exits(0);
    let case = case.file("race/plan.md", "my own notes");
    let before = case.listing();
    case.run(&args(&route, &["race", "--overwrite"]))
        .exits(2)
        .says("plan.md` was changed since the book was written");
    assert_eq!(case.text("race/plan.md"), "my own notes");
    assert_eq!(case.listing(), before);
}

#[test]
fn a_file_beside_the_book_that_has_the_name_of_a_new_one_is_kept() {
    let route = short_route();
    let case = demo();
    case.run(&args(&route, &["race"])).exits(0);
    // a quick start wrote no calendar, so this is somebody's own
    let case = case.file("race/crew.ics", "mine");
    let before = case.listing();
    let over = [&DEMO[..], &["--overwrite"]].concat();
    case.run(&over).exits(2).says("this book did not write it");
    assert_eq!(case.text("race/crew.ics"), "mine");
    assert_eq!(case.listing(), before);
}

#[test]
fn a_book_is_not_written_over_a_track_that_it_is_made_of() {
    let route = short_route();
    let case = Case::new();
    case.run(&args(&route, &["race"])).exits(0);
    let track = case.text("race/track.gpx");
    case.run(&args("race/track.gpx", &["race", "--overwrite"]))
        .exits(2)
        .says("is an input here");
    assert_eq!(case.text("race/track.gpx"), track);
}

#[test]
fn a_folder_in_the_way_leaves_all_as_it_was() {
    let route = short_route();
    let case = Case::new();
    case.run(&args(&route, &["race"])).exits(0);
    let index = case.text("race/index.html");
    std::fs::remove_file(case.path("race/track.gpx")).unwrap();
    let case = case.file("race/track.gpx/inside", "mine too");
    let before = case.listing();
    case.run(&args(&route, &["race", "--overwrite"]))
        .exits(2)
        .says("track.gpx");
    assert_eq!(case.listing(), before);
    assert_eq!(case.text("race/index.html"), index);
}

#[test]
fn what_cannot_be_planned_writes_nothing() {
    let route = short_route();
    let case = Case::new();
    let quick = [
        "book", "--route", &route, "--finish", "0:30:00", "--out", "race",
    ];
    case.run(&quick)
        .exits(2)
        .says("is too fast for this course");
    case.run(&args(&route, &["no/such/race"]))
        .exits(2)
        .says("could not write");
    assert!(case.listing().is_empty());
}

#[test]
fn same_plan_same_bytes() {
    let case = demo();
    case.run(&DEMO).exits(0);
    let mut again = DEMO;
    again[3] = "again";
    case.run(&again).exits(0);
    for name in case.listing() {
        if let Some(file) = name.strip_prefix("race/").filter(|file| !file.is_empty()) {
            let bytes = |name: &str| std::fs::read(case.path(name)).unwrap();
            assert!(bytes(&name) == bytes(&format!("again/{file}")), "{file}");
        }
    }
}

#[test]
fn a_plan_that_fails_is_written_and_said() {
    let route = short_route();
    let case = Case::new().file("s.csv", "name,distance_km,cutoff\nHut,20,+1:00\n");
    let late = args(&route, &["race", "--stations", "s.csv"]);
    case.run(&late)
        .exits(1)
        .says("the plan fails: `Hut` is reached");
    assert!(case.path("race/index.html").exists());
}

#[test]
fn a_book_that_is_killed_while_it_replaces_another_is_whole_files_and_can_be_written_again() {
    let route = short_route();
    let case = demo();
    let over = args(&route, &["race", "--overwrite"]);
    let again = [&DEMO[..], &["--overwrite"]].concat();
    case.run(&DEMO).exits(0);
    for turn in 0..4u64 {
        let next = if turn % 2 == 0 { &over } else { &again };
        let mut child = (case.command(next).stdout(Stdio::null()))
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        // until it begins to move files, then a little later each turn
        while child.try_wait().unwrap().is_none()
            && !case
                .listing()
                .iter()
                .any(|name| name.starts_with("race/.sutler-unfinished-"))
        {}
        std::thread::sleep(Duration::from_millis(3 * turn));
        child.kill().unwrap();
        child.wait().unwrap();
        assert!(case.text("race/index.html").ends_with("</html>\n"));
    }
    case.run(&again).exits(0);
    let whole = demo();
    whole.run(&DEMO).exits(0);
    assert_eq!(case.listing(), whole.listing());
}
