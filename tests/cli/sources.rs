//! Where a plan comes from: a folder's files, the command line, or both.

use serde_json::Value;

use crate::support::case::{Case, Outcome, in_repository, short_route};

/// A small plan of one's own on the short route.
fn small() -> Case {
    let route = std::fs::read(in_repository("courses/velprek-50k/route.gpx")).unwrap();
    Case::new()
        .file("plan.toml", "course = \"hill\"\nfinish = \"7:30:00\"\n")
        .file(
            "hill/course.toml",
            "name = \"Hill\"\ntimezone = \"Europe/Ljubljana\"\nstart = \"2026-06-13T07:00\"\n",
        )
        .file("hill/stations.csv", "name,distance_km\nOak Gap,32\n")
        .file("hill/route.gpx", route)
}

fn json(case: &Case, args: &[&str]) -> Value {
    let all: Vec<&str> = args.iter().copied().chain(["--format", "json"]).collect();
    case.run(&all).exits(0).json()
}

#[test]
fn a_track_and_a_finish_are_enough() {
    let (case, route) = (Case::new(), short_route());
    case.run(&["splits", "--route", &route, "--finish", "7:30:00"])
        .exits(0)
        .quietly()
        .prints("Start")
        .prints("Finish")
        .prints("7:30");
    let splits = json(&case, &["splits", "--route", &route, "--finish", "7:30:00"]);
    let rows = splits["splits"].as_array().unwrap();
    assert_eq!(rows[1]["station"], "5 km");
    assert_eq!(rows.last().unwrap()["arrival_s"], 27_000);
}

#[test]
fn every_report_starts_as_quickly() {
    let (case, route) = (Case::new(), short_route());
    for verb in super::REPORT_VERBS {
        let outcome = case.run(&[verb, "--route", &route, "--finish", "7:30:00"]);
        assert!(!outcome.exits(0).quietly().out.is_empty());
    }
    case.run(&["course", "--route", &route]).exits(0).quietly();
}

#[test]
fn the_plan_is_plan_toml_in_the_current_folder() {
    let case = small();
    let asked = case.run(&["plan", "plan.toml"]).exits(0).out;
    assert_eq!(case.run(&["plan"]).exits(0).out, asked);
    assert_eq!(case.run(&["plan", "."]).exits(0).out, asked);
    Case::new()
        .run(&["plan"])
        .exits(2)
        .says("`plan.toml`: no such file")
        .says("--route");
}

#[test]
fn the_command_line_stands_before_the_files() {
    let case = small().file("other.csv", "name,distance_m\nMiller's Ford,15000\n");
    let plain = json(&case, &["splits"]);
    assert_eq!(plain["splits"][1]["station"], "Oak Gap");
    assert_eq!(plain["start"], "2026-06-13T07:00:00+02:00");
    let other = json(
        &case,
        &[
            "splits",
            "--stations",
            "other.csv",
            "--finish",
            "8:00:00",
            "--start",
            "2026-12-01T06:00",
            "--timezone",
            "Europe/London",
        ],
    );
    assert_eq!(other["splits"][1]["station"], "Miller's Ford");
    assert_eq!(other["finish_s"], 28_800);
    assert_eq!(other["start"], "2026-12-01T06:00:00+00:00");
}

#[test]
fn three_finishes_stand_side_by_side() {
    let case = small();
    let args = [
        "splits", "--finish", "7:30:00", "--finish", "8:00:00", "--finish", "9:15",
    ];
    case.run(&args)
        .exits(0)
        .prints("Other finishes")
        .prints("7:30")
        .prints("8:00")
        .prints("9:15");
    let out = json(&case, &args);
    assert_eq!(out["finish_s"], 27_000);
    let others = out["other_finishes"].as_array().unwrap();
    let finishes: Vec<&Value> = others.iter().map(|other| &other["finish_s"]).collect();
    assert_eq!(finishes, [28_800, 33_300]);
    for other in others {
        let last = other["splits"].as_array().unwrap().last().unwrap();
        assert_eq!(last["arrival_s"], other["finish_s"]);
    }
    // each as it would be alone
    let alone = json(&case, &["splits", "--finish", "9:15:00"]);
    assert_eq!(alone["splits"], others[1]["splits"]);
    let csv: Vec<&str> = args.iter().copied().chain(["--format", "csv"]).collect();
    case.run(&csv).exits(0).prints("arrival_3_s");
}

#[test]
fn imperial_units_show_miles_feet_and_fluid_ounces() {
    let case = small();
    let metric = case
        .run(&["plan"])
        .exits(0)
        .prints(" km ")
        .prints(" ml ")
        .prints(" m up")
        .out;
    let imperial = case.run(&["plan", "--units", "imperial"]).exits(0);
    let imperial = imperial.prints(" mi ").prints("fl oz").prints(" ft up");
    // 32 km by the international mile of 1959
    imperial.prints(" 19.9 ");
    assert!(metric.contains(" 32.0 "));
    // data keep their units, which stand in the keys; only printed words differ
    let data = |args: &[&str]| {
        let mut data = json(&case, args);
        // how the units themselves convert
        data["units"] = Value::Null;
        numbers(&data)
    };
    let in_metric = data(&["plan"]);
    assert!(in_metric.len() > 200, "{} numbers", in_metric.len());
    let in_imperial = data(&["plan", "--units", "imperial"]);
    assert_eq!(in_imperial, in_metric);
}

