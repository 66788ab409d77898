//! Reads reports for people: tables, and points with lines below them.

use std::collections::BTreeMap;

use super::told::{Shown, Things, Told, something, sorted};

/// A part of a report under its heading.
#[derive(Debug, Default)]
struct Section {
    heading: String,
    /// Rows by the heads of their columns.
    rows: Vec<BTreeMap<String, String>>,
    /// Points, each with the lines below it.
    items: Vec<(String, Vec<String>)>,
}

/// Reads `--format table`.
pub fn table(shown: &Shown) -> Told {
    told(shown, &|name| {
        sections_of_text(&shown.report(name, "table"))
    })
}

/// Reads `--format markdown`.
pub fn markdown(shown: &Shown) -> Told {
    told(shown, &|name| {
        sections_of_markdown(&shown.report(name, "markdown"))
    })
}

fn sections_of_text(text: &str) -> Vec<Section> {
    let mut sections: Vec<Section> = Vec::new();
    for block in text.split("\n\n") {
        let mut lines = block.lines();
        let mut section = Section {
            heading: lines.next().unwrap_or_default().trim().to_owned(),
            ..Section::default()
        };
        let lines: Vec<&str> = lines.collect();
        if lines.get(1).is_some_and(|line| line.starts_with('─')) {
            section.rows = rows(&lines);
        }
        for line in &lines {
            if let Some(title) = line.strip_prefix(" · ") {
                section.items.push((title.to_owned(), Vec::new()));
            } else if let Some(under) = line.strip_prefix("   → ")
                && let Some((_, all)) = section.items.last_mut()
            {
                all.push(under.to_owned());
            }
        }
        sections.push(section);
    }
    sections
}

/// The rows of a table below its heads, its columns parted by two blanks in every line.
fn rows(lines: &[&str]) -> Vec<BTreeMap<String, String>> {
    let width = lines[1].chars().count();
    let body: Vec<Vec<char>> = lines[2..]
        .iter()
        .take_while(|line| !line.is_empty() && line.chars().count() <= width)
        .map(|line| line.chars().collect())
        .collect();
    let head: Vec<char> = lines[0].chars().collect();
    let all = || body.iter().chain([&head]);
    let blank = |at: usize| all().all(|line| line.get(at).is_none_or(|c| *c == ' '));
    let mut columns: Vec<(usize, usize)> = Vec::new();
    for at in 0..width {
        if blank(at) {
            continue;
        }
        match columns.last_mut() {
            Some((_, end)) if at - *end < 2 => *end = at + 1,
            _ => columns.push((at, at + 1)),
        }
    }
    let cell = |line: &[char], (from, to): (usize, usize)| -> String {
        let chars = line.iter().skip(from).take(to - from);
        chars.collect::<String>().trim().to_owned()
    };
    let row = |line: &Vec<char>| {
        let pairs = columns.iter().map(|at| (cell(&head, *at), cell(line, *at)));
        pairs.collect()
    };
    body.iter().map(row).collect()
}

fn sections_of_markdown(text: &str) -> Vec<Section> {
    let mut sections = vec![Section::default()];
    let mut heads: Vec<String> = Vec::new();
    for line in text.lines() {
        let line = line.replace('\\', "");
        let section = sections.last_mut().unwrap();
        if let Some(heading) = line.strip_prefix("## ") {
            sections.push(Section {
                heading: heading.to_owned(),
                ..Section::default()
            });
            heads.clear();
        } else if let Some(cells) = line.strip_prefix("| ") {
            let cells = cells.trim_end_matches('|').split(" | ");
            let cells: Vec<String> = cells
                .map(|cell| cell.trim().trim_matches('*').to_owned())
                .collect();
            if heads.is_empty() {
                heads = cells;
            } else if !cells[0].starts_with("---") {
                section
                    .rows
                    .push(heads.iter().cloned().zip(cells).collect());
            }
        } else if let Some(title) = line.strip_prefix("- ") {
            let title = title.trim_matches('*').to_owned();
            section.items.push((title, Vec::new()));
        } else if let Some(under) = line.strip_prefix("  - ")
            && let Some((_, all)) = section.items.last_mut()
        {
            all.push(under.to_owned());
        }
    }
    sections
}

