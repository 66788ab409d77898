//! Exit codes: 0 done, 1 done but the plan fails, 2 could not plan.

use super::REPORT_VERBS;
use crate::support::case::{Case, in_repository, short_route};

/// Two stations on the short route, with cutoffs.
fn with_cutoffs(first: &str, second: &str) -> Case {
    let text = format!("name,distance_km,cutoff\nMiller's Ford,15,{first}\nOak Gap,32,{second}\n");
    Case::new().file("stations.csv", text)
}

fn quick(verb: &str, finish: &str, more: &[&str]) -> Vec<String> {
    let route = short_route();
    let args = [verb, "--route", &route, "--finish", finish];
    args.iter().chain(more).map(|a| (*a).to_owned()).collect()
}

const STATIONS: [&str; 2] = ["--stations", "stations.csv"];

#[test]
fn a_plan_that_meets_its_cutoffs_is_done() {
    let case = with_cutoffs("+4:00", "+6:00");
    for verb in REPORT_VERBS {
        case.run(&quick(verb, "7:30:00", &STATIONS)).exits(0);
    }
    case.run(&quick("check", "7:30:00", &STATIONS)).exits(0);
}

#[test]
fn a_missed_cutoff_is_1_and_the_report_is_whole() {
    let case = with_cutoffs("+2:30", "+3:00:00");
    for verb in ["plan", "splits", "fuel", "bags", "crew"] {
        case.run(&quick(verb, "7:30:00", &STATIONS)).exits(1);
    }
    case.run(&quick("plan", "7:30:00", &STATIONS))
        .exits(1)
        .prints("Oak Gap")
        .prints("after its cutoff");
    case.run(&quick("check", "7:30:00", &STATIONS))
        .exits(1)
        .prints("after its cutoff");
    // the course has no target that could miss anything
    case.run(&quick("course", "7:30:00", &STATIONS)).exits(0);
}

#[test]
fn only_the_plans_own_finish_decides() {
    let case = with_cutoffs("+4:00", "+6:00");
    let slower = ["--stations", "stations.csv", "--finish", "20:00"];
    case.run(&quick("splits", "7:30:00", &slower)).exits(0);
    let faster = ["--stations", "stations.csv", "--finish", "7:30:00"];
    case.run(&quick("splits", "20:00:00", &faster)).exits(1);
}

/// The time after some words of a message.
fn time_after(said: &str, words: &str) -> String {
    let rest = said
        .split(words)
        .nth(1)
        .unwrap_or_else(|| panic!("no `{words}` in {said}"));
    rest.chars()
        .take_while(|c| c.is_ascii_digit() || *c == ':')
        .collect::<String>()
        .trim_end_matches(':')
        .to_owned()
}

#[test]
fn the_fastest_finish_named_is_accepted() {
    let stops = "name,distance_km,stop_min\nMiller's Ford,15,7.5\nOak Gap,32,20\n";
    for stations in [None, Some(stops)] {
        let case = Case::new().file("stations.csv", stations.unwrap_or("name,distance_km\n"));
        let more: &[&str] = if stations.is_some() { &STATIONS } else { &[] };
        for finish in ["0:01:00", "0:20:00", "2:30:00"] {
            let refused = case
                .run(&quick("splits", finish, more))
                .exits(2)
                .prints_nothing();
            let fastest = time_after(&refused.err, "set `finish` to ");
            case.run(&quick("splits", &fastest, more))
                .exits(0)
                .quietly();
        }
    }
}

#[test]
fn the_slowest_finish_named_is_accepted() {
    let case = Case::new();
    let refused = case
        .run(&quick("splits", "240:00:00", &[]))
        .exits(2)
        .prints_nothing();
    let slowest = time_after(&refused.err, "expected ");
    case.run(&quick("splits", &slowest, &[])).exits(0).quietly();
}

#[test]
fn a_target_that_stops_use_up_says_so() {
    let plan = format!(
        "course = {:?}\nfinish = \"4:00:00\"\n\n[stops]\naid_min = 90\n",
        in_repository("courses/velprek-50k")
    );
    let case = Case::new().file("plan.toml", &plan);
    case.run(&["splits"])
        .exits(2)
        .prints_nothing()
        .says("4:00:00 leaves too little time to run")
        .says("shorten the stops, which are minutes at each station");
}

#[test]
fn what_cannot_be_planned_is_2_and_prints_nothing() {
    let case = with_cutoffs("+4:00", "25:00");
    let route = short_route();
    let tries: &[(&[&str], &str)] = &[
        (
            &["splits", "--route", &route, "--finish", "5h12"],
            "10:30:00",
        ),
        (&["splits", "--route", &route, "--finish=-5:00"], "--finish"),
        (
            &["splits", "--route", "nowhere.gpx", "--finish", "5:00"],
            "`nowhere.gpx`: no such file",
        ),
        (
            &["splits", "--route", ".", "--finish", "5:00"],
            "could not read",
        ),
        (
            &["splits", "--route", "stations.csv", "--finish", "5:00"],
            "stations.csv",
        ),
        (
            &[
                "splits",
                "--route",
                &route,
                "--finish",
                "7:30:00",
                "--stations",
                "stations.csv",
            ],
            "25:00",
        ),
        (&["splits", "--finish", "7:30:00"], "plan.toml"),
        (&["plan", "nowhere"], "--route"),
        (
            &[
                "splits", "--route", &route, "--finish", "7:30:00", "--format", "yaml",
            ],
            "[possible values: table, markdown, csv, html, json]",
        ),
        (
            &[
                "splits", "--route", &route, "--finish", "7:30:00", "--units", "nautical",
            ],
            "[possible values: metric, imperial]",
        ),
        (
            &[
                "splits",
                "--route",
                &route,
                "--finish",
                "7:30:00",
                "--start",
                "2026-06-06T05:00",
            ],
            "--timezone",
        ),
        (
            &[
                "splits",
                "--route",
                &route,
                "--finish",
                "7:30:00",
                "--overwrite",
            ],
            "--output",
        ),
        (
            &[
                "splits",
                "--route",
                &route,
                "--finish",
                "7:30:00",
                "--timezone",
                "Europe/Viena",
                "--start",
                "2026-06-06T05:00",
            ],
            "did you mean `Europe/Vienna`?",
        ),
        (
            &[
                "splits",
                "--route",
                &route,
                "--finish",
                "7:30:00",
                "--timezone",
                "Europe/Vienna",
                "--start",
                "tomorrow",
            ],
            "2026-06-06T05:00",
        ),
        (
            &[
                "splits", "--route", &route, "--finish", "7:30:00", "--finish", "8:00:00",
                "--finish", "9:00:00", "--finish", "10:00:00",
            ],
            "at most 3",
        ),
    ];
    for (args, words) in tries {
        case.run(args).exits(2).prints_nothing().says(words);
    }
}

#[test]
fn a_start_the_clocks_skip_is_refused() {
    // the clocks of the European Union go forward from 02:00 to 03:00 on the last Sunday of March
    // (Directive 2000/84/EC, article 2)
    let skipped = ["--timezone", "Europe/Vienna", "--start", "2026-03-29T02:30"];
    Case::new()
        .run(&quick("splits", "7:30:00", &skipped))
        .exits(2)
        .prints_nothing()
        .says("02:30");
}
