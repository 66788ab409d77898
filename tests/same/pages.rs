//! Reads printed pages: the card, the crew's sheet, the bag sheet, the race book.

use std::collections::BTreeMap;

use sutler::pages::{Wishes, by_name};

use super::told::{Shown, Told, something, sorted};

/// A station or place, and things told of it.
type Things = Vec<(String, Vec<String>)>;

fn page(shown: &Shown, name: &str) -> String {
    by_name(name)
        .unwrap()
        .html(&shown.facts, &Wishes::default())
}

fn between<'a>(text: &'a str, open: &str, close: &str) -> Vec<&'a str> {
    let parts = text.split(open).skip(1);
    parts
        .map(|part| part.split(close).next().unwrap())
        .collect()
}

/// Words without tags.
fn plain(html: &str) -> String {
    let mut text = String::new();
    for part in format!(">{html}").split('<') {
        text += part.split_once('>').map_or(part, |(_, rest)| rest);
    }
    let text = text.replace("&lt;", "<").replace("&gt;", ">");
    let text = text.replace("&quot;", "\"").replace("&amp;", "&");
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn all_plain(parts: Vec<&str>) -> Vec<String> {
    let words = parts.into_iter().map(plain);
    words.filter(|words| !words.is_empty()).collect()
}

/// Flasks that are drawn with something in them.
fn drawn(html: &str) -> Vec<String> {
    sorted(all_plain(between(html, "<span class=\"fill\">", "</span>")))
}

/// Reads the pocket card.
pub fn card(shown: &Shown) -> Told {
    let html = page(shown, "card");
    let (mut arrivals, mut cutoffs) = (Vec::new(), Vec::new());
    let (mut fills, mut by_watch): (Things, Things) = (Vec::new(), Vec::new());
    let mut now = 0;
    for piece in between(&html, "<section class=\"piece\">", "</section>") {
        let name = plain(between(piece, "<span class=\"clamp\">", "</bdi>")[0]);
        let mut times = between(piece, "<small>", "</b>").into_iter().map(|time| {
            let (label, clock) = time.split_once("</small>").unwrap();
            (plain(label), plain(clock))
        });
        now = shown.minute(&times.next().unwrap().1, now);
        arrivals.push((name.clone(), now));
        for (label, clock) in times {
            if label.contains("in by") || label.contains("out by") {
                cutoffs.push((name.clone(), shown.minute(&clock, now)));
            }
        }
        fills.push((name.clone(), drawn(piece)));
        by_watch.push((name, eaten(piece)));
    }
    Told {
        arrivals: Some(arrivals),
        cutoffs: Some(cutoffs),
        drawn: something(fills),
        by_watch: something(by_watch),
        ..Told::default()
    }
}

/// Food on the spot, by the watch, later and in reserve, as a piece of the card has it.
fn eaten(piece: &str) -> Vec<String> {
    let listed = |part: &str| -> Vec<String> {
        let list = part.split("</p>").next().unwrap();
        let all = plain(list.split("<b>").next().unwrap());
        all.split(", ").map(str::to_owned).collect()
    };
    let after = |label: &str| piece.split(label).nth(1).map(listed).unwrap_or_default();
    let labels = ["<b>Here: </b>", "<b> Later: </b>", "<b> Reserve: </b>"];
    let mut all = labels.map(after).concat();
    if let Some(way) = piece.split("<b>To ").nth(1) {
        let fills = way.split("</span></span>; ").nth(1).unwrap_or(way);
        all.push(plain(between(fills, "<bdi>", "</bdi>")[0]));
    }
    sorted(all)
}

/// Reads the bag sheet: what goes into each bag, off its label.
pub fn bag_sheet(shown: &Shown) -> Told {
    let html = page(shown, "bag-sheet");
    let labels = between(&html, "<section class=\"label\">", "</section>").into_iter();
    let bags = labels.map(|label| {
        let place = plain(between(label, "<h3", "</h3>")[0].split_once('>').unwrap().1);
        let list = between(label, "<b>Put in</b>", "</ul>");
        let list = list
            .first()
            .map_or(Vec::new(), |list| between(list, "<li>", "</li>"));
        (place, sorted(all_plain(list)))
    });
    Told {
        bags: something(bags.collect()),
        ..Told::default()
    }
}

/// Reads the crew's sheet.
pub fn crew_sheet(shown: &Shown) -> Told {
    let html = page(shown, "crew-sheet");
    let (mut meetings, mut handed) = (Vec::new(), Vec::new());
    for (index, met) in between(&html, "<section class=\"meeting\">", "</section>")
        .into_iter()
        .enumerate()
    {
        let name = plain(between(met, "<bdi>", "</bdi>")[0]);
        let clocks = all_plain(between(met, "<span class=\"clock\">", "</span>"));
        let near = |text: &str, near: i64| Some(shown.minute(text, near));
        let facts = &shown.facts.planned().unwrap().crew[index];
        let planned = facts.early.elapsed.to_minute().as_secs() / 60;
        let (there, likely) = (near(&clocks[1], planned), near(&clocks[2], planned));
        let window = plain(between(met, "arrives ", "</span></span>")[0]);
        let late = near(window.split('–').nth(1).unwrap(), likely.unwrap());
        let off = match clocks[0].as_str() {
            "unknown" => None,
            // a crew that stays is told no time
            "stay" => facts
                .drive_off_by
                .as_ref()
                .map(|at| at.elapsed.to_minute().as_secs() / 60),
            text => near(text, planned),
        };
        meetings.push((name.clone(), [there, likely, late, off]));
        let over = between(met, "<dt>Hand over</dt>", "</dd>");
        let over = over
            .first()
            .map(|over| plain(over.trim_start_matches(" <dd>")));
        let over = over.map_or(Vec::new(), |over| {
            over.split(", ").map(str::to_owned).collect()
        });
        handed.push((name, sorted(over)));
    }
    Told {
        meetings: Some(meetings),
        handed: something(handed),
        ..Told::default()
    }
}

/// The rows of a table by the heads of their columns; empty cells are left out.
fn rows(table: &str) -> Vec<BTreeMap<String, String>> {
    let rows = between(table, "<tr", "</tr>").into_iter().skip(1);
    let named = |cell: &str| {
        let head = between(cell, "data-head=\"", "\"").first()?.to_string();
        Some((plain(&head), plain(cell.split_once('>')?.1)))
    };
    let cells = |row: &str| {
        between(row, "<td", "</td>")
            .into_iter()
            .filter_map(named)
            .collect()
    };
    rows.map(cells).collect()
}

/// Reads the race book: the tables of stations, cutoffs and meetings, what to leave each supply
/// point with, and the bags.
pub fn race_book(shown: &Shown) -> Told {
    let html = page(shown, "race-book");
    let table = |with: &str| -> Vec<BTreeMap<String, String>> {
        let tables = between(&html, "<table class=\"data\">", "</table>").into_iter();
        let head = format!("data-head=\"{with}\"");
        tables
            .filter(|table| table.contains(&head))
            .map(rows)
            .next()
            .unwrap_or_default()
    };
    let mut now = 0;
    let arrivals = table("Leave by").into_iter().map(|row| {
        now = shown.minute(row.get("Plan").unwrap_or_else(|| &row["Arrive"]), now);
        (row["Station"].clone(), now)
    });
    let arrivals: Vec<(String, i64)> = arrivals.collect();
    let planned = |name: &str| {
        arrivals
            .iter()
            .find(|(station, _)| station == name)
            .unwrap()
            .1
    };
    let cutoffs = table("Still in").into_iter().map(|row| {
        let near = planned(&row["Station"]);
        (row["Station"].clone(), shown.minute(&row["Cutoff"], near))
    });
    let meetings = table("Drive off by").into_iter().map(|row| {
        let near = planned(&row["Station"]);
        let times = ["Be there", "Likely", "Late", "Drive off by"].map(|head| {
            let printed = row
                .get(head)
                .filter(|text| !["", "–", "unknown"].contains(&text.as_str()))?;
            Some(shown.minute(printed, near))
        });
        (row["Station"].clone(), times)
    });
    let chapter = html.split("id=\"bags\">").nth(1).unwrap_or_default();
    let chapter = chapter.split("<h1").next().unwrap();
    let bags = between(chapter, "<li class=\"strong\">", "</ul>").into_iter();
    let bags = bags.map(|bag| {
        let words = all_plain(between(bag, "<bdi>", "</bdi>"));
        let packed = words.get(1).and_then(|words| words.strip_prefix("pack: "));
        let packed = packed.unwrap_or_default().split(", ").map(str::to_owned);
        (words[0].clone(), sorted(packed.collect()))
    });
    let (mut taken, mut fills) = (Vec::new(), Vec::new());
    for supply in between(&html, "<section class=\"supply", "</section>") {
        let name = plain(between(supply, "<p><b><bdi>", "</bdi>")[0]);
        let mut eaten: Vec<String> = Vec::new();
        for row in between(supply, "<dt>", "</dd>") {
            let (word, list) = row.split_once("</dt>").unwrap();
            match word {
                "eat and drink here" | "carry to eat" | "carry for later" => {
                    eaten.extend(plain(list).split(", ").map(str::to_owned));
                }
                "flasks" => fills.push((name.clone(), vec![plain(list)])),
                _ => {}
            }
        }
        taken.push((name, sorted(eaten)));
    }
    Told {
        cutoffs: Some(cutoffs.collect()),
        fills: Some(fills),
        taken: something(taken),
        bags: something(bags.collect()),
        meetings: Some(meetings.collect()),
        arrivals: Some(arrivals),
        ..Told::default()
    }
}
