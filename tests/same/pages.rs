//! Reads printed pages: the card, the crew's sheet, the race book.

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
    let mut fills: Things = Vec::new();
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
        fills.push((name, drawn(piece)));
    }
    Told {
        arrivals: Some(arrivals),
        cutoffs: Some(cutoffs),
        drawn: something(fills),
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
        let there = near(&clocks[1], facts.be_there.elapsed.as_secs() / 60);
        let likely = near(&clocks[2], there.unwrap());
        let window = plain(between(met, "arrives ", "</span></span>")[0]);
        let late = near(window.split('–').nth(1).unwrap(), likely.unwrap());
        let off = match clocks[0].as_str() {
            "–" => None,
            // a crew that stays is told no time
            "stay" => facts
                .drive_off_by
                .as_ref()
                .map(|at| at.elapsed.to_minute().as_secs() / 60),
            text => near(text, there.unwrap()),
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

/// Reads the race book: the table of stations, and what to leave each supply point with.
pub fn race_book(shown: &Shown) -> Told {
    let html = page(shown, "race-book");
    let stations = html.split("id=\"splits\"").nth(1).unwrap();
    let table = between(stations, "<table class=\"data\">", "</table>")[0];
    let heads = all_plain(between(table, "<th ", "</th>"));
    let head = |names: &[&str]| {
        let found = heads
            .iter()
            .position(|head| names.iter().any(|name| head.ends_with(name)));
        found.unwrap_or_else(|| panic!("none of {names:?} in {heads:?}"))
    };
    let (name, arrive) = (head(&["Station"]), head(&["Arrive", "Plan"]));
    let mut now = 0;
    let rows = between(table, "<tr", "</tr>").into_iter().skip(1);
    let arrivals = rows.map(|row| {
        let cells: Vec<String> = between(row, "<td", "</td>").into_iter().map(cell).collect();
        now = shown.minute(&cells[arrive], now);
        (cells[name].clone(), now)
    });
    let arrivals: Vec<(String, i64)> = arrivals.collect();
    let supplies = between(&html, "<section class=\"supply", "</section>");
    let taken = supplies.into_iter().map(|supply| {
        let name = plain(between(supply, "<p><b><bdi>", "</bdi>")[0]);
        let rows = between(supply, "<dt>", "</dd>").into_iter();
        let eaten = rows.filter_map(|row| {
            let (word, list) = row.split_once("</dt>").unwrap();
            let kinds = ["eat and drink here", "carry to eat", "carry for later"];
            kinds.contains(&word).then(|| plain(list))
        });
        let eaten = eaten.flat_map(|list| {
            let all = list.split(", ").map(str::to_owned);
            all.collect::<Vec<_>>()
        });
        (name, sorted(eaten.collect()))
    });
    Told {
        arrivals: Some(arrivals),
        taken: something(taken.collect()),
        ..Told::default()
    }
}

/// The words of a cell, whose tag is cut open.
fn cell(html: &str) -> String {
    plain(html.split_once('>').unwrap().1)
}
