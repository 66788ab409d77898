//! Names come from files of strangers: none of them may break a table, a page or a terminal.

use sutler::diagnostics::SourceFile;
use sutler::inputs::Texts;
use sutler::reports::formats::{FORMATS, TextSurface};
use sutler::reports::{Report, of_a_plan};
use sutler::time::Elapsed;
use sutler::units::Units;
use unicode_width::UnicodeWidthStr;

use crate::support::case::{Case, in_repository};
use crate::support::race::Planned;

/// Names that mean something to a terminal, a browser, a spreadsheet, Markdown, CSV or a font.
pub(super) const NAMES: [&str; 20] = [
    "\u{202e}tuo dna tuo\u{202c}",
    "\u{2066}isolated\u{2069}\u{200f}",
    "<script>alert(1)</script>",
    "<!-- gone -->",
    "a|b||c",
    "\\|\\",
    "``` **bold** _it_ # [link](x:y)",
    "comma, \"quoted\", 'single'",
    "=1+2",
    "@SUM(A1:A9)",
    "-2+3 cmd|' /C x'!A0",
    "🏔️👩‍🚒🇸🇮 hut",
    "中文救护站补给点在山口的后面和湖的前面直到河边的小木屋",
    "Z\u{0351}\u{036b}a\u{0343}\u{0310}l\u{035c}go",
    "ﷺ ﷽ مرحبا",
    "zero\u{200b}width\u{2060}\u{feff}joined",
    "a-name-without-a-single-space-that-is-as-long-as-a-name-may-be-80-characters-all",
    "& &amp; &#60;b&#62;",
    "{{ template }} ${HOME} $(id) %s %n",
    "~~struck~~ - 1. +",
];

fn hostile() -> Planned {
    Planned::of(
        texts(),
        &[7.5, 8.0, 9.0].map(|h| Elapsed::from_s(h * 3600.0)),
    )
}

/// The texts of that race.
pub(super) fn texts() -> Texts {
    let route = in_repository("courses/velprek-50k/route.gpx");
    let mut stations = csv::Writer::from_writer(Vec::new());
    let head = [
        "name",
        "distance_km",
        "crew",
        "drop_bag",
        "cutoff",
        "stop_min",
        "offers",
    ];
    stations.write_record(head).unwrap();
    for (index, name) in NAMES.iter().enumerate() {
        let km = (2 * index + 2).to_string();
        // every second one is missed, so that names stand in findings too
        let cutoff = format!("+{}:{:02}", index / 4, 15 * (index % 4) + 14);
        let row = [
            name,
            km.as_str(),
            "yes",
            "yes",
            &cutoff,
            "2",
            "water; <b>gel|</b>",
        ];
        stations.write_record(row).unwrap();
    }
    let stations = String::from_utf8(stations.into_inner().unwrap()).unwrap();
    let pantry = "name,kind,mass_g,carbs_g,sodium_mg,energy_kcal\n<b>gel|</b>,gel,40,25,50,100\n";
    let plan = "finish = \"7:30:00\"\nother_finishes = [\"8:00:00\", \"9:00:00\"]\n";
    let course = format!("name = '{}'\nrules = ['<script>|'' ']\n", NAMES[2]).replace("'' ", "");
    let file = |name: &str, text: &str| Some(SourceFile::new(name, text));
    Texts {
        plan: file("plan.toml", plan),
        course: file("course.toml", &course),
        route: file("route.gpx", &std::fs::read_to_string(route).unwrap()),
        stations: file("stations.csv", &stations),
        pantry: file("pantry.csv", pantry),
        ..Texts::default()
    }
}

/// Every report of the hostile race in one format.
fn each_in(format: &str, mut check: impl FnMut(&Report, &str)) {
    let format = FORMATS.iter().find(|f| f.name == format).unwrap();
    let planned = hostile();
    for units in [Units::Metric, Units::Imperial] {
        for report in of_a_plan() {
            let document = (report.build)(&planned.facts(units));
            check(report, &(format.write)(&document, &TextSurface::default()));
        }
    }
}

