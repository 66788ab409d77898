//! The choice of servings for one stretch: from what is wanted, what is on offer and what there
//! is room for, to how many of each.
//!
//! Nothing here knows a course, a station or a file, so that a better way of choosing can take
//! the place of [`choose`] and nothing else; [`cost()`] says which of two choices is better.

use crate::inputs::pantry_csv::FoodKind;

pub use super::cost::cost;

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

/// One food from one source, per serving.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Candidate {
    /// Which food, so that one food from two sources tires as one.
    pub food: usize,
    /// What a serving is.
    pub kind: FoodKind,
    /// Carbohydrate, grams.
    pub carbs_g: f64,
    /// Sodium, milligrams.
    pub sodium_mg: f64,
    /// Caffeine, milligrams.
    pub caffeine_mg: f64,
    /// Water a drink is mixed with, or water in a food, millilitres.
    pub water_ml: f64,
    /// What a serving takes of the pockets, grams.
    pub pocket_g: f64,
    /// Servings there are at most; `None` is as many as wanted.
    pub most: Option<u32>,
    /// 1 (only if I must) to 5 (always welcome).
    pub liking: u8,
    /// Whether it was eaten on a long run.
    pub tested: bool,
    /// Whether the runner brings it; a station's own is preferred, other things equal.
    pub own: bool,
    /// Servings of this food already planned elsewhere in the race.
    pub eaten: u32,
}

/// What the runner can hold and manage on one stretch.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Room {
    /// What the flasks hold, millilitres; `None` where nobody said.
    pub flasks_ml: Option<f64>,
    /// What is left of the pockets, grams; `None` where nobody said.
    pub pockets_g: Option<f64>,
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
    /// Mass in the pockets, grams.
    pub pocket_g: f64,
    /// Servings had on the spot.
    pub spot_servings: u32,
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
            sum.pocket_g += n * offer.pocket_g;
            match offer.kind {
                FoodKind::Drink => sum.flask_ml += n * offer.water_ml,
                FoodKind::Station => {
                    sum.food_water_ml += n * offer.water_ml;
                    sum.spot_servings += count;
                }
                FoodKind::Gel | FoodKind::Food | FoodKind::Salt => {
                    sum.food_water_ml += n * offer.water_ml;
                }
            }
        }
        sum
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
}

/// Chooses servings: one is added at a time while that helps, then servings are added, left out
/// and exchanged until no single such move helps.
///
/// The same input gives the same choice. The choice is feasible: [`cost()`] is finite. It need not
/// be the cheapest; the tests say how far it was from that on random cases.
///
/// # Examples
/// ```
/// use sutler::inputs::pantry_csv::FoodKind;
/// use sutler::packing::choose::{Candidate, Room, Want, choose};
/// // a large pitted date, USDA Standard Reference 26, record 09421
/// let date = Candidate {
///     food: 0, kind: FoodKind::Food, carbs_g: 18.0, sodium_mg: 0.0, caffeine_mg: 0.0,
///     water_ml: 5.0, pocket_g: 24.0, most: None, liking: 4, tested: true, own: true, eaten: 0,
/// };
/// let want = Want { carbs_g: 55.0, fluid_ml: 500.0, fluid_ceiling_ml: 600.0, ..Want::default() };
/// assert_eq!(choose(&want, &[date], &Room::default()).servings, [3]);
/// ```
#[must_use]
pub fn choose(want: &Want, offers: &[Candidate], room: &Room) -> Choice {
    let empty = vec![0; offers.len()];
    let grown = descend(want, offers, room, empty, grow_moves);
    let servings = descend(want, offers, room, grown, all_moves);
    Choice {
        supply: Supply::of(offers, &servings),
        cost: cost(want, offers, room, &servings),
        servings,
    }
}

/// A change to the servings: candidate and difference, up to three at once.
type Move = [(usize, i64); 3];

/// Makes the best of the moves again and again until none helps.
fn descend(
    want: &Want,
    offers: &[Candidate],
    room: &Room,
    mut servings: Vec<u32>,
    moves: fn(&[Candidate], &[u32]) -> Vec<Move>,
) -> Vec<u32> {
    /// Improvements below this are rounding, and could go round in circles.
    const LEAST_GAIN: f64 = 1e-9;
    let mut now = cost(want, offers, room, &servings);
    loop {
        let mut best: Option<(f64, Vec<u32>)> = None;
        for change in moves(offers, &servings) {
            let Some(changed) = apply(&servings, &change) else {
                continue;
            };
            let then = cost(want, offers, room, &changed);
            if then < best.as_ref().map_or(now - LEAST_GAIN, |(cost, _)| *cost) {
                best = Some((then, changed));
            }
        }
        match best {
            Some((then, changed)) => (now, servings) = (then, changed),
            None => return servings,
        }
    }
}

/// One more of anything.
fn grow_moves(offers: &[Candidate], _servings: &[u32]) -> Vec<Move> {
    (0..offers.len())
        .map(|i| [(i, 1), (i, 0), (i, 0)])
        .collect()
}

/// One more, one less, and exchanges of one or two for one, for two of a kind or for a pair.
fn all_moves(offers: &[Candidate], servings: &[u32]) -> Vec<Move> {
    let mut moves = grow_moves(offers, servings);
    let taken = || (0..servings.len()).filter(|i| servings[*i] > 0);
    for out in taken() {
        moves.push([(out, -1), (out, 0), (out, 0)]);
        for other in (0..offers.len()).filter(|i| *i != out) {
            for (less, more) in [(-1, 1), (-1, 2), (-2, 1), (-2, 2), (-2, 3), (-3, 2)] {
                moves.push([(out, less), (other, more), (other, 0)]);
            }
            for third in (other + 1..offers.len()).filter(|i| *i != out) {
                moves.push([(out, -1), (other, 1), (third, 1)]);
            }
        }
        for other in taken().filter(|i| *i > out) {
            moves.push([(out, -1), (other, -1), (other, 0)]);
            for third in (0..offers.len()).filter(|i| *i != out && *i != other) {
                moves.push([(out, -1), (other, -1), (third, 1)]);
            }
        }
    }
    for one in 0..offers.len() {
        for two in one + 1..offers.len() {
            moves.push([(one, 1), (two, 1), (two, 0)]);
        }
    }
    moves
}

/// The servings after a move; `None` where one would fall below zero.
fn apply(servings: &[u32], change: &Move) -> Option<Vec<u32>> {
    let mut changed = servings.to_vec();
    for &(index, by) in change {
        let slot = changed.get_mut(index)?;
        *slot = u32::try_from(i64::from(*slot) + by).ok()?;
    }
    Some(changed)
}
