//! How good a choice of servings is. The weights are our own choice (no source) but where one is
//! named: they say what a runner would trade against what. Every part is convex in the servings of
//! each food, which is what lets the search prove its answer.

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
pub(super) const WEAKEST_G_PER_ML: f64 = 0.03;

/// Per gram of carbohydrate within the band, and beyond it either way.
const CARBS_INSIDE: f64 = 0.1;
const CARBS_OUTSIDE: f64 = 3.0;
/// Per milligram of sodium within the band, below it, above it, and above the loss besides.
const SODIUM_INSIDE: f64 = 0.001;
const SODIUM_BELOW: f64 = 0.05;
const SODIUM_ABOVE: f64 = 0.02;
const SODIUM_ABOVE_LOSS: f64 = 0.1;
/// Missing more than this share of carbohydrate or sodium costs so many times as much, which
/// spreads what is scarce evenly over the race.
const FAR_SHORT: f64 = 0.25;
const FAR_FACTOR: f64 = 1.5;
/// Per milligram of planned caffeine that is missing: it was asked for.
pub(super) const CAFFEINE_MISSING: f64 = 0.3;
/// Per millilitre by which drinks and food water exceed the planned fluid.
pub(super) const FLUID_ABOVE_PLAN: f64 = 0.02;
/// Carbohydrate of a portion, grams. Taste counts by portions, so that neither small nor large
/// servings look better than they are; a serving counts as at least and at most so many.
const PORTION_G: f64 = 25.0;
const PORTIONS: (f64, f64) = (0.4, 2.0);
/// Per portion that was never tested.
const UNTESTED: f64 = 12.0;
/// Per portion and step of liking below 5.
const LESS_LIKED: f64 = 0.5;
/// Per portion and step of liking below 3, besides.
const DISLIKED: f64 = 1.5;
/// Per portion that the runner must bring.
const OWN: f64 = 0.8;
/// Per square of the portions of a food on one stretch: the first costs half of it, each next one
/// as much more.
const TIRES: f64 = 0.8;
/// Per square of the portions of a food in the whole race, likewise.
const TIRED: f64 = 0.1;
/// Per serving: each must be taken up, opened and eaten on the move.
const SERVING: f64 = 0.3;
/// Per kilogram carried a kilometre, in grams of carbohydrate: level running costs 3.6 J/kg/m
/// (Minetti et al. 2002, J Appl Physiol 93:1039), and a gram gives 4 kcal.
const CARRIED: f64 = 3.6 / 4.184 / 4.0;
/// Per serving of a drink weaker than the weakest.
const TOO_WEAK: f64 = 1.0;

/// The most that is drunk on the spot at one stop, water in food included, millilitres: a stomach
/// empties best with 400 to 600 ml in it (McDermott et al. 2017), and nothing is made up for by
/// forced drinking at a station.
pub(super) const MOST_ON_THE_SPOT_ML: f64 = 400.0;

/// Sums of decimal fractions that should be equal differ by less than this.
pub(super) const ROUNDING: f64 = 1e-6;

/// Whether a value is within a limit, but for rounding.
pub(super) fn within(value: f64, most: f64) -> bool {
    value <= most + ROUNDING
}

/// What a choice costs; lower is better. A gram of carbohydrate outside of the band costs 3.
///
/// Infinite where it cannot or must not be: more servings than there are, drinks that the flasks
/// cannot hold beside the water that must be left with, food that the pockets cannot, drinks
/// beyond the planned fluid, fluid beyond the sweat, caffeine beyond the plan, more on the spot
/// than the stop or the stomach allows, or salt items beyond the sodium need or the loss.
#[must_use]
pub fn cost(want: &Want, offers: &[Candidate], room: &Room, servings: &[u32]) -> f64 {
    let supply = Supply::of(offers, servings);
    if !feasible(want, offers, room, servings, &supply) {
        return f64::INFINITY;
    }
    let taste: f64 = offers
        .iter()
        .zip(servings)
        .map(|(offer, count)| Taste::of(offer).of_servings(f64::from(*count)))
        .sum();
    Kinks::carbs(want).at(supply.carbs_g)
        + Kinks::sodium(want).at(supply.sodium_mg)
        + FLUID_ABOVE_PLAN * (supply.fluid_ml() - want.fluid_ml).max(0.0)
        + CAFFEINE_MISSING * want.caffeine_mg
        + taste
}

