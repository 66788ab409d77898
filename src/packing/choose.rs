//! The choice of servings for one stretch: from what is wanted, what is on offer and what there
//! is room for, to how many of each.
//!
//! Nothing here knows a course, a station or a file. [`cost()`] says which of two choices is
//! better; [`choose`] finds the cheapest of all, and a proof that nothing is cheaper.

use crate::inputs::pantry_csv::FoodKind;

use super::problem::Problem;
use super::search;

pub use super::cost::cost;
pub use super::flasks::Flasks;

/// The search ends after so many steps.
const MOST_STEPS: u32 = 60_000;

/// What the servings of one stretch should supply.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Want {
    /// Carbohydrate, grams.
    pub carbs_g: f64,
    /// Sodium, milligrams.
    pub sodium_mg: f64,
    /// Sodium lost in sweat, milligrams: salt items never lift the supply above it.
    pub sodium_loss_mg: f64,
    /// Fluid to plan for, millilitres: drinks stay within it.
    pub fluid_ml: f64,
    /// Sweat, millilitres: drinks and the water in foods together stay within it.
    pub fluid_ceiling_ml: f64,
    /// Caffeine, milligrams: 0 is none at all, and more than this is never chosen.
    pub caffeine_mg: f64,
}

/// One food from one source, per serving. A food is offered once.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Candidate {
    /// Which food.
    pub food: usize,
    /// What a serving is.
    pub kind: FoodKind,
    /// Carbohydrate, grams.
    pub carbs_g: f64,
    /// Sodium, milligrams.
    pub sodium_mg: f64,
    /// Caffeine, milligrams.
    pub caffeine_mg: f64,
    /// Water that a drink is mixed with or in, or water in a food, millilitres.
    pub water_ml: f64,
    /// What a serving takes of the pockets, grams; of a drink the powder, until it is mixed.
    pub pocket_g: f64,
    /// In how many of [`Room::pockets_g`] after the first it is held as well, being picked up
    /// earlier. A drink is not held in the first: by then it is in a flask.
    pub held: usize,
    /// How far a serving is carried times its mass, kilograms times kilometres.
    pub carried_kg_km: f64,
    /// Servings there are at most; `None` is as many as wanted.
    pub most: Option<u32>,
    /// 1 (only if I must) to 5 (always welcome).
    pub liking: u8,
    /// Whether it was eaten on a long run.
    pub tested: bool,
    /// Whether the runner brings it; a station's own is preferred, other things equal.
    pub own: bool,
    /// Servings of this food planned elsewhere in the race: the same item tires.
    pub eaten: u32,
    /// What a serving is worth elsewhere in the race, in units of [`cost()`].
    pub price: f64,
}

/// What the runner can hold and manage on one stretch.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Room {
    /// The flasks; `None` where nobody said.
    pub flasks: Option<Flasks>,
    /// What is left of the pockets on setting out on this stretch, grams, and before it, one
    /// earlier departure after the other; empty where nobody said what they hold.
    pub pockets_g: Vec<f64>,
    /// Servings that can be had on the spot during the stop.
    pub spot_servings: u32,
}

/// What some servings supply together.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Supply {
    /// Carbohydrate, grams.
    pub carbs_g: f64,
    /// Sodium, milligrams.
    pub sodium_mg: f64,
    /// Caffeine, milligrams.
    pub caffeine_mg: f64,
    /// Fluid in drinks that leave in flasks, millilitres.
    pub flask_ml: f64,
    /// Water in everything else, millilitres.
    pub food_water_ml: f64,
    /// Of these, what is had on the spot: carbohydrate, sodium and water.
    pub spot: SpotSupply,
    /// Servings had on the spot.
    pub spot_servings: u32,
}

/// What is had on the spot, and never carried.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SpotSupply {
    /// Carbohydrate, grams.
    pub carbs_g: f64,
    /// Sodium, milligrams.
    pub sodium_mg: f64,
    /// Water, millilitres.
    pub water_ml: f64,
}

impl Supply {
    /// Adds up servings; `servings[i]` counts those of `offers[i]`.
    #[must_use]
    pub fn of(offers: &[Candidate], servings: &[u32]) -> Supply {
        let mut sum = Supply::default();
        for (offer, &count) in offers.iter().zip(servings).filter(|(_, n)| **n > 0) {
            let n = f64::from(count);
            sum.carbs_g += n * offer.carbs_g;
            sum.sodium_mg += n * offer.sodium_mg;
            sum.caffeine_mg += n * offer.caffeine_mg;
            match offer.kind {
                FoodKind::Drink => sum.flask_ml += n * offer.water_ml,
                FoodKind::Station => {
                    sum.food_water_ml += n * offer.water_ml;
                    sum.spot.carbs_g += n * offer.carbs_g;
                    sum.spot.sodium_mg += n * offer.sodium_mg;
                    sum.spot.water_ml += n * offer.water_ml;
                    sum.spot_servings += count;
                }
                FoodKind::Gel | FoodKind::Food | FoodKind::Salt => {
                    sum.food_water_ml += n * offer.water_ml;
                }
            }
        }
        sum
    }

    /// All the fluid, millilitres.
    #[must_use]
    pub fn fluid_ml(&self) -> f64 {
        self.flask_ml + self.food_water_ml
    }
}

/// How many servings of each candidate, in the order they were offered.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Choice {
    /// Servings.
    pub servings: Vec<u32>,
    /// What they supply.
    pub supply: Supply,
    /// How far they are from perfect; see [`cost()`].
    pub cost: f64,
    /// No choice costs less than this. Equal to `cost`, but for the last digits, where the search
    /// ran to its end.
    pub bound: f64,
}

impl Choice {
    /// Whether this is known to be the cheapest choice of all.
    #[must_use]
    pub fn is_cheapest(&self) -> bool {
        self.cost <= self.bound + search::TOLERANCE
    }
}

/// Chooses the cheapest servings by [`cost()`], by branch and bound over whole servings.
///
/// The same input gives the same choice, and the choice is feasible: its cost is finite. The
/// search ends at the cheapest choice or, on stretches of very many servings, after a fixed number
/// of steps; [`Choice::bound`] then says how much cheaper another choice could at most be.
///
/// # Examples
/// ```
/// use sutler::inputs::pantry_csv::FoodKind;
/// use sutler::packing::choose::{Candidate, Room, Want, choose};
/// // a large pitted date, USDA Standard Reference 26, record 09421
/// let date = Candidate {
///     food: 0, kind: FoodKind::Food, carbs_g: 18.0, sodium_mg: 0.0, caffeine_mg: 0.0,
///     water_ml: 5.0, pocket_g: 24.0, held: 0, carried_kg_km: 0.2, most: None, liking: 4,
///     tested: true, own: true, eaten: 0, price: 0.0,
/// };
/// let want = Want { carbs_g: 55.0, fluid_ml: 500.0, fluid_ceiling_ml: 600.0, ..Want::default() };
/// let choice = choose(&want, &[date], &Room::default());
/// assert_eq!(choice.servings, [3]);
/// assert!(choice.is_cheapest());
/// ```
#[must_use]
pub fn choose(want: &Want, offers: &[Candidate], room: &Room) -> Choice {
    let problem = Problem::of(want, offers, room);
    let found = search::cheapest(&problem, None, MOST_STEPS);
    let mut servings = vec![0; offers.len()];
    for (item, count) in problem.items.iter().zip(&found.counts) {
        servings[item.index] = *count;
    }
    Choice {
        supply: Supply::of(offers, &servings),
        cost: cost(want, offers, room, &servings),
        bound: found.bound,
        servings,
    }
}