/// Every number of some data with the way to it.
fn numbers(data: &Value) -> Vec<(String, f64)> {
    let below = |name: &str, value: &Value| {
        let all = numbers(value).into_iter();
        all.map(|(way, number)| (format!("/{name}{way}"), number))
            .collect::<Vec<_>>()
    };
    match data {
        Value::Number(number) => vec![(String::new(), number.as_f64().unwrap())],
        Value::Array(list) => (list.iter().enumerate())
            .flat_map(|(index, value)| below(&index.to_string(), value))
            .collect(),
        Value::Object(map) => (map.iter())
            .flat_map(|(name, value)| below(name, value))
            .collect(),
        _ => Vec::new(),
    }
}

/// Each problem by the file and line it is in.
const PROBLEMS: [(&str, &str); 6] = [
    ("plan.toml:3", "finsh"),
    ("runner.toml:1", "700 kg"),
    ("hill/stations.csv:3", "teatime"),
    ("hill/course.toml:2", "Europe/Lubljana"),
    ("pantry.csv:2", "carbs_g"),
    ("crew.toml:1", "buffer_min"),
];

fn full_of_problems() -> Case {
    small()
        .file(
            "plan.toml",
            "course = \"hill\"\nfinish = \"7:30:00\"\nfinsh = \"8:00:00\"\n",
        )
        .file("runner.toml", "mass_kg = 700\n")
        .file(
            "pantry.csv",
            "name,kind,carbs_g,energy_kcal,mass_g\ngel,gel,lots,100,40\n",
        )
        .file("crew.toml", "buffer_min = -5\n")
        .file(
            "hill/course.toml",
            "name = \"Hill\"\ntimezone = \"Europe/Lubljana\"\n",
        )
        .file(
            "hill/stations.csv",
            "name,distance_km,cutoff\nMiller's Ford,15,+3:00\nOak Gap,32,teatime\n",
        )
}

#[test]
fn one_run_shows_every_problem_of_every_file() {
    let case = full_of_problems();
    for verb in super::REPORT_VERBS.iter().chain(&["check"]) {
        let outcome: Outcome = case.run(&[verb]).exits(2).prints_nothing();
        for (place, words) in PROBLEMS {
            assert!(outcome.err.contains(place), "no {place}\n{outcome}");
            assert!(outcome.err.contains(words), "no {words}\n{outcome}");
        }
        assert_eq!(
            outcome.err.matches("error: ").count(),
            PROBLEMS.len(),
            "{outcome}"
        );
    }
}

#[test]
fn a_file_that_is_named_must_be_there() {
    let plan = "course = \"vale\"\nfinish = \"7:30:00\"\n[files]\nrunner = \"me.toml\"\ngear = \"mine.csv\"\n";
    small()
        .file("plan.toml", plan)
        .run(&["plan"])
        .exits(2)
        .says("plan.toml:1")
        .says("`vale`")
        .says("plan.toml:4")
        .says("`me.toml`: no such file")
        .says("plan.toml:5")
        .says("`mine.csv`: no such file");
}

/// A link without an end is a file that somebody meant to be there.
#[cfg(unix)]
#[test]
fn a_link_that_leads_nowhere_is_no_missing_file() {
    for (name, to) in [
        ("runner.toml", "elsewhere/runner.toml"),
        ("runner.toml", "runner.toml"),
        ("pantry.csv", "nothing.csv"),
        ("hill/stations.csv", "nothing.csv"),
        ("hill/stations.csv", "stations.csv"),
        ("long-runs", "nothing"),
    ] {
        let case = small();
        let link = case.path(name);
        // there may be a file of that name
        let _ = std::fs::remove_file(&link);
        std::os::unix::fs::symlink(to, &link).unwrap();
        for verb in ["plan", "check"] {
            let file = name.replace("long-runs", "long-runs/record.toml");
            case.run(&[verb])
                .exits(2)
                .prints_nothing()
                .says(&format!("{file}` is a link that leads nowhere"));
        }
    }
}

#[cfg(unix)]
#[test]
fn a_link_to_a_file_is_that_file() {
    let case = small().file("mine/runner.toml", "mass_kg = 55\n");
    let runner = case.path("runner.toml");
    std::os::unix::fs::symlink("mine/runner.toml", runner).unwrap();
    case.run(&["fuel"]).exits(0).prints("55.0 kg");
}

#[test]
fn water_counts_however_it_is_written_and_wherever_it_is_usual() {
    let offers = |rows: &str| {
        let table = format!("name,distance_km,kind,offers\n{rows}");
        let case = small().file("hill/stations.csv", table);
        let case = case.file(
            "pantry.csv",
            "name,kind,carbs_g,mass_g\nbanana,food,20,100\n",
        );
        let course = json(&case, &["course"]);
        let stations = course["stations"].as_array().unwrap();
        let named = |one: &Value| {
            (
                one["station"].as_str().unwrap().to_owned(),
                one["offers"].to_string(),
            )
        };
        stations.iter().map(named).collect::<Vec<_>>()
    };
    let found = offers(
        "Mill,10,checkpoint,Water\nHut,15,aid,banana\nGate,20,checkpoint,\n\
         Spring,24,water,\nOak Gap,32,crew-only, WATER ;banana\n",
    );
    let named: Vec<(&str, &str)> = found
        .iter()
        .map(|(name, offers)| (name.as_str(), offers.as_str()))
        .collect();
    assert_eq!(
        named,
        [
            ("Start", "[\"water\"]"),
            ("Mill", "[\"water\"]"),
            ("Hut", "[\"water\",\"banana\"]"),
            ("Gate", "[]"),
            ("Spring", "[\"water\"]"),
            ("Oak Gap", "[\"water\",\"banana\"]"),
            ("Finish", "[]"),
        ]
    );
    // a start that says otherwise
    assert_eq!(offers("Start,0,checkpoint,\nMill,10,aid,\n")[0].1, "[]");
    assert_eq!(
        offers("Start,0,aid,banana\nMill,10,aid,\n")[0].1,
        "[\"water\",\"banana\"]"
    );
}
