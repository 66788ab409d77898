//! Findings and mistakes without a word of the files' own: keys become the labels of their
//! fields, files the parts of the page, with a link to the place where it is mended.

use maud::{Markup, html};

use sutler::facts::FindingFacts;
use sutler::pages::parts::{clean, finding_box};

use super::PARTS;
use crate::desk::columns::{FileColumn, columns_of};
use crate::desk::fields::{self, Group};
use crate::desk::role::Role;

/// A place on the page.
#[derive(Clone, Debug)]
pub(in crate::desk) struct Place {
    pub(super) part: &'static str,
    /// A selector of what is to be typed in or pressed there.
    pub(super) seek: String,
    /// The more exact, the higher.
    rank: u8,
}

impl Place {
    /// A part of the page as a whole.
    pub(super) fn part(part: &'static str) -> Place {
        Place {
            part,
            seek: String::new(),
            rank: 0,
        }
    }

    /// A link to it.
    pub(super) fn link(&self, says: &str) -> Markup {
        html! { a.button href={ "#" (self.part) } data-part=(self.part) data-seek=(self.seek) { (says) } }
    }
}

/// The words as the page says them, and the most exact place that they name.
pub(in crate::desk) fn worded(text: &str) -> (String, Option<Place>) {
    let mut place: Option<Place> = None;
    let mut found = |word: &str| {
        let (label, at) = look(word, text)?;
        if place.as_ref().is_none_or(|own| own.rank < at.rank) {
            place = Some(at);
        }
        Some(format!("“{label}”"))
    };
    let mut words = String::new();
    for (at, stretch) in text.split('`').enumerate() {
        if at % 2 == 1 {
            let (key, value) = stretch.split_once(" = ").unwrap_or((stretch, ""));
            words += &found(key).unwrap_or_else(|| key.to_owned());
            words += &match value.trim_matches('"') {
                "" => String::new(),
                "true" => ": yes".to_owned(),
                "false" => ": no".to_owned(),
                other => format!(": {other}"),
            };
            continue;
        }
        for word in stretch.split_inclusive(' ') {
            let bare = word.trim_matches(|c: char| c.is_whitespace() || ".,;:()".contains(c));
            let is_syntax = bare.contains(['_', '[', '.']) && !bare.is_empty();
            match is_syntax.then(|| found(bare)).flatten() {
                Some(label) => words += &word.replace(bare, &label),
                None => words += word,
            }
        }
    }
    (clean(&words), place)
}

/// The label of a key, a table or a file, and its place; `text` tells which of several is meant.
fn look(word: &str, text: &str) -> Option<(&'static str, Place)> {
    let title = |part: &str| {
        PARTS
            .iter()
            .find(|own| own.id == part)
            .map_or("", |own| own.title)
    };
    if let Some(role) = Role::ALL.into_iter().find(|role| role.file() == word) {
        let part = part_of(role);
        return Some((title(part), sought(part, 1, seek_sheet(role, None))));
    }
    if let Some((_, part, label)) = NAMED.iter().find(|(path, ..)| *path == word) {
        return Some((label, sought(part, 2, String::new())));
    }
    let likely = |group: &Group| {
        let named = group.path.last().is_some_and(|last| text.contains(last));
        let fields = group.fields.iter().filter(|field| {
            let key = format!("`{}", field.key);
            text.contains(&key)
        });
        usize::from(named) + usize::from(text.contains(group.role.name())) + fields.count()
    };
    let groups = || {
        let parts = fields::PARTS.iter();
        parts.flat_map(|(part, groups)| groups.iter().map(move |group| (*part, group)))
    };
    if let Some(path) = word.strip_prefix('[') {
        let path = path.trim_matches(['[', ']']);
        let own = groups().filter(|(_, group)| group.path.join(".") == path);
        let (part, group) = own.max_by_key(|(_, group)| likely(group))?;
        return Some((group.title, sought(part, 2, seek_group(group))));
    }
    let fields = groups().flat_map(|(part, group)| {
        let own = group.fields.iter().filter(|field| field.is_called(word));
        own.map(move |field| (part, group, field))
    });
    if let Some((part, group, field)) = fields.max_by_key(|(_, group, _)| likely(group)) {
        let path = group.path.join("-");
        let end = field.key.replace('_', "-");
        let seek = match (group.is_list, path.as_str()) {
            (true, _) => format!("[id^=\"f-{}-{path}-\"][id*=\"-{end}\"]", group.role.name()),
            (_, "") => format!("[id^=\"f-{}-{end}\"]", group.role.name()),
            _ => format!("[id^=\"f-{}-{path}-{end}\"]", group.role.name()),
        };
        return Some((field.label, sought(part, 3, seek)));
    }
    let columns = Role::ALL.into_iter().flat_map(|role| {
        let own = columns_of(role).iter();
        own.filter(|column| column.is_called(word))
            .map(move |column| (role, column))
    });
    let (role, column) = columns.max_by_key(|(role, _)| text.contains(role.name()))?;
    let seek = seek_sheet(role, Some(column));
    Some((column.label, sought(part_of(role), 3, seek)))
}

fn sought(part: &'static str, rank: u8, seek: String) -> Place {
    Place { part, seek, rank }
}

fn seek_group(group: &Group) -> String {
    let path = serde_json::to_string(group.path).unwrap_or_default();
    let role = group.role.name();
    match group.is_list {
        true => format!("[data-push=\"{role}\"][data-path='{path}']"),
        false => format!("[id^=\"f-{role}-{}-\"]", group.path.join("-")),
    }
}

fn seek_sheet(role: Role, column: Option<&FileColumn>) -> String {
    let role_name = role.name();
    match column {
        Some(column) => {
            let key = column.key;
            format!(
                "[data-sheet=\"{role_name}\"] [data-column=\"{key}\"], [data-insert=\"{role_name}\"]"
            )
        }
        None if role.is_table() => format!("[data-insert=\"{role_name}\"]"),
        None => String::new(),
    }
}

/// Tables of names that the user chooses.
const NAMED: [(&str, &str, &str); 3] = [
    ("[stops.at]", "times", "Stop"),
    ("[bring]", "crew", "What to bring"),
    ("[phones]", "crew", "Phones"),
];

/// The part of the page where a file is worked on.
pub(super) fn part_of(role: Role) -> &'static str {
    match role {
        Role::Plan | Role::Course => "race",
        Role::Stations => "stations",
        Role::Runner => "me",
        Role::Pantry | Role::Gear => "food",
        Role::Weather => "weather",
        Role::Crew => "crew",
        Role::Seen => "day",
        Role::Route | Role::Surfaces | Role::Record => "files",
    }
}

/// A finding with every way out, each with a link to where it is done.
pub(super) fn finding(finding: &FindingFacts) -> Markup {
    let ways = finding.ways_out.iter().map(|way| {
        let (words, place) = worded(way);
        html! { bdi { (words) } @if let Some(place) = place { " " (place.link("Go there")) } }
    });
    let ways: Vec<Markup> = ways.collect();
    finding_box(finding.fails(), &worded(&finding.text).0, &ways)
}

#[cfg(test)]
#[path = "tests/worded.rs"]
mod tests;
