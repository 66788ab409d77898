//! Food and drink of one stretch.

use crate::inputs::pantry_csv::Food;

use super::mixed::Mixed;
use super::packed::{Serving, Source, SpotSupply};

/// The need of one stretch.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Want {
    /// Carbohydrate, grams.
    pub(super) carbs_g: f64,
    /// Sodium, milligrams.
    pub(super) sodium_mg: f64,
    /// Sodium lost in sweat, milligrams.
    pub(super) sodium_loss_mg: f64,
    /// Fluid likely drunk, millilitres, water in food included.
    pub(super) fluid_ml: f64,
    /// Sweat, millilitres: nothing that is planned exceeds it.
    pub(super) fluid_ceiling_ml: f64,
    /// Caffeine, milligrams, as it is planned.
    pub(super) caffeine_mg: f64,
}

/// Supply of some servings together.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Supply {
    pub(super) carbs_g: f64,
    pub(super) sodium_mg: f64,
    pub(super) energy_kcal: f64,
    pub(super) caffeine_mg: f64,
    /// Mix drunk out of flasks, millilitres.
    pub(super) flask_ml: f64,
    /// Water in everything else, millilitres.
    pub(super) food_water_ml: f64,
    /// Of these, what is had on the spot.
    pub(super) spot: SpotSupply,
}

/// Servings of one food for one stretch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Pick {
    /// The food, by index in the pantry.
    pub(super) food: usize,
    /// The number of servings.
    pub(super) count: u32,
    /// Their source.
    pub(super) source: Source,
    /// The station where they come into the runner's hands.
    pub(super) at: usize,
    /// True where they are eaten there and then.
    pub(super) on_the_spot: bool,
    /// True where they go into flasks; what is drunk of them is counted by the stretch.
    pub(super) fills_flasks: bool,
}

impl Pick {
    /// Weight of the servings in the pockets, grams.
    pub(super) fn mass_g(&self, pantry: &[Food]) -> f64 {
        if self.on_the_spot {
            return 0.0;
        }
        f64::from(self.count) * pantry[self.food].mass_g
    }

    /// As it is printed.
    pub(super) fn serving(&self, pantry: &[Food]) -> Serving {
        let food = &pantry[self.food];
        Serving {
            food: food.name.value.clone(),
            count: self.count,
            source: self.source,
            at: self.at,
        }
    }
}

impl Supply {
    /// Adds up servings, and the mix that is drunk.
    pub(super) fn of(picks: &[Pick], mixed: &Mixed, pantry: &[Food]) -> Supply {
        let mut sum = Supply {
            flask_ml: mixed.drunk_ml,
            carbs_g: mixed.carbs_g(pantry),
            sodium_mg: mixed.sodium_mg(pantry),
            energy_kcal: mixed
                .drink
                .map_or(0.0, |(food, _)| mixed.servings() * pantry[food].energy_kcal),
            ..Supply::default()
        };
        for pick in picks.iter().filter(|pick| !pick.fills_flasks) {
            let (food, n) = (&pantry[pick.food], f64::from(pick.count));
            let (carbs_g, sodium_mg) = (n * food.carbs_g, n * food.sodium_mg);
            sum.carbs_g += carbs_g;
            sum.sodium_mg += sodium_mg;
            sum.energy_kcal += n * food.energy_kcal;
            sum.caffeine_mg += n * food.caffeine_mg;
            let water_ml = n * food.water_ml;
            sum.food_water_ml += water_ml;
            if pick.on_the_spot {
                sum.spot.carbs_g += carbs_g;
                sum.spot.sodium_mg += sodium_mg;
                sum.spot.water_ml += water_ml;
            }
        }
        sum
    }
}

/// Food of one stretch.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Meal {
    /// The need.
    pub(super) want: Want,
    /// Mix in the flasks.
    pub(super) mixed: Mixed,
    /// Supply of the servings and the mix.
    pub(super) supply: Supply,
    /// The servings.
    pub(super) picks: Vec<Pick>,
}