/// Characters that steer a terminal or turn a line around.
pub(super) fn steers(c: char) -> bool {
    (c.is_control() && c != '\n')
        || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// Words for a terminal stay in their columns and steer nothing.
#[track_caller]
pub(super) fn table_holds(name: &str, text: &str) {
    assert!(!text.contains(steers), "{name}:\n{text}");
    for line in text.lines() {
        let width = line.width();
        assert!(width <= 80, "{name}: {width} columns: {line}");
    }
}

#[test]
fn tables_stay_in_their_columns() {
    each_in("table", |report, text| table_holds(report.name, text));
}

/// Cells of a pipe table's line: bars without a backslash part them.
fn cells(line: &str) -> usize {
    let (mut bars, mut escaped) = (0, false);
    for c in line.chars() {
        bars += usize::from(c == '|' && !escaped);
        escaped = c == '\\' && !escaped;
    }
    bars
}

/// Markdown whose tables are balanced and in which no name is markup.
#[track_caller]
pub(super) fn markdown_holds(name: &str, text: &str) {
    let mut width = None;
    for line in text.lines() {
        if !line.starts_with('|') {
            width = None;
            continue;
        }
        let bars = cells(line);
        assert_eq!(*width.get_or_insert(bars), bars, "{name}: {line}");
    }
    for (index, _) in text.match_indices(['<', '&', '[', '~']) {
        let before = text[..index].chars().rev().take_while(|c| *c == '\\');
        assert!(before.count() % 2 == 1, "{name}: {}", &text[index..]);
    }
    assert!(!text.contains(steers), "{name}");
}

#[test]
fn markdown_tables_stay_balanced_and_names_stay_words() {
    each_in("markdown", |report, text| markdown_holds(report.name, text));
}

/// Every table of a CSV, each row as long as its heads.
#[track_caller]
pub(super) fn tables_of_csv(
    name: &str,
    text: &str,
) -> Vec<(csv::StringRecord, Vec<csv::StringRecord>)> {
    let tables = text.split("\n\n").map(|table| {
        // not flexible: a row of another length is an error
        let mut reader = csv::Reader::from_reader(table.as_bytes());
        let heads = reader.headers().unwrap().clone();
        let rows = reader
            .records()
            .map(|row| row.unwrap_or_else(|e| panic!("{name}: {e}\n{table}")));
        (heads, rows.collect())
    });
    tables.collect()
}

#[test]
fn csv_reads_back_to_the_names_and_to_no_formula() {
    let as_words = NAMES.map(|name| {
        let name = name.replace(
            ['\u{202e}', '\u{202c}', '\u{2066}', '\u{2069}', '\u{200f}'],
            "",
        );
        let apostrophe = if name.starts_with(['=', '@', '-']) {
            "'"
        } else {
            ""
        };
        format!("{apostrophe}{name}")
    });
    each_in("csv", |report, text| {
        for (heads, rows) in tables_of_csv(report.name, text) {
            let Some(column) = heads.iter().position(|h| h == "station") else {
                continue;
            };
            let found: Vec<String> = rows.iter().map(|row| row[column].to_owned()).collect();
            if found.len() == NAMES.len() + 2 {
                assert_eq!(found[1..=NAMES.len()], as_words, "{}", report.name);
            }
        }
    });
}

#[test]
fn json_holds_the_very_names() {
    let planned = hostile();
    for report in of_a_plan() {
        let text = report.json(&planned.facts(Units::Metric)).to_string();
        let value: serde_json::Value = serde_json::from_str(&text).unwrap();
        assert_eq!(value["course"], NAMES[2], "{}", report.name);
        if let Some(splits) = value["splits"].as_array() {
            let found: Vec<&str> = splits
                .iter()
                .map(|s| s["station"].as_str().unwrap())
                .collect();
            assert_eq!(found[1..=NAMES.len()], NAMES, "{}", report.name);
        }
    }
}

#[test]
fn names_that_steer_a_terminal_are_refused_and_not_repeated() {
    let route = std::fs::read(in_repository("courses/velprek-50k/route.gpx")).unwrap();
    for (list, place) in [
        ("name,distance_km\n\"two\nlines\",15\n", "s.csv:2"),
        ("name,distance_km\n\"two\r\nlines\",15\n", "s.csv:2"),
        ("name,distance_km\nred \u{1b}[31mink,15\n", "s.csv:2"),
        ("name,distance_km\nbell\u{7},15\n", "s.csv:2"),
        ("name,distance_km\nc1 \u{9b}31m,15\n", "s.csv:2"),
    ] {
        let case = Case::new().file("r.gpx", &route).file("s.csv", list);
        let args = [
            "splits",
            "--route",
            "r.gpx",
            "--stations",
            "s.csv",
            "--finish",
            "7:30:00",
        ];
        let outcome = case.run(&args).exits(2).prints_nothing().says(place);
        let steered = outcome.err.contains(|c: char| c.is_control() && c != '\n');
        assert!(!steered, "{outcome}");
    }
}

#[test]
fn problems_with_hostile_values_stay_on_their_lines() {
    let route = std::fs::read(in_repository("courses/velprek-50k/route.gpx")).unwrap();
    let list = "name,distance_km,kind\n\u{202e}evil,15,\u{202e}<i>|\u{2066}\n";
    let case = Case::new().file("r.gpx", &route).file("s.csv", list);
    let args = [
        "splits",
        "--route",
        "r.gpx",
        "--stations",
        "s.csv",
        "--finish",
        "7:30:00",
    ];
    let outcome = case.run(&args).exits(2).says("s.csv:2");
    assert!(!outcome.err.contains(steers), "{outcome}");
}

#[test]
fn a_tracks_own_name_is_harmless() {
    let names = [
        "&#x202e;evil",
        "red &#27;[31mink",
        "two&#10;lines",
        "&lt;script&gt;|",
    ];
    for name in names {
        let track =
            std::fs::read_to_string(in_repository("courses/velprek-50k/route.gpx")).unwrap();
        let (head, rest) = track.split_once("<name>").unwrap();
        let (_, rest) = rest.split_once("</name>").unwrap();
        let case = Case::new().file("r.gpx", format!("{head}<name>{name}</name>{rest}"));
        for format in ["table", "markdown"] {
            let args = [
                "splits", "--route", "r.gpx", "--finish", "7:30:00", "--format", format,
            ];
            let outcome = case.run(&args);
            assert!(!outcome.out.contains("<script"), "{outcome}");
            assert!(!outcome.err.contains(steers), "{outcome}");
            assert!(
                format == "markdown" || !outcome.out.contains(steers),
                "{outcome}"
            );
        }
    }
}
