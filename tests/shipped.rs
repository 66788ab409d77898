//! Everything that is shipped, planned in every report, format and unit, twice.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use serde_json::Value;
use sutler::diagnostics::SourceFile;
use sutler::facts::Facts;
use sutler::inputs::Texts;
use sutler::reports::formats::{FORMATS, TextSurface};
use sutler::reports::{Needs, by_name, of_a_plan};
use sutler::time::Elapsed;
use sutler::units::Units;
use unicode_width::UnicodeWidthStr;

use crate::support::case::in_repository;
use crate::support::course_maker;
use crate::support::race::{PLANS, Planned};

/// A quick start on every shipped route, with a finish that suits it.
const QUICK_STARTS: [(&str, f64); 4] = [
    ("courses/velprek-50k", 7.5),
    ("courses/torvena-100k", 22.0),
    ("courses/wolkenried-100mi", 29.0),
    ("src/starter/files/course", 3.5),
];

/// The names of everything that is shipped, and each planned.
static SHIPPED: LazyLock<Vec<(String, Planned)>> = LazyLock::new(plan_all);

fn plan_all() -> Vec<(String, Planned)> {
    let plans = PLANS.map(|plan| (plan.to_owned(), Planned::shipped(plan)));
    let quick = QUICK_STARTS.map(|(course, hours)| {
        let name = format!("{course}/route.gpx");
        let text = std::fs::read_to_string(in_repository(&name)).unwrap();
        let texts = Texts {
            route: Some(SourceFile::new(name.as_str(), text)),
            ..Texts::default()
        };
        (name, Planned::of(texts, &[Elapsed::from_s(hours * 3600.0)]))
    });
    plans.into_iter().chain(quick).collect()
}

/// Every report of a plan in every format and unit.
fn pages(planned: &Planned) -> BTreeMap<String, String> {
    let mut pages = BTreeMap::new();
    for units in [Units::Metric, Units::Imperial] {
        let facts = planned.facts(units);
        for report in of_a_plan() {
            let document = (report.build)(&facts);
            for format in FORMATS {
                let name = format!("{} {} {units:?}", report.name, format.name);
                pages.insert(name, (format.write)(&document, &TextSurface::default()));
            }
            let name = format!("{} json {units:?}", report.name);
            pages.insert(name, format!("{:#}", report.json(&facts)));
        }
    }
    pages
}

