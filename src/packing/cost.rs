//! How good a choice of servings is. The weights are our own choice (no source): they say what
//! a runner would trade against what, in grams of carbohydrate missed.

use crate::inputs::pantry_csv::FoodKind;

use super::choose::{Candidate, Room, Supply, Want};

/// The share of the carbohydrate need that may be missed or exceeded without more ado.
pub(super) const CARBS_BAND: f64 = 0.10;
/// The same for sodium, about which far less is certain: drinks of 20 to 30 mmol/l, 460 to 690 mg
/// per litre, are recommended alike (American College of Sports Medicine 2007, Med Sci Sports Exerc
/// 39:377, as quoted second-hand).
pub(super) const SODIUM_BAND: f64 = 0.20;
/// A drink stronger than this, in grams of carbohydrate per millilitre, may leave the stomach
/// slowly: 3 to 8 % is recommended (McDermott et al. 2017, J Athl Train 52:877).
pub(super) const STRONGEST_G_PER_ML: f64 = 0.08;
/// A drink with carbohydrate, but less than this, is flavoured water (same source).
const WEAKEST_G_PER_ML: f64 = 0.03;

/// Per gram of carbohydrate within the band, below it and above it.
const CARBS: Band = Band {
    share: CARBS_BAND,
    inside: 0.1,
    below: 1.0,
    above: 1.5,
    short: 4.0,
};
/// Per milligram of sodium, likewise.
const SODIUM: Band = Band {
    share: SODIUM_BAND,
    inside: 0.001,
    below: 0.02,
    above: 0.01,
    short: 4.0,
};
/// Per milligram of sodium above the loss.
const SODIUM_ABOVE_LOSS: f64 = 0.1;
/// Per milligram of planned caffeine that is missing: it was asked for.
const CAFFEINE_MISSING: f64 = 0.3;
/// Per millilitre by which drinks and food water exceed the planned fluid.
const FLUID_ABOVE_PLAN: f64 = 0.02;
/// Per gram that does not fit the pockets.
const POCKET_OVER: f64 = 0.1;
/// Carbohydrate of a portion, grams. Taste counts by portions, so that neither small nor large
/// servings look better than they are; a serving counts as at least and at most so many.
const PORTION_G: f64 = 25.0;
const PORTIONS: (f64, f64) = (0.4, 2.0);
/// Per portion that was never tested.
const UNTESTED: f64 = 8.0;
/// Per portion and step of liking below 5.
const LESS_LIKED: f64 = 0.5;
/// Per portion and step of liking below 3, besides.
const DISLIKED: f64 = 1.5;
/// Per portion that the runner must bring.
const OWN: f64 = 1.5;
/// The first portion of a food costs this, the second two times it, and so on.
const TIRES: f64 = 0.8;
/// Per portion and serving of the same food elsewhere in the race.
const TIRED: f64 = 0.1;
/// Per serving: each must be taken up, opened and eaten on the move.
const SERVING: f64 = 0.3;
/// Per kind of food: a few kinds are easier to handle than many.
const KIND: f64 = 0.5;
/// Per gram of carbohydrate in drinks above the strongest; twice that with gels.
const TOO_STRONG: f64 = 0.5;
/// Per serving of a drink weaker than the weakest.
const TOO_WEAK: f64 = 1.0;

/// Cost of being off a need: per unit, and once for falling short of the band at all.
struct Band {
    share: f64,
    inside: f64,
    below: f64,
    above: f64,
    short: f64,
}

impl Band {
    /// The cost of a supply against a need.
    fn of(&self, supply: f64, need: f64) -> f64 {
        let (low, high) = (need * (1.0 - self.share), need * (1.0 + self.share));
        let short = if supply < low { self.short } else { 0.0 };
        short
            + self.inside * (supply - need).abs()
            + self.below * (low - supply).max(0.0)
            + self.above * (supply - high).max(0.0)
    }
}

