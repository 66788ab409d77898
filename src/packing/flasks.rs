//! Drinks by flask: a mix fills whole flasks, with its servings by the flask.

use crate::inputs::pantry_csv::Food;
use crate::units::{Phrase, Quantity};

use super::stores::{STRONGEST_G_PER_ML, Stores, water_ml};

/// A flask as runners carry several of, millilitres: common practice, no source.
pub const FLASK_ML: f64 = 500.0;
/// The most flasks that a reservoir stands for: common practice, no source.
pub const MOST_FLASKS: u32 = 4;

/// More flasks in words, after a verb or nothing: a flask or two of those that are sold, and beyond
/// that the reservoir that holds as much, up to two litres.
#[must_use]
pub fn more_flasks(verb: &str, count: u32) -> Phrase {
    let what = match count {
        0 | 1 => "one more flask of ",
        2 => "2 more flasks of ",
        _ => "a reservoir of ",
    };
    let each = if count > 2 { count.min(MOST_FLASKS) } else { 1 };
    Phrase::new(format!("{verb}{what}")).and(Quantity::Volume {
        ml: f64::from(each) * FLASK_ML,
    })
}

/// Servings that are counted into one flask at most: common practice, no source.
const MOST_SCOOPS: f64 = 8.0;

/// The strength of a drink.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Mix {
    /// Size of one flask, millilitres.
    pub(super) flask_ml: f64,
    /// Servings that go into it.
    pub(super) servings: u32,
    /// The number of such flasks; `None` where nobody said.
    pub(super) flasks: Option<u32>,
}

impl Mix {
    /// Of a drink, in the flasks that fit whole servings best; `None` where even one serving to a
    /// flask would be too strong. Where flasks are not known, a serving as its label has it.
    pub(super) fn of(drink: &Food, stores: &Stores<'_>) -> Option<Mix> {
        let label_ml = water_ml(drink);
        if label_ml <= 0.0 {
            return None;
        }
        if stores.flasks_ml.is_empty() {
            return Some(Mix {
                flask_ml: label_ml,
                servings: 1,
                flasks: None,
            });
        }
        let mixes = stores.flasks_ml.iter().filter_map(|flask_ml| {
            let servings = servings(drink, *flask_ml, label_ml)?;
            let same = stores.flasks_ml.iter().filter(|ml| *ml == flask_ml);
            let off = (flask_ml / f64::from(servings) / label_ml).ln().abs();
            let mix = Mix {
                flask_ml: *flask_ml,
                servings,
                flasks: Some(same.count() as u32),
            };
            Some((off, mix))
        });
        let best = mixes.min_by(|a, b| a.0.total_cmp(&b.0));
        best.map(|(_, mix)| mix)
    }
}

/// Whole servings for a flask, as near to the label as they come and never stronger than is
/// recommended; `None` where that is none.
fn servings(drink: &Food, flask_ml: f64, label_ml: f64) -> Option<u32> {
    let wanted = (flask_ml / label_ml).round().max(1.0);
    let most = match drink.carbs_g > 0.0 {
        true => (flask_ml * STRONGEST_G_PER_ML / drink.carbs_g + 1e-9).floor(),
        false => wanted,
    };
    let servings = wanted.min(most);
    (1.0..=MOST_SCOOPS)
        .contains(&servings)
        .then_some(servings as u32)
}
