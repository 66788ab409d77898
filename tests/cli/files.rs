//! `--output`: whole or not at all, and never over what is there unless told to.

use crate::support::case::{Case, Outcome, short_route};

fn splits(case: &Case, more: &[&str]) -> Outcome {
    let route = short_route();
    let args = ["splits", "--route", &route, "--finish", "7:30:00"];
    case.run(&args.iter().chain(more).copied().collect::<Vec<_>>())
}

#[test]
fn the_file_holds_what_would_be_printed() {
    for format in ["table", "markdown", "csv", "json"] {
        let case = Case::new();
        let printed = splits(&case, &["--format", format]).exits(0).out;
        splits(&case, &["--format", format, "-o", "out"])
            .exits(0)
            .quietly()
            .prints_nothing();
        assert_eq!(case.text("out"), printed);
        assert_eq!(case.listing(), ["out"]);
    }
}

#[test]
fn a_check_has_every_format_both_units_and_a_file() {
    let (case, route) = (Case::new(), short_route());
    let mut told = Vec::new();
    for format in ["table", "markdown", "csv", "html", "json"] {
        for units in ["metric", "imperial"] {
            let check = ["check", "--route", &route, "--finish", "3:00:00"];
            let asked = [&check[..], &["--format", format, "--units", units]].concat();
            let printed = case.run(&asked).exits(0).out;
            let file = format!("{format}-{units}");
            case.run(&[&asked[..], &["-o", &file]].concat()).exits(0);
            assert_eq!(case.text(&file), printed);
            told.push(printed);
        }
    }
    // amounts of fluid and body mass are told in the reader's own units
    told.sort();
    told.dedup();
    assert!(told.len() >= 9, "{told:#?}");
}

#[test]
fn a_file_that_is_there_is_kept_unless_told() {
    let case = Case::new().file("out", "mine");
    splits(&case, &["-o", "out"])
        .exits(2)
        .prints_nothing()
        .says("--overwrite");
    assert_eq!(case.text("out"), "mine");
    splits(&case, &["-o", "out", "--overwrite"])
        .exits(0)
        .quietly();
    assert!(case.text("out").contains("Finish"));
    splits(&case, &["--output", "new", "--overwrite"])
        .exits(0)
        .quietly();
    assert_eq!(case.listing(), ["new", "out"]);
}

#[test]
fn nothing_is_left_behind_where_it_cannot_be_written() {
    let case = Case::new()
        .file("plain", "a file")
        .file("folder/inside", "");
    let before = case.listing();
    for (place, more) in [
        ("missing/out", &[][..]),
        ("plain/out", &[]),
        ("folder", &[]),
        ("folder", &["--overwrite"]),
    ] {
        let args: Vec<&str> = ["-o", place].iter().chain(more).copied().collect();
        splits(&case, &args).exits(2).prints_nothing().says(place);
        assert_eq!(case.listing(), before);
    }
}

#[test]
fn nothing_is_written_where_nothing_was_planned() {
    let case = Case::new();
    let route = short_route();
    let args = [
        "splits", "--route", &route, "--finish", "1:00:00", "-o", "out",
    ];
    case.run(&args).exits(2);
    assert!(case.listing().is_empty());
}

#[test]
fn a_plan_that_fails_is_written_all_the_same() {
    let case = Case::new().file("s.csv", "name,distance_km,cutoff\nOak Gap,32,+3:00\n");
    splits(&case, &["--stations", "s.csv", "-o", "out"])
        .exits(1)
        .says("the plan fails: `Oak Gap`");
    assert!(case.text("out").contains("Oak Gap"));
}

/// The crew must be able to read what the runner wrote.
#[cfg(unix)]
#[test]
fn files_have_the_permissions_of_any_new_file() {
    use std::os::unix::fs::PermissionsExt;
    let case = Case::new().file("ordinary", "");
    splits(&case, &["-o", "out"]).exits(0);
    case.run(&["new", "race"]).exits(0);
    let mode = |name: &str| {
        std::fs::metadata(case.path(name))
            .unwrap()
            .permissions()
            .mode()
    };
    assert_eq!(mode("out"), mode("ordinary"));
    assert_eq!(mode("race/plan.toml"), mode("ordinary"));
    std::fs::create_dir(case.path("folder")).unwrap();
    assert_eq!(mode("race/course"), mode("folder"));
    assert_eq!(mode("race"), mode("folder"));
}

/// A rename over a device would take it away from every program of the machine; a socket is as
/// little a file, and is ours to try it on.
#[cfg(unix)]
#[test]
fn what_is_no_ordinary_file_is_not_replaced() {
    use std::os::unix::fs::FileTypeExt;
    let case = Case::new();
    let place = case.path("place");
    let _socket = std::os::unix::net::UnixListener::bind(&place).unwrap();
    splits(&case, &["-o", "place", "--overwrite"])
        .exits(2)
        .prints_nothing()
        .says("could not write `place`: it exists and is not a regular file");
    let kind = std::fs::symlink_metadata(&place).unwrap().file_type();
    assert!(kind.is_socket());
}

/// Every way to name a file that the plan is made of.
#[test]
fn a_file_that_the_plan_is_made_of_is_never_replaced() {
    let case = Case::new().copied("demo-data").copied("courses");
    for (input, output) in [
        ("demo-data/plan-50k.toml", "demo-data/plan-50k.toml"),
        (
            "demo-data/plan-50k.toml",
            "demo-data/../demo-data/plan-50k.toml",
        ),
        (
            "demo-data/pantry.csv",
            "./demo-data/long-runs/../pantry.csv",
        ),
        (
            "courses/velprek-50k/route.gpx",
            "courses/velprek-50k/route.gpx",
        ),
    ] {
        let before = case.text(input);
        for verb in ["plan", "splits"] {
            let plan = "demo-data/plan-50k.toml";
            case.run(&[verb, plan, "-o", output, "--overwrite"])
                .exits(2)
                .prints_nothing()
                .says("is an input here, so it is not overwritten");
            assert_eq!(case.text(input), before);
        }
    }
    let page = ["page", "demo-data/plan-50k.toml", "--overwrite", "-o"];
    let over = [&page[..], &["demo-data/runner.toml"]].concat();
    case.run(&over).exits(2).says("is an input here");
}

#[cfg(unix)]
#[test]
fn a_link_is_no_way_around_what_is_never_replaced() {
    let case = Case::new().copied("demo-data").copied("courses");
    let pantry = case.text("demo-data/pantry.csv");
    let link = |to: &str, at: &str| std::os::unix::fs::symlink(to, case.path(at)).unwrap();
    // an output that leads to an input, a folder that does, an input that leads to the output
    link("demo-data/plan-50k.toml", "out.txt");
    link("demo-data", "elsewhere");
    std::fs::rename(case.path("demo-data/pantry.csv"), case.path("mine.csv")).unwrap();
    link("../mine.csv", "demo-data/pantry.csv");
    for output in ["out.txt", "elsewhere/plan-50k.toml", "mine.csv"] {
        let before = case.text(output);
        case.run(&[
            "plan",
            "demo-data/plan-50k.toml",
            "-o",
            output,
            "--overwrite",
        ])
        .exits(2)
        .prints_nothing()
        .says("is an input here");
        assert_eq!(case.text(output), before);
    }
    assert_eq!(case.text("mine.csv"), pantry);
}
