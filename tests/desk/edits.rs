//! What is changed on the page is in the files, and nothing else is.

use rand::seq::IndexedRandom;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use serde_json::{Value, json};

use super::served::{Desk, demo};
use crate::pasted::{RACE, SHAPES};
use crate::support::case::Case;

/// The lines of two texts that differ.
fn differing(before: &str, after: &str) -> Vec<(String, String)> {
    assert_eq!(before.lines().count(), after.lines().count(), "{after}");
    let pairs = before.lines().zip(after.lines());
    let pairs = pairs.filter(|(before, after)| before != after);
    pairs
        .map(|(before, after)| (before.to_owned(), after.to_owned()))
        .collect()
}

/// Every file of a case with what is in it.
fn files(case: &Case) -> Vec<(String, Vec<u8>)> {
    let names = case
        .listing()
        .into_iter()
        .filter(|name| !name.ends_with('/'));
    names
        .map(|name| (name.clone(), std::fs::read(case.path(&name)).unwrap()))
        .collect()
}

#[test]
fn every_demo_is_opened_changed_and_differs_in_that_alone() {
    for (plan, finish, other) in [
        ("demo-data/plan.toml", "29:00:00", "28:00:00"),
        ("demo-data/plan-100k.toml", "21:30:00", "22:00:00"),
        ("demo-data/plan-50k.toml", "7:30:00", "7:45:00"),
    ] {
        let case = demo();
        let before = files(&case);
        let desk = Desk::open(&case, plan);
        let told = desk.get("state?part=times").is(200).json();
        assert!(
            told["html"]["work"].as_str().unwrap().contains("Splits"),
            "{plan}"
        );
        assert_eq!(files(&case), before, "{plan}: looking changes nothing");
        desk.set("plan", &json!(["finish"]), other, Some(finish))
            .is(200);
        let after = files(&case);
        let changed = before.iter().zip(&after).filter(|(one, two)| one != two);
        let changed: Vec<_> = changed.collect();
        assert_eq!(changed.len(), 1, "{plan}");
        let texts = [changed[0].0, changed[0].1]
            .map(|(_, bytes)| String::from_utf8(bytes.clone()).unwrap());
        let lines = differing(&texts[0], &texts[1]);
        assert_eq!(
            lines,
            [(
                format!("finish = \"{finish}\""),
                format!("finish = \"{other}\"")
            )],
            "{plan}"
        );
        // the command says the same of the new file
        let json = case.run(&["splits", plan, "--format", "json"]).json();
        let told = desk.get("state?part=times").is(200).json();
        let table = told["html"]["work"].as_str().unwrap();
        for split in json["splits"].as_array().unwrap() {
            let arrival = split["arrival_text"].as_str().unwrap();
            assert!(
                table.contains(&format!(">{arrival}</button>")),
                "{plan}: {arrival}"
            );
        }
        desk.post("undo", &json!({})).is(200);
        assert_eq!(files(&case), before, "{plan}: undone");
        desk.post("redo", &json!({})).is(200);
        assert_eq!(files(&case), after, "{plan}: done again");
    }
}

/// One change that the page can ask for, and where it shows in the file as it is read.
struct Edit {
    file: &'static str,
    path: &'static [&'static str],
    values: &'static [&'static str],
}

const EDITS: &[Edit] = &[
    Edit {
        file: "plan-50k.toml",
        path: &["finish"],
        values: &["7:10:00", "7:50:00", "8:05:00"],
    },
    Edit {
        file: "plan-50k.toml",
        path: &["stops", "aid_min"],
        values: &["2", "4", "5"],
    },
    Edit {
        file: "plan-50k.toml",
        path: &["stops", "at", "Jasnova"],
        values: &["1", "3"],
    },
    Edit {
        file: "plan-50k.toml",
        path: &["cushion"],
        values: &["0:15", "0:30"],
    },
    Edit {
        file: "plan-50k.toml",
        path: &["forecast", "temp_c"],
        values: &["9", "21.5"],
    },
    Edit {
        file: "runner.toml",
        path: &["mass_kg"],
        values: &["58", "71.5"],
    },
    Edit {
        file: "runner.toml",
        path: &["name"],
        values: &["Ilka \"Il\" T.", "Zoë # no comment"],
    },
    Edit {
        file: "runner.toml",
        path: &["fueling", "gut"],
        values: &["trained", "untrained"],
    },
    Edit {
        file: "runner.toml",
        path: &["carry", "food_g"],
        values: &["700", "900"],
    },
    Edit {
        file: "runner.toml",
        path: &["caffeine", "dose_mg"],
        values: &["80", "60"],
    },
    Edit {
        file: "crew-50k.toml",
        path: &["buffer_min"],
        values: &["12", "25"],
    },
    Edit {
        file: "crew-50k.toml",
        path: &["phone"],
        values: &["+00 555 0107", "+00 555 0108"],
    },
];

