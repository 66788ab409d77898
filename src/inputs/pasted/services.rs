//! Services in the words about a station: aid or water, food, crew, drop bags.

use crate::inputs::pantry_csv::{Food, FoodKind};
use crate::inputs::stations_csv::{StationKind, is_water};
use crate::words::folded;

use super::cells::class;

/// Services in a cell, and the words of it that were not understood.
#[derive(Clone, Debug, Default)]
pub(super) struct Services {
    pub(super) kind: Option<StationKind>,
    pub(super) crew: bool,
    pub(super) drop_bag: bool,
    pub(super) pacer: bool,
    pub(super) water: bool,
    /// Foods by their names in the pantry.
    pub(super) foods: Vec<String>,
    /// Food that is not named, and hot food: true where there is some.
    pub(super) food: bool,
    pub(super) hot: bool,
    /// Words that a plan has no use for, such as a doctor.
    pub(super) noted: Vec<String>,
    pub(super) unknown: Vec<String>,
}

/// True where each word of a cell is known.
pub(super) fn is_understood(text: &str) -> bool {
    let services = Services::of(text, &[]);
    services.unknown.is_empty()
}

impl Services {
    /// Reads a cell.
    pub(super) fn of(text: &str, pantry: &[Food]) -> Services {
        let mut services = Services::default();
        let mut seen = Vec::new();
        let marks = [';', ',', '/', '+', '&', '(', ')', ':', '.', '!', '?', '\n'];
        for piece in text
            .split(marks)
            .map(str::trim)
            .filter(|piece| !piece.is_empty())
        {
            match named(piece, pantry) {
                Some(food) => services.foods.push(food),
                None => services.piece(piece, pantry, &mut seen),
            }
        }
        services.foods.dedup();
        services.kind = services.kind(&seen);
        services
    }

    /// Reads what stands between two commas, the longest phrases first.
    fn piece(&mut self, piece: &str, pantry: &[Food], seen: &mut Vec<&'static str>) {
        let lower = piece.to_lowercase();
        let words: Vec<&str> = lower
            .split([' ', '-'])
            .filter(|word| !word.is_empty())
            .collect();
        let mut found = Vec::new();
        let mut at = 0;
        while at < words.len() {
            let phrase = (1..=3.min(words.len() - at)).rev().find_map(|length| {
                let phrase = words[at..at + length].join(" ");
                if let Some(food) = named(&phrase, pantry) {
                    self.foods.push(food);
                    return Some(("fill", phrase, length));
                }
                Some((class(&phrase)?, phrase, length))
            });
            let length = phrase.as_ref().map_or(1, |(_, _, length)| *length);
            match phrase {
                Some(("noted", phrase, _)) => self.noted.push(phrase),
                Some((class, ..)) => found.push(class),
                None => self
                    .unknown
                    .extend(words.get(at).map(|word| (*word).to_owned())),
            }
            at += length;
        }
        let denied = |class: &&str| matches!(*class, "no" | "not");
        if !found.iter().any(denied) {
            seen.extend(found);
        } else if found.contains(&"water") {
            seen.push("dry");
        } else if found.iter().all(|class| denied(class) || *class == "fill") {
            // a dash alone: nothing is there
            seen.push("checkpoint");
        }
    }

    fn kind(&mut self, seen: &[&'static str]) -> Option<StationKind> {
        let has = |class: &str| seen.contains(&class);
        let dry = has("dry");
        self.crew = has("crew");
        self.drop_bag = has("drop bag");
        self.pacer = has("pacer");
        self.hot = has("hot");
        self.food = has("food") || has("aid") || self.hot;
        self.water = (has("water") || has("drink") || self.food) && !dry;
        if dry || (has("checkpoint") && !self.water && self.foods.is_empty()) {
            Some(StationKind::Checkpoint)
        } else if self.food || !self.foods.is_empty() {
            Some(StationKind::Aid)
        } else if self.water {
            Some(StationKind::Water)
        } else if self.crew {
            Some(StationKind::CrewOnly)
        } else {
            None
        }
    }
}

/// The food of the pantry that words name.
fn named(words: &str, pantry: &[Food]) -> Option<String> {
    let one = folded(words);
    let same = |food: &&Food| {
        let food = folded(&food.name.value);
        food == one || format!("{food}s") == one || format!("{one}s") == food
    };
    let found = pantry
        .iter()
        .filter(|food| !is_water(&food.name.value))
        .find(same);
    found.map(|food| food.name.value.clone())
}

/// Usual offers of stations: foods of the pantry that only stations have, hot ones or others.
pub(super) fn usual(pantry: &[Food], hot: bool) -> impl Iterator<Item = String> {
    let fits = move |food: &&Food| {
        !food.own
            && matches!(
                (food.kind, hot),
                (FoodKind::Station, true) | (FoodKind::Food, _)
            )
    };
    pantry
        .iter()
        .filter(fits)
        .map(|food| food.name.value.clone())
}
