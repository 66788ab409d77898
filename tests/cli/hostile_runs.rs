//! Names of strangers in what is told of long runs: rehearsals, their calendar, debriefs.

use icalendar::parser::{read_calendar, unfold};

use super::hostile::{NAMES, markdown_holds, steers, table_holds, tables_of_csv, texts};
use crate::pictures::svg::Svg;
use crate::support::case::Case;

/// One for each kind of name: turned, marked up, for a sheet, an emoji, long, braces.
const TOLD: [&str; 6] = [
    NAMES[0], NAMES[2], NAMES[8], NAMES[11], NAMES[16], NAMES[18],
];

fn csv_of(heads: &[&str], rows: &[Vec<&str>]) -> Vec<u8> {
    let mut table = csv::Writer::from_writer(Vec::new());
    table.write_record(heads).unwrap();
    for row in rows {
        table.write_record(row).unwrap();
    }
    table.into_inner().unwrap()
}

/// The hostile race as files, with gear, a record, a log and a route at home of such names.
fn case() -> Case {
    let texts = texts();
    let gear: Vec<Vec<&str>> = TOLD.iter().map(|name| vec![*name, "always"]).collect();
    let mut log = vec![
        vec!["0:30", "food", "<b>gel|</b>", "2", "", ""],
        vec!["0:40", "drink", "water", "", "500", ""],
    ];
    for name in TOLD {
        log.push(vec!["1:00", "gear", name, "", "", name]);
        log.push(vec!["1:10", "hot-spot", name, "", "", name]);
        log.push(vec!["1:20", "tested", "race-effort", "", "", name]);
        log.push(vec!["1:30", "drink", "water", "", "20", name]);
    }
    let runs: String = TOLD
        .iter()
        .enumerate()
        .map(|(day, name)| {
            // strings of JSON are strings of TOML
            let name = serde_json::Value::from(*name);
            format!("[[run]]\ndate = 2026-03-{:02}\nname = {name}\ntime = \"2:00:00\"\ndistance_km = 20\n", day + 1)
        })
        .collect();
    let track = texts.route.as_ref().unwrap().text.clone();
    let (head, rest) = track.split_once("<name>").unwrap();
    let (_, rest) = rest.split_once("</name>").unwrap();
    let mut case = Case::new()
        .file("gear.csv", csv_of(&["name", "when"], &gear))
        .file(
            "log.csv",
            csv_of(
                &["elapsed", "kind", "what", "servings", "water_ml", "note"],
                &log,
            ),
        )
        .file("long-runs/record.toml", runs)
        .file(
            "home.gpx",
            format!("{head}<name>&#x202e;&lt;script&gt;| *b*</name>{rest}"),
        );
    for (file, text) in [
        (
            "plan.toml",
            format!("course = \"course\"\n{}", texts.plan.unwrap().text),
        ),
        (
            "course/course.toml",
            format!(
                "{}start = \"2026-06-13T07:00\"\ntimezone = \"Europe/Ljubljana\"\n",
                texts.course.unwrap().text
            ),
        ),
        ("course/route.gpx", track.to_string()),
        (
            "course/stations.csv",
            texts.stations.unwrap().text.to_string(),
        ),
        ("pantry.csv", texts.pantry.unwrap().text.to_string()),
    ] {
        case = case.file(file, text);
    }
    case
}

/// What is typed for each, by its name.
fn typed() -> Vec<(&'static str, Vec<&'static str>)> {
    let debrief = "debrief --hours 2:30 --date 2026-04-20 --log log.csv --mass-before 64.4 \
                   --mass-after 63.4 --temp 12 --name";
    let mut words: Vec<(&str, Vec<&str>)> = [
        (
            "a rehearsal",
            "rehearse --route home.gpx --date 2026-05-10 --temp 12",
        ),
        (
            "a calendar",
            "rehearse --calendar --from 2026-03-30 --longest-now 20km",
        ),
        ("a debrief", debrief),
    ]
    .map(|(name, words)| (name, words.split_whitespace().collect()))
    .to_vec();
    words[2].1.push(NAMES[7]);
    words
}

#[test]
fn what_is_told_of_long_runs_holds_in_every_format() {
    let case = case();
    for (name, words) in typed() {
        let told = |format: &str, units: &str| {
            let more = ["--format", format, "--units", units];
            let outcome = case.run(&[&words[..], &more].concat());
            assert!(
                [Some(0), Some(1)].contains(&outcome.code),
                "{name} {format}: {outcome}"
            );
            assert!(!outcome.err.contains(steers), "{name}: {outcome}");
            outcome.out
        };
        for units in ["metric", "imperial"] {
            table_holds(name, &told("table", units));
            markdown_holds(name, &told("markdown", units));
            tables_of_csv(name, &told("csv", units));
        }
        let json: serde_json::Value = serde_json::from_str(&told("json", "metric")).unwrap();
        let strings = strings(&json);
        // names that this tells of at all, it tells to the letter
        assert!(strings.contains(&NAMES[2]), "{name}: {strings:?}");
        assert!(!strings.iter().any(|s| s.contains("[script]")), "{name}");
    }
}

/// Every string of a value.
fn strings(value: &serde_json::Value) -> Vec<&str> {
    match value {
        serde_json::Value::String(text) => vec![text],
        serde_json::Value::Array(list) => list.iter().flat_map(strings).collect(),
        serde_json::Value::Object(fields) => fields.values().flat_map(strings).collect(),
        _ => Vec::new(),
    }
}

#[test]
fn events_and_picture_of_a_calendar_hold() {
    let case = case();
    let words = typed().remove(1).1;
    case.run(&[&words[..], &["--events", "runs.ics", "--chart", "runs.svg"]].concat())
        .exits(0);
    let events = case.text("runs.ics");
    assert!(!events.contains('\u{202e}'));
    assert!(events.lines().all(|line| line.len() <= 75));
    let unfolded = unfold(&events);
    let read = read_calendar(&unfolded).unwrap();
    assert!(read.components.len() > 5);
    let named = |name: &str| {
        read.components.iter().any(|event| {
            assert_eq!(event.name, "VEVENT");
            event
                .find_prop("DESCRIPTION")
                .unwrap()
                .val
                .as_str()
                .contains(name)
        })
    };
    assert!(named("<script>alert(1)</script>"), "{unfolded}");
    let picture = Svg::read(&case.text("runs.svg"));
    assert!(
        picture
            .elements
            .iter()
            .all(|e| e.name != "script" && e.name != "img")
    );
    assert!(picture.texts().any(|text| text.text.contains("<script>")));
}