fn value_at(text: &str, path: &[&str]) -> toml::Value {
    let table: toml::Table = text.parse().unwrap();
    let mut at = toml::Value::Table(table);
    for key in path {
        at = at.get(key).cloned().unwrap_or(toml::Value::Boolean(false));
    }
    at
}

fn as_typed(value: &toml::Value) -> String {
    match value {
        toml::Value::String(text) => text.clone(),
        toml::Value::Integer(number) => number.to_string(),
        toml::Value::Float(number) => number.to_string(),
        other => panic!("{other:?}"),
    }
}

#[test]
fn twenty_random_edits_leave_the_files_as_a_model_has_them() {
    for seed in 0..3 {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let case = demo();
        let before = files(&case);
        let desk = Desk::open(&case, "demo-data/plan-50k.toml");
        let mut model: std::collections::BTreeMap<(&str, &[&str]), &str> = Default::default();
        let mut made = 0;
        while made < 20 {
            let edit = EDITS.choose(&mut random).unwrap();
            let value = edit.values.choose(&mut random).unwrap();
            if model.insert((edit.file, edit.path), value) == Some(*value) {
                continue;
            }
            made += 1;
            let file = match edit.file {
                "plan-50k.toml" => "plan",
                "runner.toml" => "runner",
                _ => "crew",
            };
            let name = format!("demo-data/{}", edit.file);
            let text = case.text(&name);
            desk.set(file, &json!(edit.path), value, None).is(200);
            // of the lines that were there at most one is another
            let after = case.text(&name);
            let kept = text
                .lines()
                .filter(|line| after.lines().any(|own| own == *line));
            assert!(kept.count() + 1 >= text.lines().count(), "{after}");
            for ((file, path), value) in &model {
                let text = case.text(&format!("demo-data/{file}"));
                let told = value_at(&text, path);
                let told = as_typed(&told);
                assert_eq!(told, *value, "{file} {path:?}");
            }
            if random.random_bool(0.2) {
                let then = files(&case);
                desk.post("undo", &json!({})).is(200);
                desk.post("redo", &json!({})).is(200);
                assert_eq!(files(&case), then);
            }
        }
        let after = files(&case);
        for _ in 0..20 {
            desk.post("undo", &json!({})).is(200);
        }
        assert_eq!(files(&case), before, "seed {seed}");
        desk.post("undo", &json!({})).is(409);
        for _ in 0..20 {
            desk.post("redo", &json!({})).is(200);
        }
        assert_eq!(files(&case), after, "seed {seed}");
    }
}

#[test]
fn rows_of_tables_change_alone() {
    let case = demo();
    let name = "courses/velprek-50k/stations.csv";
    let before = case.text(name);
    let desk = Desk::open(&case, "demo-data/plan-50k.toml");
    let rows: Vec<&str> = before
        .lines()
        .filter(|line| !line.starts_with('#'))
        .collect();
    let line = rows[3];
    let cell = |line: &str, value: &str| {
        json!({ "do": "cell", "file": "stations", "row": 2, "line": line,
            "column": "crew", "value": value })
    };
    desk.post("edit", &cell(line, "no")).is(200);
    let after = case.text(name);
    let differs = differing(&before, &after);
    assert_eq!(differs, [(line.to_owned(), line.replacen("yes", "no", 1))]);
    let new = json!({ "do": "insert", "file": "stations", "before": 1,
        "values": [["name", "Spring; by the oak, \"old\""], ["distance_km", "2.2"], ["kind", "water"]] });
    desk.post("edit", &new).is(200);
    let listed = case
        .run(&["course", "demo-data/plan-50k.toml", "--format", "json"])
        .exits(0)
        .json();
    assert_eq!(
        listed["stations"][1]["station"],
        "Spring; by the oak, \"old\""
    );
    let added = case.text(name);
    let line = added.lines().find(|line| line.contains("Spring")).unwrap();
    let gone = json!({ "do": "remove", "file": "stations", "row": 1, "line": line });
    desk.post("edit", &gone).is(200);
    assert_eq!(case.text(name), after);
}

