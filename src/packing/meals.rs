//! What is eaten and drunk on one stretch.

use crate::inputs::pantry_csv::{Food, FoodKind};

use super::packed::{Serving, Source, SpotSupply};
use super::stores::water_ml;

/// What one stretch asks for.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Want {
    /// Carbohydrate, grams.
    pub(super) carbs_g: f64,
    /// Sodium, milligrams.
    pub(super) sodium_mg: f64,
    /// Sodium lost in sweat, milligrams.
    pub(super) sodium_loss_mg: f64,
    /// What is likely drunk, millilitres, water in food included.
    pub(super) fluid_ml: f64,
    /// Sweat, millilitres: nothing that is planned exceeds it.
    pub(super) fluid_ceiling_ml: f64,
    /// Caffeine, milligrams, as it is planned.
    pub(super) caffeine_mg: f64,
}

/// What some servings supply together.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Supply {
    pub(super) carbs_g: f64,
    pub(super) sodium_mg: f64,
    pub(super) energy_kcal: f64,
    pub(super) caffeine_mg: f64,
    /// Drinks mixed in flasks, millilitres.
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
    /// How many.
    pub(super) count: u32,
    /// Where they come from.
    pub(super) source: Source,
    /// The station where they come into the runner's hands.
    pub(super) at: usize,
    /// Whether they are eaten there and then.
    pub(super) on_the_spot: bool,
    /// How many flasks they fill, and how much each of them holds, millilitres.
    pub(super) flasks: Option<(u32, f64)>,
}

impl Pick {
    /// What the servings weigh in the pockets, grams.
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

    /// Fluid in the flasks that the servings fill, millilitres; `None` for what fills none.
    fn poured_ml(&self, food: &Food) -> Option<f64> {
        (food.kind == FoodKind::Drink && !self.on_the_spot).then(|| match self.flasks {
            Some((flasks, each_ml)) => f64::from(flasks) * each_ml,
            None => f64::from(self.count) * water_ml(food),
        })
    }
}

impl Supply {
    /// Adds up servings.
    pub(super) fn of(picks: &[Pick], pantry: &[Food]) -> Supply {
        let mut sum = Supply::default();
        for pick in picks {
            let (food, n) = (&pantry[pick.food], f64::from(pick.count));
            let (carbs_g, sodium_mg) = (n * food.carbs_g, n * food.sodium_mg);
            sum.carbs_g += carbs_g;
            sum.sodium_mg += sodium_mg;
            sum.energy_kcal += n * food.energy_kcal;
            sum.caffeine_mg += n * food.caffeine_mg;
            if let Some(poured_ml) = pick.poured_ml(food) {
                sum.flask_ml += poured_ml;
                continue;
            }
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

/// What is eaten on one stretch.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Meal {
    /// What was wanted.
    pub(super) want: Want,
    /// What the servings supply.
    pub(super) supply: Supply,
    /// The servings.
    pub(super) picks: Vec<Pick>,
}
