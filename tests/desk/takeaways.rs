//! What is taken away is what the commands give, byte for byte, and what is asked is what
//! `explain` says.

use super::served::{Desk, demo};

#[test]
fn pages_and_files_are_those_of_the_commands() {
    let plan = "demo-data/plan-50k.toml";
    let case = demo();
    let desk = Desk::open(&case, plan);
    let taken = |name: &str| desk.get(&format!("take/{name}")).is(200).body;
    for page in sutler::pages::PAGES {
        let command = case.run(&[page.name, plan]);
        assert_eq!(
            taken(&format!("{}.html", page.name)),
            command.out.as_bytes(),
            "{}",
            page.name
        );
    }
    case.run(&["book", plan, "--out", "book"]);
    for name in ["crew.html", "crew.ics", "track.gpx"] {
        let own = std::fs::read(case.path(&format!("book/{name}"))).unwrap();
        assert_eq!(taken(name), own, "{name}");
    }
    case.run(&["page", plan, "-o", "crew.html"]);
    assert_eq!(taken("crew.html"), case.text("crew.html").as_bytes());
}

#[test]
fn a_number_answers_with_what_explain_says() {
    let plan = "demo-data/plan-50k.toml";
    let case = demo();
    let desk = Desk::open(&case, plan);
    for what in sutler::explain::WHATS {
        let command = case.run(&["explain", "6", what.name, plan, "--format", "json"]);
        let told = desk
            .get(&format!("why?of=6&what={}", what.name))
            .is(200)
            .text();
        if command.code != Some(0) {
            assert!(told.contains("in this plan"), "{}: {told}", what.name);
            continue;
        }
        let explained = &command.json()["explain"];
        let printed = explained["printed"].as_str().unwrap();
        assert!(
            told.contains(&format!("{}, {printed}", what.name)),
            "{}: {told}",
            what.name
        );
        for step in explained["steps"].as_array().unwrap() {
            let value = step["value"].as_str().unwrap();
            let value = value
                .replace('&', "&amp;")
                .replace('<', "&lt;")
                .replace('>', "&gt;");
            assert!(
                told.contains(&value.replace('"', "&quot;")),
                "{}: {value}",
                what.name
            );
        }
    }
}

/// The values of an attribute in a stretch of HTML.
fn values<'h>(html: &'h str, attribute: &str) -> Vec<&'h str> {
    let mark = format!(" {attribute}=\"");
    let rests = html.split(mark.as_str()).skip(1);
    rests.filter_map(|rest| rest.split('"').next()).collect()
}

#[test]
fn every_number_of_every_part_can_be_asked() {
    for plan in [
        "demo-data/plan.toml",
        "demo-data/plan-100k.toml",
        "demo-data/plan-50k.toml",
    ] {
        let case = demo();
        let desk = Desk::open(&case, plan);
        let mut asked = 0;
        for part in ["times", "food", "crew", "day"] {
            let told = desk.get(&format!("state?part={part}")).is(200).json();
            let html = told["html"]["work"].as_str().unwrap().to_owned();
            let (whats, ofs) = (values(&html, "data-what"), values(&html, "data-of"));
            assert_eq!(whats.len(), ofs.len(), "{plan} {part}");
            for (what, of) in whats.iter().zip(&ofs) {
                let why = desk.get(&format!("why?of={of}&what={what}")).is(200).text();
                assert!(
                    why.contains("<b>Formula</b>"),
                    "{plan} {part}: {of} {what}: {why}"
                );
                asked += 1;
            }
        }
        assert!(asked > 60, "{plan}: {asked}");
    }
}

#[test]
fn the_page_speaks_of_fields_and_not_of_keys() {
    let case = demo();
    // without drives there are findings with ways out
    let crew = case.text("demo-data/crew.toml");
    std::fs::write(
        case.path("demo-data/crew.toml"),
        crew.split("[[drive").next().unwrap(),
    )
    .unwrap();
    for plan in [
        "demo-data/plan.toml",
        "demo-data/plan-100k.toml",
        "demo-data/plan-50k.toml",
    ] {
        let desk = Desk::open(&case, plan);
        for part in [
            "times", "stations", "race", "me", "food", "weather", "crew", "take", "day",
        ] {
            let told = desk.get(&format!("state?part={part}")).is(200).json();
            for place in ["verdict", "next", "work"] {
                let html = told["html"][place].as_str().unwrap();
                // tags have their own quotes and keys; what is read stands between them
                for words in html
                    .split('<')
                    .filter_map(|tag| Some(tag.split_once('>')?.1))
                {
                    let is_path = words.starts_with("In ");
                    let syntax = ["`", "[[", ".toml", " = "]
                        .iter()
                        .any(|sign| words.contains(sign));
                    assert!(is_path || !syntax, "{plan} {part}: {words}");
                }
            }
        }
    }
}

#[test]
fn a_target_that_is_tried_has_the_times_of_the_command() {
    let plan = "demo-data/plan-50k.toml";
    let case = demo();
    let desk = Desk::open(&case, plan);
    for (finish, seconds) in [("7:00:00", 25_200), ("8:20:00", 30_000)] {
        let command = case
            .run(&["splits", plan, "--finish", finish, "--format", "json"])
            .json();
        let told = desk.get(&format!("times?finish={seconds}")).is(200).json();
        assert_eq!(
            told["verdict"][0], command["verdict"]["lines"][0],
            "{finish}"
        );
        let rows = told["rows"].as_array().unwrap();
        for (row, split) in rows.iter().zip(command["splits"].as_array().unwrap()) {
            assert_eq!(row["arrival"], split["arrival_text"], "{finish}");
            assert_eq!(row["margin"], split["margin_text"], "{finish}");
        }
    }
    assert!(
        case.text(plan).contains("finish = \"7:30:00\""),
        "trying saves nothing"
    );
}