#[test]
fn a_mistake_is_kept_and_told_at_its_field_in_the_words_of_check() {
    let case = demo();
    let desk = Desk::open(&case, "demo-data/plan-50k.toml");
    for (typed, wrong) in [("700", "`mass_kg` is 700 kg"), ("heavy", "`mass_kg` is")] {
        desk.set("runner", &json!(["mass_kg"]), typed, None).is(200);
        let told = desk.get("state?part=me").is(200).json();
        let html = told["html"]["work"].as_str().unwrap();
        let field = html.split("id=\"f-runner-mass-kg-wrong\"").nth(1).unwrap();
        let field = field.split("</div>").next().unwrap();
        assert!(field.contains(wrong), "{typed}: {field}");
        // above all parts it is said in the words of the page
        let next = told["html"]["next"].as_str().unwrap();
        assert!(next.contains("“Body mass”"), "{next}");
        case.run(&["check", "demo-data/plan-50k.toml"])
            .exits(2)
            .says(wrong);
    }
    assert!(
        case.text("demo-data/runner.toml")
            .contains("mass_kg = \"heavy\"")
    );
    // a number stays as it was typed, and is a number however it was typed
    for (typed, written) in [
        ("70.50", "70.50"),
        ("70,5", "70.5"),
        ("070", "70"),
        ("70.", "70"),
    ] {
        desk.set("runner", &json!(["mass_kg"]), typed, None).is(200);
        let text = case.text("demo-data/runner.toml");
        assert!(text.contains(&format!("mass_kg = {written}\n")), "{typed}");
    }
    let unit = json!({ "do": "unit", "file": "runner", "path": ["mass_kg"], "to": "mass_lb" });
    desk.set("runner", &json!(["mass_kg"]), "70", None).is(200);
    desk.post("edit", &unit).is(200);
    // 1 lb is 0.45359237 kg by definition (international yard and pound agreement, 1959)
    assert!(
        case.text("demo-data/runner.toml")
            .contains("mass_lb = 154\n")
    );
}

fn next_station(command: &Value) -> &str {
    command["ahead"][0]["station"].as_str().unwrap()
}

#[test]
fn arrivals_are_kept_and_planned_from() {
    let case = demo();
    let desk = Desk::open(&case, "demo-data/plan.toml");
    let seen = json!({ "station": "10", "kind": "arrived", "value": "19:40" });
    let told = desk.post("seen?part=day", &seen).is(200).json();
    let shown = told["html"]["work"].as_str().unwrap();
    assert!(case.text("demo-data/seen.csv").contains("10,19:40"));
    let command = case.run(&[
        "replan",
        "demo-data/plan.toml",
        "--seen",
        "10=19:40",
        "--format",
        "json",
    ]);
    let command: Value = command.json();
    let next = &command["hold_effort"]["splits"][11];
    let arrival = next["arrival_text"].as_str().unwrap();
    assert!(shown.contains(arrival), "{arrival} is not shown");
    // the verdict is of the race as it goes, and so is what comes next
    let lead = told["html"]["verdict"].as_str().unwrap();
    assert!(lead.contains("as it goes"), "{lead}");
    let next = told["html"]["next"].as_str().unwrap();
    assert!(next.contains(next_station(&command)), "{next}");
    let bad = json!({ "station": "10", "kind": "arrived", "value": "half past" });
    let told = desk.post("seen?part=day", &bad).is(200).json();
    assert!(told["html"]["work"].as_str().unwrap().contains("half past"));
}

#[test]
fn pasted_tables_of_a_dozen_shapes_are_shown_and_taken() {
    let case = demo().file(
        "race/plan.toml",
        "course = \"../courses/torvena-100k\"\nfinish = \"24:00:00\"\n",
    );
    let desk = Desk::open(&case, "race");
    desk.set("course", &json!(["start"]), "2027-05-08T18:00", None)
        .is(200);
    for (shape, ..) in SHAPES {
        let text = case_text(shape);
        let pasted = json!({ "text": text, "columns": [] });
        let seen = desk.post("paste", &pasted).is(200).text();
        for (name, ..) in RACE {
            assert!(seen.contains(name), "{shape}: {seen}");
        }
        desk.post("paste/take", &pasted).is(200);
        let told = case.run(&["splits", "race/plan.toml", "--format", "json"]);
        let told = told.json();
        let splits = told["splits"].as_array().unwrap();
        // the course goes on to 100 km, to a finish that the table does not have
        assert_eq!(splits.len(), RACE.len() + 1, "{shape}");
        for (split, (name, km, _, limit, ..)) in splits.iter().zip(RACE) {
            assert_eq!(split["place"], name, "{shape}");
            let off_m = split["official_m"].as_f64().unwrap() - 1000.0 * km;
            assert!(off_m.abs() < 20.0, "{shape} {name}: {off_m}");
            let limit = limit.trim_start_matches('+').split_once(':');
            let limit = limit.map(|(h, min)| {
                3600 * h.parse::<i64>().unwrap() + 60 * min.parse::<i64>().unwrap()
            });
            assert_eq!(split["cutoff_s"].as_i64(), limit, "{shape} {name}");
        }
    }
}

fn case_text(shape: &str) -> String {
    let here = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(here.join(format!("tests/pasted/{shape}.txt"))).unwrap()
}

