//! Servings and gear in lists.

use crate::facts::ServingFacts;

use super::document::{Cell, Column, Table};

/// A verb with its things; nothing where there are none.
pub(super) fn said(verb: &str, things: Vec<String>) -> Option<String> {
    (!things.is_empty()).then(|| format!("{verb} {}", things.join(", ")))
}

/// Servings and gear as one list.
pub(super) fn things(servings: &[ServingFacts], gear: &[String]) -> Vec<String> {
    let servings = servings.iter().map(|serving| serving.text.clone());
    servings.chain(gear.iter().cloned()).collect()
}

/// A thing that changes place: where, what is done with it, its name, how many, both as printed.
pub(super) struct Move {
    place: String,
    what: &'static str,
    thing: String,
    count: u32,
    text: String,
}

/// Servings and gear with which the same is done at one place.
pub(super) fn moved(
    place: &str,
    what: &'static str,
    servings: &[ServingFacts],
    gear: &[String],
) -> Vec<Move> {
    let one = |thing: &str, count, text: &str| Move {
        place: place.to_owned(),
        what,
        thing: thing.to_owned(),
        count,
        text: text.to_owned(),
    };
    let eaten = servings.iter().map(|s| one(&s.food, s.count, &s.text));
    let worn = gear.iter().map(|name| one(name, 1, name));
    eaten.chain(worn).collect()
}

/// A row a thing.
pub(super) fn moves(rows: &[Move]) -> Table {
    Table::of(
        rows,
        vec![
            Column::left("Station", "station").of(|row: &Move| Cell::new(&*row.place)),
            Column::left("What", "what").of(|row| Cell::new(row.what)),
            Column::left("Thing", "thing").of(|row| Cell::new(&*row.thing)),
            Column::right("Count", "count").of(|row| Cell::new(row.count.to_string())),
            Column::left("As printed", "text").of(|row| Cell::new(&*row.text)),
        ],
    )
}