/// What the sections of the reports tell.
fn told(shown: &Shown, sections: &dyn Fn(&str) -> Vec<Section>) -> Told {
    let (plan, crew) = (sections("plan"), sections("crew"));
    let find = |all: &'_ [Section], heading: &str| -> Option<usize> {
        all.iter().position(|section| section.heading == heading)
    };
    let stations = &plan[find(&plan, "Stations").expect("a table of stations")];
    let mut now = 0;
    let arrivals = stations.rows.iter().map(|row| {
        now = shown.minute(row.get("Plan").unwrap_or_else(|| &row["Arrive"]), now);
        (row["Station"].clone(), now)
    });
    let arrivals: Vec<(String, i64)> = arrivals.collect();
    let cutoffs = find(&plan, "Cutoffs").map(|at| {
        let rows = plan[at].rows.iter();
        let limit = rows.map(|row| {
            let arrival = arrivals.iter().find(|(name, _)| *name == row["Station"]);
            let minute = shown.minute(&row["Cutoff"], arrival.unwrap().1);
            (row["Station"].clone(), minute)
        });
        limit.collect()
    });
    let pickups = find(&plan, "Leave each supply point with").map(|at| &plan[at].items);
    let bags = find(&plan, "Drop bags to hand in").map(|at| &plan[at].items);
    let be_there = find(&crew, "Be there").map(|at| &crew[at].rows);
    let handed = find(&crew, "Stop by stop").map(|at| &crew[at].items);
    Told {
        cutoffs: cutoffs.or(Some(Vec::new())),
        fills: pickups.map(|items| fills(items)),
        drawn: None,
        carried: None,
        by_watch: None,
        taken: pickups.and_then(|items| {
            let verbs = [
                "eat and drink here: ",
                "pick up: ",
                "from the pockets: ",
                "pick up for later: ",
            ];
            things(items, station, &verbs)
        }),
        bags: bags.and_then(|items| things(items, str::to_owned, &["pack: "])),
        meetings: be_there.map(|rows| rows.iter().map(|row| meeting(shown, row)).collect()),
        handed: handed.and_then(|items| things(items, numbered, &["hand over: "])),
        arrivals: Some(arrivals),
    }
}

/// The name in `5 Hut, Sat 11:39: 10.5 km to Pass`.
fn station(title: &str) -> String {
    numbered(title.split(", ").next().unwrap())
}

/// The name in `5 Hut`.
fn numbered(title: &str) -> String {
    title.split_once(' ').unwrap().1.to_owned()
}

fn fills(items: &[(String, Vec<String>)]) -> Vec<(String, Vec<String>)> {
    let filled = |(title, lines): &(String, Vec<String>)| {
        let words = lines
            .iter()
            .find_map(|line| line.strip_prefix("flasks: "))?;
        Some((station(title), vec![words.to_owned()]))
    };
    items.iter().filter_map(filled).collect()
}

/// What stands behind some verbs in the lines of each point.
fn things(items: &[(String, Vec<String>)], name: fn(&str) -> String, verbs: &[&str]) -> Things {
    let of = |(title, lines): &(String, Vec<String>)| {
        let lists = lines.iter().filter_map(|line| {
            let mut told = verbs.iter().filter_map(|verb| line.strip_prefix(verb));
            told.next()
        });
        let words = lists.flat_map(|list| list.split(", ")).map(|thing| {
            let sources = [" (station)", " (bag)", " (crew)"];
            let source = sources.iter().find(|source| thing.ends_with(**source));
            thing.trim_end_matches(source.unwrap_or(&"")).to_owned()
        });
        (name(title), sorted(words.collect()))
    };
    something(items.iter().map(of).collect())
}

fn meeting(shown: &Shown, row: &BTreeMap<String, String>) -> (String, [Option<i64>; 4]) {
    let heads = ["Be there", "Likely", "Late", "Drive off by"];
    let minutes = heads.map(|head| {
        let printed = &row[head];
        (!printed.is_empty() && printed != "unknown").then(|| shown.minute(printed, 0))
    });
    (row["Station"].clone(), minutes)
}
