//! The race book: contents, chapters, pictures, and nothing lost on the way.

use serde_json::Value;
use sutler::paper::{Format, Pages, RACE_BOOK, Wishes};
use sutler::units::Units;

use super::bags::{all_letters, hostile_bags, letters};
use super::layout::{Word, pictures_inside, words};
use super::{checked, demo, laid_out, on_either_sheet};

fn texts<'a>(list: &'a Value, key: &str) -> impl Iterator<Item = &'a Value> {
    list[key].as_array().unwrap().iter()
}

/// Every text of a part of a chapter.
fn of_part(part: &Value) -> Vec<&str> {
    let values: Vec<&Value> = match part["is"].as_str().unwrap() {
        "heading" | "words" => vec![&part["text"]],
        "facts" => texts(part, "rows")
            .flat_map(|row| row.as_array().unwrap())
            .collect(),
        "list" => texts(part, "items")
            .flat_map(|item| texts(item, "under").chain([&item["text"]]))
            .collect(),
        "table" => {
            let heads = texts(part, "columns").map(|column| &column["head"]);
            let rows = texts(part, "rows").flat_map(|row| row.as_array().unwrap());
            heads.chain(rows.map(|cell| &cell["text"])).collect()
        }
        other => panic!("a part is {other}"),
    };
    values.into_iter().map(|v| v.as_str().unwrap()).collect()
}

/// Texts of the chapters as the pages have them: what to leave a supply point with has its own
/// heads, and the kind of thing apart.
fn expected(data: &Value) -> Vec<&str> {
    let mut all = Vec::new();
    for chapter in texts(data, "chapters") {
        let parts = texts(chapter, "blocks");
        if chapter["key"] == "leave" {
            let items = parts.flat_map(|part| texts(part, "items"));
            let lines = items.flat_map(|item| texts(item, "under"));
            all.extend(lines.map(|line| line.as_str().unwrap().split_once(": ").unwrap().1));
        } else {
            all.extend(parts.flat_map(of_part));
        }
    }
    all
}

/// Every text of every chapter stands on the pages.
#[track_caller]
fn nothing_is_lost(data: &Value, found: &[Word], at: &str) {
    let shown = all_letters(found);
    let all = expected(data);
    assert!(all.len() > 300, "{at}: only {} texts", all.len());
    for text in all {
        assert!(shown.contains(&letters(text)), "{at}: no `{text}`");
    }
    for station in texts(data, "stations").filter(|s| !s["leave_with"].is_null()) {
        let leave = station["leave"]["time"].as_str().unwrap();
        assert!(shown.contains(&letters(leave)), "{at}: no {leave}");
    }
}

/// The contents name every chapter with the page that it begins on.
#[track_caller]
fn contents_are_right(data: &Value, pages: &Pages, at: &str) {
    let pages: Vec<Vec<Word>> = pages.document().pages.iter().map(words).collect();
    for chapter in texts(data, "chapters") {
        let title = chapter["title"].as_str().unwrap();
        let begins = |page: &Vec<Word>| page.iter().any(|w| w.text == title && w.size_pt > 18.0);
        let page = pages.iter().position(begins);
        let number = (page.unwrap_or_else(|| panic!("{at}: no {title}")) + 1).to_string();
        let line = pages[0].iter().find(|w| w.text == title);
        let line = line.unwrap_or_else(|| panic!("{at}: {title} is not in the contents"));
        let numbered = pages[0].iter().any(|w| w.text == number && w.beside(line));
        assert!(numbered, "{at}: {title} is on page {number}");
    }
    let count = pages.len();
    for (index, page) in pages.iter().enumerate().skip(1) {
        let foot = format!("page {} of {count}", index + 1);
        assert!(page.iter().any(|w| w.text == foot), "{at}: no {foot}");
    }
}

#[test]
fn every_demo_has_all_of_it_on_either_sheet() {
    on_either_sheet(&RACE_BOOK, |pages, found, data, at| {
        nothing_is_lost(data, found, at);
        contents_are_right(data, pages, at);
        // the cover's and those of three chapters
        let pictures = pages.document().pages.iter().map(pictures_inside);
        assert_eq!(pictures.sum::<usize>(), 4, "{at}");
    });
}

#[test]
fn hostile_names_stay_in_the_book() {
    let race = hostile_bags();
    let wishes = Wishes::default();
    let pages = laid_out(&RACE_BOOK, &race, Units::Metric, &wishes);
    let found = checked(&pages, "hostile");
    let data = (RACE_BOOK.data)(&race.view(Units::Metric), &wishes);
    contents_are_right(&data, &pages, "hostile");
    let shown = all_letters(&found);
    for name in [
        "12<script>alert(1)",
        "#seteval(\"x\")*bold*_it_$x$",
        "semi;colon,comma\\",
    ] {
        assert!(shown.contains(name), "no {name}");
    }
}

#[test]
fn cautions_stand_in_full_and_the_book_can_be_leafed_through() {
    let pages = laid_out(&RACE_BOOK, demo(), Units::Metric, &Wishes::default());
    let shown = all_letters(&checked(&pages, "demo"));
    let cautions = &demo().plans[0].fueling.cautions;
    assert!(cautions.len() > 5);
    for caution in cautions {
        assert!(shown.contains(&letters(caution.text)), "{}", caution.text);
    }
    let pdf = pages.write(Format::Pdf, 0).unwrap();
    let again = laid_out(&RACE_BOOK, demo(), Units::Metric, &Wishes::default());
    assert!(pdf == again.write(Format::Pdf, 0).unwrap());
    let text = String::from_utf8_lossy(&pdf);
    // ISO 32000-1, 12.3.3, 12.5.6.5 and 14.9.3: outline, links of the contents, words for pictures
    for needed in ["/Outlines", "/Subtype /Link", "/Alt", "/StructTreeRoot"] {
        assert!(text.contains(needed), "no {needed}");
    }
}