#[test]
fn every_course_and_route_that_is_shipped_is_planned() {
    let mut courses: Vec<String> = std::fs::read_dir(in_repository("courses"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    courses.sort();
    for course in &courses {
        let quick = format!("courses/{course}");
        assert!(
            QUICK_STARTS.iter().any(|(name, _)| *name == quick),
            "{course}"
        );
        let planned = PLANS.iter().any(|plan| {
            let text = std::fs::read_to_string(in_repository(plan)).unwrap();
            text.contains(&format!("\"../courses/{course}\""))
        });
        assert!(planned, "no plan for {course}");
    }
    assert_eq!(courses.len() + 1, course_maker::NAMES.len());
    for entry in std::fs::read_dir(in_repository("demo-data")).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let is_plan = name.starts_with("plan") && name.ends_with(".toml");
        assert!(
            !is_plan || PLANS.contains(&format!("demo-data/{name}").as_str()),
            "{name}"
        );
    }
}

#[test]
fn what_is_shipped_gives_no_warning() {
    for (name, planned) in SHIPPED.iter() {
        assert_eq!(planned.prepared.said(), "", "{name}");
    }
}

#[test]
fn same_input_same_bytes() {
    for ((name, once), (_, again)) in SHIPPED.iter().zip(plan_all()) {
        let (once, again) = (pages(once), pages(&again));
        assert_eq!(once.len(), of_a_plan().count() * (FORMATS.len() + 1) * 2);
        for (page, text) in &once {
            assert!(text.trim().len() > 20, "{name}, {page} is empty: {text}");
            // not assert_eq, which would print both
            assert!(
                *text == again[page],
                "{name}, {page} differs the second time:\n{text}"
            );
        }
    }
}

#[test]
fn tables_fit_80_columns() {
    for (name, planned) in SHIPPED.iter() {
        for (page, text) in pages(planned) {
            if !page.contains(" table ") {
                continue;
            }
            for line in text.lines() {
                assert!(
                    line.width() <= 80,
                    "{name}, {page}: {} columns: {line}",
                    line.width()
                );
                assert_eq!(line, line.trim_end(), "{name}, {page}");
            }
        }
    }
}

/// The CSV tables of a report: column names, and rows by column name.
fn tables(facts: &Facts, report: &str) -> Vec<Vec<BTreeMap<String, String>>> {
    let document = (by_name(report).unwrap().build)(facts);
    let csv = FORMATS.iter().find(|format| format.name == "csv").unwrap();
    let text = (csv.write)(&document, &TextSurface::default());
    text.split("\n\n")
        .map(|table| {
            let mut reader = csv::Reader::from_reader(table.as_bytes());
            let heads = reader.headers().unwrap().clone();
            let keyed = |row: csv::StringRecord| {
                let pairs = heads.iter().zip(row.iter());
                pairs
                    .map(|(head, cell)| (head.to_owned(), cell.to_owned()))
                    .collect()
            };
            reader.records().map(|row| keyed(row.unwrap())).collect()
        })
        .collect()
}

/// A cell says what the JSON says, to the last digit.
fn agrees(cell: &str, value: &Value) -> bool {
    let Some(number) = value.as_f64() else {
        return value.as_str().unwrap_or("") == cell;
    };
    cell.parse::<f64>().is_ok_and(|read| read == number)
}

/// Compares the rows of one table with the objects of a list, and counts what was compared.
fn compare(
    what: &str,
    rows: &[BTreeMap<String, String>],
    list: &[Value],
    seen: &mut BTreeMap<String, usize>,
) {
    for (row, object) in rows.iter().zip(list) {
        for (key, cell) in row {
            if let Some(stem) = key.strip_suffix("_text") {
                // beside each time in seconds stands one to read
                assert_eq!(
                    cell.is_empty(),
                    row[&format!("{stem}_s")].is_empty(),
                    "{what}: {key}"
                );
                continue;
            }
            let Some(value) = object.get(key) else {
                // absent from the object is empty in the cell, where other rows have it
                let elsewhere = list.iter().any(|other| other.get(key).is_some());
                assert!(
                    !elsewhere || cell.is_empty(),
                    "{what}: {key} is {cell} in CSV only"
                );
                continue;
            };
            assert!(
                agrees(cell, value),
                "{what}: {key} is {cell} in CSV, {value} in JSON: {object:#}"
            );
            *seen.entry(key.clone()).or_default() += 1;
        }
    }
}

#[test]
fn csv_and_json_hold_the_same_numbers() {
    let mut seen = BTreeMap::new();
    for (name, planned) in SHIPPED.iter() {
        let facts = planned.facts(Units::Metric);
        let lists = |report: &str| {
            let json = by_name(report).unwrap().json(&facts);
            ["splits", "segments", "stations"]
                .map(|key| json[key].as_array().cloned().unwrap_or_default())
        };
        for report in of_a_plan() {
            let all = lists(if report.needs == Needs::Target {
                "plan"
            } else {
                report.name
            });
            for table in tables(&facts, report.name) {
                let keys: Vec<&String> = table
                    .first()
                    .map(|row| row.keys().collect())
                    .unwrap_or_default();
                let side_by_side = keys.iter().any(|key| *key == "arrival_2_s");
                for list in all
                    .iter()
                    .filter(|list| !list.is_empty() && list.len() <= table.len())
                {
                    let what = format!("{name}, {}", report.name);
                    let named = ["station", "to"].iter().find(|key| {
                        let same = |(row, object): (&BTreeMap<String, String>, &Value)| {
                            row.get(**key)
                                .is_some_and(|cell| object[**key] == cell.as_str())
                        };
                        table.iter().zip(list).all(same)
                    });
                    if named.is_some() && !side_by_side {
                        compare(&what, &table, list, &mut seen);
                    }
                }
            }
        }
    }
    for key in [
        "station",
        "official_m",
        "arrival_s",
        "departure_s",
        "early_s",
        "late_s",
        "cutoff_s",
        "margin_s",
        "latest_departure_s",
        "binding",
        "to",
        "official_length_m",
        "climb_m",
        "descent_m",
        "moving_s",
        "pace_s_per_km",
        "fluid_ml",
        "sodium_mg",
        "carbs_g",
        "energy_kcal",
    ] {
        assert!(
            seen.get(key).is_some_and(|count| *count > 20),
            "{key} was compared {:?} times",
            seen.get(key)
        );
    }
}

#[test]
fn three_finishes_in_csv_are_those_in_json() {
    for (name, planned) in SHIPPED
        .iter()
        .filter(|(_, planned)| planned.plans.len() == 3)
    {
        let facts = planned.facts(Units::Metric);
        let tables = tables(&facts, "splits");
        let table = tables
            .iter()
            .find(|table| table[0].contains_key("arrival_3_s"));
        let table = table.unwrap_or_else(|| panic!("{name} has no table of three"));
        let json = by_name("splits").unwrap().json(&facts);
        let lists = [
            &json["splits"],
            &json["other_finishes"][0]["splits"],
            &json["other_finishes"][1]["splits"],
        ];
        for (list, suffix) in lists.into_iter().zip(["", "_2", "_3"]) {
            for (row, split) in table.iter().zip(list.as_array().unwrap()) {
                for key in ["arrival", "margin"] {
                    let cell = &row[&format!("{key}{suffix}_s")];
                    assert!(
                        agrees(cell, &split[format!("{key}_s")]),
                        "{name}: {cell}, {split:#}"
                    );
                }
            }
        }
    }
}
