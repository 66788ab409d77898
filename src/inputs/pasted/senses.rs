//! Column names: the synonyms that organisers use.

use crate::inputs::moments::{COMING, LEAVING, is_one};
use crate::inputs::stations_csv::CutoffOn;
use crate::inputs::word_lists::entries;

use super::ColumnMeaning;
use super::cells::DistanceUnit;

/// A meaning and the words for it; of a distance or a cutoff not yet in which unit or clock.
const LINES: &str = include_str!("headings.txt");

/// The most lines above the column names: a title, a date.
pub(super) const LINES_ABOVE: usize = 6;

/// A column name as words.
fn words(heading: &str) -> Vec<String> {
    let lower = heading.to_lowercase();
    let words = lower.split(|c: char| !c.is_alphanumeric());
    words.filter(|w| !w.is_empty()).map(str::to_owned).collect()
}

/// True where a column name has one of the words.
pub(super) fn names(heading: &str, any: &str) -> bool {
    let words = words(heading);
    words.iter().any(|own| is_one(own, any))
}

/// The event that the last of such words in a column name or a cell tells of.
pub(super) fn event(text: &str) -> Option<CutoffOn> {
    let words = words(text);
    let events = words.iter().rev().filter_map(|word| match word.as_str() {
        word if is_one(word, LEAVING) => Some(CutoffOn::Departure),
        word if is_one(word, COMING) => Some(CutoffOn::Arrival),
        _ => None,
    });
    events.into_iter().next()
}

/// The meaning that a column name has, where it has one.
pub(super) fn sense(heading: &str) -> Option<ColumnMeaning> {
    let single = words(heading).len() == 1;
    if heading.trim() == "#"
        || single && names(heading, "no nr n num number notes remarks comments")
    {
        return Some(ColumnMeaning::NotUsed);
    }
    if names(heading, "stop rest") && names(heading, "min mins minutes") {
        return Some(ColumnMeaning::Stop);
    }
    if names(heading, "food") && names(heading, "water drink drinks") {
        return Some(ColumnMeaning::Offers);
    }
    // `km from start` and `total km` are no legs, whatever else the name says
    if names(heading, "start total cumulative") && unit(heading).is_some() {
        return Some(ColumnMeaning::Kilometres);
    }
    let (label, _) = entries(LINES).find(|(_, any)| names(heading, any))?;
    match ColumnMeaning::labelled(label) {
        Some(ColumnMeaning::CutoffClock) if names(heading, LEAVING) => {
            Some(ColumnMeaning::LeaveByClock)
        }
        other => other,
    }
}

/// The unit that a column name says.
pub(super) fn unit(heading: &str) -> Option<DistanceUnit> {
    words(heading)
        .iter()
        .find_map(|word| DistanceUnit::named(word))
}

/// True where cells are column names: two or more are known, and none is a number or a time.
pub(super) fn is_head<'t>(cells: impl Iterator<Item = &'t str>) -> bool {
    let mut known = 0;
    for cell in cells {
        if cell.starts_with(|c: char| c.is_ascii_digit()) {
            return false;
        }
        known += usize::from(sense(cell).is_some());
    }
    known >= 2
}
