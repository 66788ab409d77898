//! Calendars as runners ask for them, walked from the first line to the last.

use crate::support::case::{Case, in_repository};

/// A runner of 33 hours: nothing known, a hundred and a hill race behind them, or a record.
fn case(past: &str) -> Case {
    let course = in_repository("courses/wolkenried-100mi");
    Case::new().file(
        "plan.toml",
        format!("course = {course:?}\nfinish = \"33:00:00\"\n{past}"),
    )
}

const HUNDRED: &str = "[[past]]\nname = \"A hundred\"\ndate = 2026-04-04\ndistance_km = 161\n\
                       climb_m = 4800\ntime = \"31:40:00\"\n";
const FIFTY: &str = "[[past]]\nname = \"Hill fifty\"\ndate = 2026-09-05\ndistance_km = 50\n\
                     climb_m = 1800\ntime = \"7:52:00\"\n";

/// The demo's race day is Saturday 24 October 2026.
fn laid_out(case: &Case, from: &str, more: &[&str]) -> serde_json::Value {
    let args = ["rehearse", "--calendar", "--from", from, "--format", "json"];
    let usual = ["--longest-now", "25km"];
    let usual = if more.contains(&usual[0]) {
        &[][..]
    } else {
        &usual
    };
    let typed = [&args[..], usual, more].concat();
    case.run(&typed).exits(0).json()["calendar"].clone()
}

fn runs(calendar: &serde_json::Value) -> Vec<&serde_json::Value> {
    let weeks = calendar["weeks"].as_array().expect("weeks");
    let runs = weeks.iter().filter_map(|week| week["runs"].as_array());
    runs.flatten().collect()
}

#[test]
fn a_race_that_was_run_has_the_time_it_took() {
    let case = case(&[HUNDRED, FIFTY].concat());
    let calendar = laid_out(&case, "2026-07-04", &[]);
    let race = runs(&calendar)
        .into_iter()
        .find(|run| run["date"] == "2026-09-05");
    let race = race.expect("the race is in the calendar");
    assert_eq!(race["time_s"], 7 * 3600 + 52 * 60, "{race}");
    // without a record no week before it is taken for lost
    let kinds = calendar["findings"].to_string();
    assert!(!kinds.contains("stepped-back"), "{kinds}");
}

/// Weeks that were lost one after the other are one line.
#[test]
fn weeks_lost_in_a_row_are_said_once() {
    let lost = ["--block", "2026-07-27..2026-08-16"];
    let calendar = laid_out(&case(""), "2026-07-04", &lost);
    let findings = calendar["findings"].as_array().expect("findings");
    let kinds: Vec<&str> = findings.iter().filter_map(|f| f["kind"].as_str()).collect();
    let back = kinds.iter().filter(|kind| **kind == "stepped-back").count();
    assert_eq!(back, 1, "{findings:#?}");
}

/// However early one begins, tests are in the last sixteen weeks, and with six weeks left too.
#[test]
fn tests_are_near_enough_to_the_race_to_be_remembered() {
    for (from, first) in [
        ("2026-01-17", "2026-07-04"),
        ("2026-05-09", "2026-07-04"),
        ("2026-08-01", "2026-08-01"),
        ("2026-09-12", "2026-09-12"),
        // across the end of a year
        ("2025-12-01", "2026-07-04"),
    ] {
        let calendar = laid_out(&case(""), from, &[]);
        let tested = runs(&calendar).into_iter().filter(|run| {
            run["tests"]
                .as_array()
                .is_some_and(|tests| !tests.is_empty())
        });
        let days: Vec<&str> = tested.filter_map(|run| run["date"].as_str()).collect();
        assert_eq!(days.first(), Some(&first), "{from}: {days:?}");
        // nobody's own weekly distance is made up
        let weeks = calendar["weeks"].as_array().expect("weeks");
        assert!(weeks.iter().all(|week| week["week_m"].is_null()), "{from}");
    }
}

/// With three weeks left the runs that remain have their tests in as many lines.
#[test]
fn few_weeks_are_few_lines() {
    let said = case(HUNDRED).run(&[
        "rehearse",
        "--calendar",
        "--from",
        "2026-10-03",
        "--longest-now",
        "25km",
        "--units",
        "metric",
    ]);
    let after = said.out.split("What each run tests\n").nth(1);
    let tests = after.and_then(|rest| rest.split("The costliest").next());
    let lines = tests.expect("tests").lines().count();
    assert!(lines <= 9, "{said}");
    assert!(!said.out.contains("Too few weeks"), "{said}");
}

/// A hundred miles seven weeks before: four easy weeks come first (common practice, no source: two
/// to four), though the longest run of late was long.
#[test]
fn weeks_after_a_hundred_are_easy() {
    let raced = HUNDRED.replace("2026-04-04", "2026-09-05");
    let calendar = laid_out(&case(&raced), "2026-09-07", &["--longest-now", "46km"]);
    let weeks = calendar["weeks"].as_array().expect("weeks");
    let kinds: Vec<&str> = weeks
        .iter()
        .filter_map(|week| week["kind"].as_str())
        .collect();
    assert_eq!(kinds[..4], ["after race"; 4], "{kinds:?}");
    let longest_m = runs(&calendar)
        .into_iter()
        .filter_map(|run| run["distance_m"].as_f64())
        .fold(0.0, f64::max);
    assert!(longest_m <= 20_000.0, "{longest_m}");
}

/// The demo's season, looked at from its end: what was run counts, and what is over is not said.
#[test]
fn a_season_that_was_run_is_no_list_of_complaints() {
    let asked = "rehearse demo-data/plan.toml --calendar --from 2026-06-15 --format json";
    let case = Case::new().copied("demo-data").copied("courses");
    let typed: Vec<&str> = asked.split(' ').collect();
    let calendar = case.run(&typed).exits(0).json()["calendar"].clone();
    // 78 km in July by her own past results, 46.7 km in August by the record
    assert!(calendar["reached_m"].as_f64() >= Some(46_000.0));
    assert!(calendar["shortfall"].is_null(), "{}", calendar["shortfall"]);
    let findings = calendar["findings"].as_array().expect("findings");
    assert!(findings.len() <= 3, "{findings:#?}");
}