/// What a food costs by its servings, whatever else is chosen: `linear n + square n²`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Taste {
    pub(super) linear: f64,
    pub(super) square: f64,
}

impl Taste {
    /// Liking, testing, origin, sameness, carrying, handling; what caffeine it brings is taken off.
    pub(super) fn of(offer: &Candidate) -> Taste {
        let portions = portions(offer.carbs_g);
        let mut each = LESS_LIKED * f64::from(5_u8.saturating_sub(offer.liking))
            + DISLIKED * f64::from(3_u8.saturating_sub(offer.liking))
            // the rise of the square below from what is eaten elsewhere
            + TIRED * portions * f64::from(offer.eaten);
        if !offer.tested {
            each += UNTESTED;
        }
        if offer.own {
            each += OWN;
        }
        let weak = offer.kind == FoodKind::Drink
            && offer.carbs_g > 0.0
            && offer.carbs_g < WEAKEST_G_PER_ML * offer.water_ml;
        Taste {
            linear: SERVING + each * portions + CARRIED * offer.carried_kg_km
                - CAFFEINE_MISSING * offer.caffeine_mg
                + if weak { TOO_WEAK } else { 0.0 }
                + offer.price,
            square: (TIRES + TIRED) / 2.0 * portions * portions,
        }
    }

    pub(super) fn of_servings(self, count: f64) -> f64 {
        (self.linear + self.square * count) * count
    }
}

/// What a serving costs for each serving of the same food elsewhere in the race.
pub(super) fn tired(offer: &Candidate) -> f64 {
    tired_of(offer.carbs_g)
}

/// [`tired`], by the carbohydrate of a serving.
pub(super) fn tired_of(carbs_g: f64) -> f64 {
    TIRED * portions(carbs_g).powi(2)
}

/// How many portions a serving with so much carbohydrate is.
fn portions(carbs_g: f64) -> f64 {
    (carbs_g / PORTION_G).clamp(PORTIONS.0, PORTIONS.1)
}

/// A convex function with straight pieces that is 0 at the need and nowhere below.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Kinks {
    /// Where it bends, in rising order; one is the need.
    pub(super) at: [f64; 5],
    /// Slopes before the first, between, and after the last.
    pub(super) slopes: [f64; 6],
    /// The value at each bend.
    values: [f64; 5],
}

impl Kinks {
    /// What a supply of carbohydrate costs.
    pub(super) fn carbs(want: &Want) -> Kinks {
        let need = want.carbs_g;
        let share = |share: f64| need * (1.0 + share);
        let (outside, inside) = (CARBS_INSIDE + CARBS_OUTSIDE, CARBS_INSIDE);
        let far = outside * FAR_FACTOR;
        Kinks::new(
            [
                share(-FAR_SHORT),
                share(-CARBS_BAND),
                need,
                share(CARBS_BAND),
                share(CARBS_BAND),
            ],
            [-far, -outside, -inside, inside, outside, outside],
            2,
        )
    }