#[test]
fn a_column_changes_its_unit_and_the_places_stay() {
    let case = demo();
    let desk = Desk::open(&case, "demo-data/plan-50k.toml");
    let places = || {
        let told = case.run(&["course", "demo-data/plan-50k.toml", "--format", "json"]);
        let told = told.json();
        let stations = told["stations"].as_array().unwrap().iter();
        let places = stations.map(|own| own["official_m"].as_f64().unwrap());
        places.collect::<Vec<f64>>()
    };
    let before = places();
    let convert = |column: &str, to: &str| {
        let convert = json!({ "do": "convert", "file": "stations", "column": column, "to": to });
        desk.post("edit", &convert)
    };
    convert("distance_km", "distance_mi").is(200);
    let text = case.text("courses/velprek-50k/stations.csv");
    assert!(text.contains("distance_mi"), "{text}");
    // 1 mi is 1609.344 m by definition (international yard and pound agreement, 1959)
    for (mile, km) in places().iter().zip(&before) {
        assert!((mile - km).abs() <= 0.005 * 1609.344, "{mile} {km}");
    }
    convert("distance_mi", "distance_km").is(200);
    for (km, before) in places().iter().zip(&before) {
        assert!((km - before).abs() <= 10.5, "{km} {before}");
    }
    for (column, to) in [
        ("distance_km", "temp_f"),
        ("name", "place"),
        ("distance_mi", "distance_m"),
    ] {
        convert(column, to).is(409);
    }
    let case = demo().file("race/plan.toml", "course = \"../courses/velprek-50k\"\n");
    let desk = Desk::open(&case, "race");
    // a table that is begun while the page shows miles is in miles
    desk.post_bytes("units?to=imperial", "application/json", b"{}")
        .is(200);
    let row = json!({ "do": "insert", "file": "weather", "before": 0,
        "values": [["time", "2026-06-13T07:00"], ["temp_f", "60"]] });
    desk.post("edit", &row).is(200);
    let text = case.text("race/weather.csv");
    assert!(text.contains("temp_f,humidity_pct,wind_mph"), "{text}");
}

#[test]
fn the_rhythm_is_a_form() {
    let case = demo();
    let desk = Desk::open(&case, "demo-data/plan-50k.toml");
    let before = case.text("demo-data/runner.toml");
    let at = before.matches("[[rhythm]]").count();
    desk.post(
        "edit",
        &json!({ "do": "push", "file": "runner", "path": ["rhythm"] }),
    )
    .is(200);
    for (key, value) in [
        ("from", "3:00:00"),
        ("every_min", "25"),
        ("eat", "gel\ndates"),
        ("refuse", "none"),
        ("taste", "savoury"),
        ("caffeine", "false"),
    ] {
        desk.set("runner", &json!(["rhythm", at, key]), value, None)
            .is(200);
    }
    let text = case.text("demo-data/runner.toml");
    let told: toml::Table = text.parse().unwrap();
    let expected: toml::Table = "from = \"3:00:00\"\nevery_min = 25\neat = [\"gel\", \"dates\"]\n\
        refuse = []\ntaste = \"savoury\"\ncaffeine = false"
        .parse()
        .unwrap();
    assert_eq!(told["rhythm"][at], toml::Value::Table(expected));
    let told = desk.get("state?part=me").is(200).json();
    let html = told["html"]["work"].as_str().unwrap();
    assert!(
        html.contains(&format!("f-runner-rhythm-{at}-every-min")),
        "{html}"
    );
}

#[test]
fn a_route_becomes_a_folder_and_no_name_leads_out_of_it() {
    let case = Case::new().file("taken/own.txt", "mine");
    let route = std::fs::read(crate::support::case::short_route()).unwrap();
    let desk = Desk::open(&case, ".");
    let begin = |query: &str, route: &[u8]| {
        desk.post_bytes(&format!("begin?{query}"), "application/octet-stream", route)
    };
    for folder in [
        "..", "../away", "/away", "a/b", "a%5Cb", ".hidden", "", "taken", "x%00y",
    ] {
        let told = begin(&format!("folder={folder}&finish=7:30:00"), &route)
            .is(409)
            .json();
        assert!(told["said"].is_string(), "{folder}");
    }
    begin("folder=my-race&finish=soon", &route).is(409);
    begin("folder=my-race&finish=7:30:00", b"no route").is(409);
    assert_eq!(case.listing(), ["taken/", "taken/own.txt"]);
    let told = begin("folder=my-race&finish=7:30:00", &route)
        .is(200)
        .json();
    assert!(told["html"]["work"].as_str().unwrap().contains("Splits"));
    assert!(case.text("my-race/plan.toml").contains("7:30:00"));
    assert_eq!(
        std::fs::read(case.path("my-race/course/route.gpx")).unwrap(),
        route
    );
    case.run(&["plan", "my-race/plan.toml"]);
    begin("folder=other&finish=7:30:00", &route).is(409);
}