/// What a choice costs, in grams of carbohydrate missed; lower is better.
///
/// Infinite where it cannot or must not be: more servings than there are, more than the flasks
/// hold, drinks beyond the planned fluid, fluid beyond the sweat, caffeine beyond the plan, more
/// on the spot than the stop allows, or salt items beyond the sodium need or the loss.
#[must_use]
pub fn cost(want: &Want, offers: &[Candidate], room: &Room, servings: &[u32]) -> f64 {
    let supply = Supply::of(offers, servings);
    if !feasible(want, offers, room, servings, &supply) {
        return f64::INFINITY;
    }
    let fluid_ml = supply.flask_ml + supply.food_water_ml;
    let over_pockets_g = room
        .pockets_g
        .map_or(0.0, |pockets_g| (supply.pocket_g - pockets_g).max(0.0));
    CARBS.of(supply.carbs_g, want.carbs_g)
        + SODIUM.of(supply.sodium_mg, want.sodium_mg)
        + SODIUM_ABOVE_LOSS * (supply.sodium_mg - want.sodium_loss_mg).max(0.0)
        + CAFFEINE_MISSING * (want.caffeine_mg - supply.caffeine_mg).max(0.0)
        + FLUID_ABOVE_PLAN * (fluid_ml - want.fluid_ml).max(0.0)
        + POCKET_OVER * over_pockets_g
        + taste(offers, servings)
        + strength(offers, servings)
}

/// Whether a choice can and may be.
fn feasible(
    want: &Want,
    offers: &[Candidate],
    room: &Room,
    servings: &[u32],
    supply: &Supply,
) -> bool {
    /// Sums of decimal fractions that should be equal differ by less than this.
    const ROUNDING: f64 = 1e-6;
    let within = |value: f64, most: f64| value <= most + ROUNDING;
    let chosen = || offers.iter().zip(servings).filter(|(_, n)| **n > 0);
    chosen().all(|(offer, n)| offer.most.is_none_or(|most| *n <= most))
        && room.flasks_ml.is_none_or(|ml| within(supply.flask_ml, ml))
        && within(supply.flask_ml, want.fluid_ml)
        && within(
            supply.flask_ml + supply.food_water_ml,
            want.fluid_ceiling_ml,
        )
        && within(supply.caffeine_mg, want.caffeine_mg)
        && supply.spot_servings <= room.spot_servings
        && chosen()
            .filter(|(offer, _)| offer.kind == FoodKind::Salt && offer.sodium_mg > 0.0)
            .all(|(salt, _)| {
                within(supply.sodium_mg, want.sodium_loss_mg)
                    && supply.sodium_mg - salt.sodium_mg < want.sodium_mg
            })
}

/// What liking, testing, origin and sameness cost.
fn taste(offers: &[Candidate], servings: &[u32]) -> f64 {
    let mut sum = 0.0;
    for (index, (offer, &count)) in offers.iter().zip(servings).enumerate() {
        if count == 0 {
            continue;
        }
        let mut each = LESS_LIKED * f64::from(5_u8.saturating_sub(offer.liking))
            + DISLIKED * f64::from(3_u8.saturating_sub(offer.liking))
            + TIRED * f64::from(offer.eaten);
        if !offer.tested {
            each += UNTESTED;
        }
        if offer.own {
            each += OWN;
        }
        sum += (SERVING + each * portions(offer)) * f64::from(count);
        // a food from two sources tires as one: it is counted at its first candidate
        let same = |other: usize| offers[other].food == offer.food && servings[other] > 0;
        if !(0..index).any(same) {
            let of_it: f64 = (index..offers.len())
                .filter(|i| same(*i))
                .map(|i| f64::from(servings[i]) * portions(&offers[i]))
                .sum();
            sum += KIND + TIRES * of_it * (of_it + 1.0) / 2.0;
        }
    }
    sum
}

/// How many portions a serving is.
fn portions(offer: &Candidate) -> f64 {
    (offer.carbs_g / PORTION_G).clamp(PORTIONS.0, PORTIONS.1)
}

/// What drinks too strong or too weak cost.
fn strength(offers: &[Candidate], servings: &[u32]) -> f64 {
    let chosen = || offers.iter().zip(servings).filter(|(_, n)| **n > 0);
    let with_gels = chosen().any(|(offer, _)| offer.kind == FoodKind::Gel);
    chosen()
        .filter(|(offer, _)| offer.kind == FoodKind::Drink && offer.carbs_g > 0.0)
        .map(|(drink, &count)| {
            let surplus_g = (drink.carbs_g - STRONGEST_G_PER_ML * drink.water_ml).max(0.0);
            let weak = drink.carbs_g < WEAKEST_G_PER_ML * drink.water_ml;
            let strong = TOO_STRONG * surplus_g * if with_gels { 2.0 } else { 1.0 };
            f64::from(count) * (strong + if weak { TOO_WEAK } else { 0.0 })
        })
        .sum()
}