    /// What a supply of sodium costs.
    pub(super) fn sodium(want: &Want) -> Kinks {
        let (need, loss) = (want.sodium_mg, want.sodium_loss_mg.max(want.sodium_mg));
        let share = |share: f64| need * (1.0 + share);
        let high = share(SODIUM_BAND);
        let (outside, inside) = (SODIUM_INSIDE + SODIUM_BELOW, SODIUM_INSIDE);
        let between = inside
            + if loss < high {
                SODIUM_ABOVE_LOSS
            } else {
                SODIUM_ABOVE
            };
        let above = inside + SODIUM_ABOVE + SODIUM_ABOVE_LOSS;
        let far = outside * FAR_FACTOR;
        Kinks::new(
            [
                share(-FAR_SHORT),
                share(-SODIUM_BAND),
                need,
                high.min(loss),
                high.max(loss),
            ],
            [-far, -outside, -inside, inside, between, above],
            2,
        )
    }

    /// Zero at the kink of this index.
    fn new(at: [f64; 5], slopes: [f64; 6], need: usize) -> Kinks {
        let mut values = [0.0; 5];
        for k in need + 1..5 {
            values[k] = values[k - 1] + slopes[k] * (at[k] - at[k - 1]);
        }
        for k in (0..need).rev() {
            values[k] = values[k + 1] - slopes[k + 1] * (at[k + 1] - at[k]);
        }
        Kinks { at, slopes, values }
    }

    /// The value.
    pub(super) fn at(&self, x: f64) -> f64 {
        let next = self.at.iter().take_while(|at| **at <= x).count();
        let from = next.saturating_sub(1);
        self.values[from] + self.slopes[next] * (x - self.at[from])
    }

    /// The kink where this less a straight line of the slope is lowest.
    pub(super) fn lowest_against(&self, slope: f64) -> f64 {
        let below = self.slopes[1..5].iter().filter(|s| **s < slope).count();
        self.at[below]
    }

    /// The least of this less a straight line of the slope.
    pub(super) fn least_against(&self, slope: f64) -> f64 {
        let lowest = self.lowest_against(slope);
        self.at(lowest) - slope * lowest
    }

    /// The least and the greatest slope.
    pub(super) fn steepest(&self) -> (f64, f64) {
        (self.slopes[0], self.slopes[5])
    }
}

/// Whether a choice can and may be.
pub(super) fn feasible(
    want: &Want,
    offers: &[Candidate],
    room: &Room,
    servings: &[u32],
    supply: &Supply,
) -> bool {
    let chosen = || offers.iter().zip(servings).filter(|(_, n)| **n > 0);
    chosen().all(|(offer, n)| offer.most.is_none_or(|most| *n <= most))
        && within(supply.flask_ml, want.fluid_ml)
        && within(supply.fluid_ml(), want.fluid_ceiling_ml)
        && within(supply.caffeine_mg, want.caffeine_mg)
        && supply.spot_servings <= room.spot_servings
        && within(supply.spot.water_ml, MOST_ON_THE_SPOT_ML)
        && pockets_hold(offers, servings, room)
        && chosen()
            .filter(|(offer, _)| offer.kind == FoodKind::Salt && offer.sodium_mg > 0.0)
            .all(|(salt, _)| {
                within(supply.sodium_mg, want.sodium_loss_mg)
                    && supply.sodium_mg - salt.sodium_mg < want.sodium_mg
            })
        && room
            .flasks
            .as_ref()
            .is_none_or(|flasks| flasks.hold(offers, servings))
}

/// Whether the pockets hold it at every departure.
fn pockets_hold(offers: &[Candidate], servings: &[u32], room: &Room) -> bool {
    room.pockets_g.iter().enumerate().all(|(earlier, left_g)| {
        let held = offers
            .iter()
            .zip(servings)
            .map(|(offer, n)| f64::from(*n) * pocket_g(offer, earlier));
        within(held.sum(), *left_g)
    })
}

/// What a serving takes of the pockets on setting out, or so many departures earlier, grams.
pub(super) fn pocket_g(offer: &Candidate, earlier: usize) -> f64 {
    let poured = earlier == 0 && offer.kind == FoodKind::Drink;
    if earlier <= offer.held && !poured {
        offer.pocket_g
    } else {
        0.0
    }
}
