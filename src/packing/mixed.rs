//! Mix in the flasks on one stretch.

use crate::inputs::pantry_csv::Food;

use super::flasks::Mix;
use super::packed::Source;

/// Mix on one stretch.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Mixed {
    /// The drink in the flasks, by index in the pantry, and its strength.
    pub(super) drink: Option<(usize, Mix)>,
    /// Flasks filled at the point that the stretch leaves.
    pub(super) filled: u32,
    /// The source of its servings, and the point where they come into the runner's hands.
    pub(super) origin: Option<(Source, usize)>,
    /// In the flasks on leaving, millilitres.
    pub(super) held_ml: f64,
    /// Drunk on the stretch, millilitres.
    pub(super) drunk_ml: f64,
}

impl Mixed {
    /// Servings drunk on the stretch.
    pub(super) fn servings(&self) -> f64 {
        self.drink.map_or(0.0, |(_, mix)| {
            self.drunk_ml * f64::from(mix.servings) / mix.flask_ml
        })
    }

    /// Carbohydrate drunk on the stretch, grams.
    pub(super) fn carbs_g(&self, pantry: &[Food]) -> f64 {
        self.drink
            .map_or(0.0, |(food, _)| self.servings() * pantry[food].carbs_g)
    }

    /// Sodium drunk on the stretch, milligrams.
    pub(super) fn sodium_mg(&self, pantry: &[Food]) -> f64 {
        self.drink
            .map_or(0.0, |(food, _)| self.servings() * pantry[food].sodium_mg)
    }

    /// Servings filled in.
    pub(super) fn servings_filled(&self) -> f64 {
        self.drink
            .map_or(0.0, |(_, mix)| f64::from(self.filled * mix.servings))
    }

    /// True where own servings of a drink are filled in.
    pub(super) fn is_own(&self, food: usize) -> bool {
        let own = self
            .origin
            .is_some_and(|(source, _)| source != Source::Station);
        own && self.drink.is_some_and(|(drink, _)| drink == food)
    }
}
