//! What the runner has: the kit as one thing, races run before, and few lines where weeks are few.

use crate::support::case::Case;

#[test]
fn a_late_calendar_says_what_matters_in_few_lines() {
    let case = Case::new().copied("demo-data").copied("courses");
    std::fs::remove_file(case.path("demo-data/long-runs/record.toml")).unwrap();
    let typed = "rehearse demo-data/plan.toml --calendar --from 2026-10-05 --longest-now 30km";
    let told = case.run(&typed.split(' ').collect::<Vec<_>>()).exits(0).out;
    // no piece of the kit by itself, no week that nobody asked for
    for word in ["whistle", "emergency blanket", "whole week"] {
        assert!(!told.contains(word), "{word}\n{told}");
    }
    // she has run 78 km
    assert!(!told.contains("a race of about"), "{told}");
    let (_, missing) = told.split_once("Not tested in full by race day").unwrap();
    let (missing, _) = missing.split_once("Cautions").unwrap();
    assert!(missing.matches(" ! ").count() <= 3, "{missing}");
    // what can cost the race stands first
    let first = missing
        .lines()
        .find(|line| line.starts_with(" ! "))
        .unwrap();
    assert!(
        first.contains("drinking")
            || first.contains("carbohydrate")
            || first.contains("time on feet")
            || first.contains("descent"),
        "{first}"
    );
}

/// What is run in a week is the runner's, and need not be typed each time; what is typed goes before.
#[test]
fn the_week_is_read_from_the_runner_file() {
    let case = Case::new().copied("demo-data").copied("courses");
    let runner = case.text("demo-data/runner.toml");
    let typed = "rehearse demo-data/plan.toml --calendar --from 2026-06-15 --longest-now 20km";
    let told = |more: &str| {
        let words: Vec<&str> = typed.split(' ').chain(more.split_whitespace()).collect();
        case.run(&words).exits(0).out
    };
    let plain = told("");
    let by_hand = told("--week 50km");
    assert_ne!(plain, by_hand);
    std::fs::write(
        case.path("demo-data/runner.toml"),
        format!("week_km = 50\n{runner}"),
    )
    .unwrap();
    assert_eq!(told(""), by_hand);
    assert_ne!(told("--week 40km"), by_hand);
}
