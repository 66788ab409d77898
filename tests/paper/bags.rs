//! The bag sheet: labels of drop bags, the shopping and packing list.

use std::collections::BTreeMap;

use serde_json::Value;
use sutler::diagnostics::SourceFile;
use sutler::paper::{BAG_SHEET, Wishes};
use sutler::time::Elapsed;
use sutler::units::Units;

use super::layout::Word;
use super::{checked, demo, laid_out, on_either_sheet};
use crate::support::hostile::{self, NAMES};
use crate::support::race::{PLANS, Planned};

/// Thirty bags, and food, gear and runner with names that try everything.
pub fn hostile_bags() -> Planned {
    let mut texts = hostile::texts(30, false);
    let quoted = |name: &str| format!("\"{}\"", name.replace('"', "\"\""));
    let pantry = texts.pantry.as_mut().unwrap();
    for (food, name) in [
        ("rice ball", NAMES[10]),
        ("dates", NAMES[8]),
        ("gel", NAMES[0]),
    ] {
        let row = format!("\n{food},");
        assert!(pantry.text.contains(&row), "no {food}");
        let hostile = format!("\n{},", quoted(name));
        *pantry = SourceFile::new("pantry.csv", pantry.text.replace(&row, &hostile));
    }
    let mut gear = String::from("name,when,after,mass_g,burn_h\n");
    for (index, name) in NAMES.iter().enumerate() {
        gear += &format!("{},always,,50,\n", quoted(&format!("{index} {name}")));
    }
    texts.gear = Some(SourceFile::new("gear.csv", gear));
    let runner = texts.runner.as_mut().unwrap();
    let name = format!("name = \"{}\"", NAMES[8]);
    *runner = SourceFile::new(
        "runner.toml",
        runner.text.replace("name = \"Ilka Tormann\"", &name),
    );
    Planned::of(texts, &[Elapsed::from_secs(29 * 3600)])
}

/// Words as one text, without spaces and the marks where a word was broken.
pub fn letters(text: &str) -> String {
    text.replace(['\u{ad}', '\u{a0}', ' '], "")
}

pub fn all_letters(found: &[Word]) -> String {
    letters(&found.iter().map(|w| w.text.as_str()).collect::<String>())
}

fn texts(list: &Value) -> impl Iterator<Item = &str> {
    list.as_array()
        .unwrap()
        .iter()
        .map(|text| text.as_str().unwrap())
}

/// Everything in the data that is to be bought, packed, taken or left stands on the pages.
#[track_caller]
fn nothing_is_lost(data: &Value, found: &[Word], at: &str) {
    let shown = all_letters(found);
    let bags = data["bags"].as_array().unwrap();
    let labels = found.iter().filter(|w| w.text.contains("DROP BAG")).count();
    assert_eq!(labels, bags.len(), "{at}");
    let blanks = found.iter().filter(|w| w.text == "bib").count();
    assert_eq!(blanks, bags.len(), "{at}");
    let heaps = data["heaps"].as_array().unwrap().iter();
    let lists = heaps
        .chain(bags)
        .flat_map(|heap| [&heap["food"], &heap["gear"]])
        .chain(bags.iter().map(|bag| &bag["returns"]));
    let things = lists.flat_map(texts);
    let cautions = texts(&data["all_cautions"]).chain(texts(&data["cautions"]));
    for thing in things.chain(cautions).chain(texts(&data["bag_rules"])) {
        // a line that is turned around is not looked for
        if thing.is_ascii() || thing.contains('×') && !thing.contains(NAMES[4]) {
            assert!(shown.contains(&letters(thing)), "{at}: no {thing}");
        }
    }
}

#[test]
fn every_demo_has_all_of_its_things_on_either_sheet() {
    on_either_sheet(&BAG_SHEET, |_, found, data, at| {
        nothing_is_lost(data, found, at)
    });
}

#[test]
fn hostile_names_stay_on_their_labels() {
    let race = hostile_bags();
    let wishes = Wishes::default();
    let found = checked(
        &laid_out(&BAG_SHEET, &race, Units::Metric, &wishes),
        "hostile",
    );
    let data = (BAG_SHEET.data)(&race.view(Units::Metric), &wishes);
    assert_eq!(data["bags"].as_array().unwrap().len(), 30);
    nothing_is_lost(&data, &found, "hostile");
}

/// Servings by food, from texts such as `2 × oat bar`.
fn counted<'a>(texts: impl Iterator<Item = &'a str>) -> BTreeMap<&'a str, u64> {
    let mut counts = BTreeMap::new();
    for text in texts {
        if let Some((count, food)) = text.split_once("\u{a0}×\u{a0}") {
            *counts.entry(food).or_default() += count.parse::<u64>().unwrap();
        }
    }
    counts
}

#[test]
fn heaps_labels_and_list_add_up() {
    let mut seen = 0;
    for plan in PLANS {
        let race = Planned::shipped(plan);
        let data = (BAG_SHEET.data)(&race.view(Units::Metric), &Wishes::default());
        let heaps = data["heaps"].as_array().unwrap();
        for (hands, column) in [
            ("start", "start"),
            ("bag", "bags"),
            ("crew", "crew"),
            ("spare", "spare"),
        ] {
            let of_hands = heaps.iter().filter(|heap| heap["hands"] == hands);
            let packed = counted(of_hands.flat_map(|heap| texts(&heap["food"])));
            let foods = data["foods"].as_array().unwrap().iter();
            let listed: BTreeMap<&str, u64> = foods
                .map(|row| (row["food"].as_str().unwrap(), row[column].as_u64().unwrap()))
                .filter(|(_, count)| *count > 0)
                .collect();
            assert_eq!(packed, listed, "{plan}, {hands}");
        }
        for bag in data["bags"].as_array().unwrap() {
            let visits = bag["visits"].as_array().unwrap().iter();
            let rations = visits.flat_map(|visit| visit["in_order"].as_array().unwrap());
            let eaten = counted(rations.flat_map(|ration| texts(&ration["food"])));
            assert_eq!(eaten, counted(texts(&bag["food"])), "{plan}");
            seen += 1;
        }
    }
    assert!(seen > 3, "only {seen} bags were seen");
}

#[test]
fn the_organisers_words_on_bags_are_printed() {
    let found = checked(
        &laid_out(&BAG_SHEET, demo(), Units::Metric, &Wishes::default()),
        "demo",
    );
    let shown = all_letters(&found);
    // what `rules` of the demo's course says
    assert!(shown.contains("handedinby20:00onFriday"), "{shown}");
    assert!(shown.contains("IlkaTormann"));
}
