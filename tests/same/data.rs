//! Reads reports for programs.

use std::collections::BTreeMap;

use serde_json::Value;

use super::told::{Shown, Things, Told, minute, something, sorted};

/// Reads `--format csv`.
pub fn csv(shown: &Shown) -> Told {
    let tables = |name: &str| -> Vec<Vec<BTreeMap<String, String>>> {
        let text = shown.report(name, "csv");
        text.split("\n\n").map(rows).collect()
    };
    let (plan, bags, crew) = (tables("plan"), tables("bags"), tables("crew"));
    let with = |tables: &'_ [Vec<BTreeMap<String, String>>], key: &str| -> usize {
        let has = |table: &Vec<BTreeMap<String, String>>| {
            table.first().is_some_and(|row| row.contains_key(key))
        };
        tables.iter().position(has).unwrap_or(usize::MAX)
    };
    let times = |table: Option<&Vec<BTreeMap<String, String>>>, key: &str| {
        let rows = table.into_iter().flatten();
        let time = |row: &BTreeMap<String, String>| (row["station"].clone(), seconds(&row[key]));
        rows.map(time).collect::<Vec<(String, i64)>>()
    };
    let moved = |tables: &[Vec<BTreeMap<String, String>>], what: &[&str]| -> Things {
        let mut all: Vec<(String, Vec<String>)> = Vec::new();
        let rows = tables.get(with(tables, "what")).into_iter().flatten();
        for row in rows.filter(|row| what.contains(&row["what"].as_str())) {
            match all.last_mut() {
                Some((place, words)) if *place == row["station"] => words.push(row["text"].clone()),
                _ => all.push((row["station"].clone(), vec![row["text"].clone()])),
            }
        }
        let all = all.into_iter().map(|(place, words)| (place, sorted(words)));
        something(all.collect())
    };
    let carried = bags.get(with(&bags, "flasks_ml")).into_iter().flatten();
    let carried = carried.filter(|row| !row["flasks_ml"].is_empty());
    let carried = carried.map(|row| (row["station"].clone(), row["flasks_ml"].parse().unwrap()));
    let meetings = crew.get(with(&crew, "be_there_s")).into_iter().flatten();
    let meetings = meetings.map(|row| {
        let keys = ["be_there_s", "likely_s", "late_s", "drive_off_by_s"];
        let times = keys.map(|key| (!row[key].is_empty()).then(|| seconds(&row[key])));
        (row["station"].clone(), times)
    });
    Told {
        arrivals: Some(times(plan.get(with(&plan, "departure_s")), "arrival_s")),
        cutoffs: Some(times(plan.get(with(&plan, "cutoff_s")), "cutoff_s")),
        carried: Some(carried.collect()),
        taken: moved(&bags, &["eat here", "carry", "carry for later"]),
        bags: moved(&bags, &["pack in bag"]),
        meetings: Some(meetings.collect()),
        handed: moved(&crew, &["hand over"]),
        ..Told::default()
    }
}

fn rows(table: &str) -> Vec<BTreeMap<String, String>> {
    let mut reader = ::csv::Reader::from_reader(table.as_bytes());
    let heads = reader.headers().unwrap().clone();
    let row = |row: Result<::csv::StringRecord, _>| {
        let row = row.unwrap();
        let pairs = heads.iter().zip(row.iter());
        pairs
            .map(|(head, cell)| (head.to_owned(), cell.to_owned()))
            .collect()
    };
    reader.records().map(row).collect()
}

#[track_caller]
fn seconds(cell: &str) -> i64 {
    minute(
        cell.parse()
            .unwrap_or_else(|_| panic!("no seconds: `{cell}`")),
    )
}

/// Reads `--format json`.
pub fn json(shown: &Shown) -> Told {
    let report = sutler::reports::by_name("plan").unwrap();
    let text = report.json(&shown.facts).to_string();
    let plan: Value = serde_json::from_str(&text).unwrap();
    let at = |value: &Value, key: &str| value[key].as_i64().map(minute);
    let list = |key: &str| plan[key].as_array().cloned().unwrap_or_default();
    let name = |value: &Value| value["station"].as_str().unwrap().to_owned();
    let splits = list("splits");
    let times = |key: &str| -> Vec<(String, i64)> {
        let timed = splits
            .iter()
            .filter_map(|split| Some((name(split), at(split, key)?)));
        timed.collect()
    };
    let pickups = list("pickups");
    let fills = pickups.iter().filter_map(|pickup| {
        let words = pickup["flasks_words"].as_str()?.to_owned();
        Some((name(pickup), vec![words]))
    });
    let poured = pickups
        .iter()
        .filter(|pickup| pickup["flasks"][0].is_object());
    let carried = poured.map(|pickup| (name(pickup), pickup["fluid_ml"].as_i64().unwrap()));
    let taken = pickups
        .iter()
        .map(|pickup| (name(pickup), words(pickup, &["here", "take", "for_later"])));
    let meetings = list("crew");
    let met = meetings.iter().map(|meeting| {
        let keys = ["be_there_s", "likely_s", "late_s", "drive_off_by_s"];
        (name(meeting), keys.map(|key| at(meeting, key)))
    });
    let bags = list("bags");
    let bags = bags.iter().map(|bag| {
        let place = bag["place"].as_str().unwrap().to_owned();
        (place, words(bag, &["servings", "gear"]))
    });
    let handed = meetings
        .iter()
        .map(|meeting| (name(meeting), words(meeting, &["servings", "gear"])));
    Told {
        arrivals: Some(times("arrival_s")),
        cutoffs: Some(times("cutoff_s")),
        fills: Some(fills.collect()),
        drawn: None,
        carried: Some(carried.collect()),
        by_watch: None,
        taken: something(taken.collect()),
        bags: something(bags.collect()),
        meetings: Some(met.collect()),
        handed: something(handed.collect()),
    }
}

/// Servings and gear under some keys, as they are printed.
fn words(value: &Value, keys: &[&str]) -> Vec<String> {
    let all = keys
        .iter()
        .flat_map(|key| value[*key].as_array().into_iter().flatten());
    let word = |one: &Value| one["text"].as_str().or(one.as_str()).unwrap().to_owned();
    sorted(all.map(word).collect())
}
