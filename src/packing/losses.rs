//! Things not there after all: a bag that did not arrive, a crew stuck on a road, a dry station, a
//! food the stomach refuses, a lost flask, lamp or layer.

use crate::words::same_name;

use super::packed::Source;

/// Supplies to pack without; nothing by default.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Losses {
    /// Places, by index, whose drop bag is missing on every visit.
    pub bags: Vec<usize>,
    /// Places, by index, that the crew does not reach.
    pub crew: Vec<usize>,
    /// Places, by index, where the organiser has nothing, not even water.
    pub offers: Vec<usize>,
    /// Foods of the pantry and pieces of gear that nobody has, by name.
    pub items: Vec<String>,
    /// Flasks gone, the largest first.
    pub flasks: usize,
    /// True where a missing bag or crew is found out only there: nothing was packed elsewhere
    /// instead.
    pub unforeseen: bool,
}

impl Losses {
    /// True where nothing is lost.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        let places = [&self.bags, &self.crew, &self.offers];
        places.iter().all(|list| list.is_empty()) && self.items.is_empty() && self.flasks == 0
    }

    /// True where what a source would give at a place is lost.
    #[must_use]
    pub fn has_source(&self, source: Source, place: usize) -> bool {
        match source {
            Source::Bag => self.bags.contains(&place),
            Source::Crew => self.crew.contains(&place),
            Source::Station => self.offers.contains(&place),
            Source::Start => false,
        }
    }

    /// True where a food or a piece of gear is among the losses.
    #[must_use]
    pub fn has_item(&self, name: &str) -> bool {
        self.items.iter().any(|item| same_name(item, name))
    }
}
