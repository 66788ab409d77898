//! Limits that the servings of a race must not exceed together.

use crate::inputs::pantry_csv::FoodKind;

use super::choose::{Had, Offer, SharedLimit};
use super::meals::Want;
use super::mixed::Mixed;
use super::mixes;
use super::offers::{Layout, Origin, is_fresh};
use super::packed::Source;
use super::supply::MOST_ON_THE_SPOT_ML;

/// Fresh food in the pockets on one stretch at most, grams: common practice, no source.
const FRESH_G: f64 = 150.0;
const A_DAY_H: f64 = 24.0;

/// The subject of a limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum LimitSubject {
    /// Servings of an own food, by index in the pantry.
    Stock(usize),
    /// The pockets on leaving a point, grams.
    Pockets,
    /// Things carried on a stretch.
    Things(usize),
    /// Servings of one food in a day.
    Often,
    /// Anything else.
    Other,
}

/// Every limit of a race, over its offers.
pub(super) fn limits(
    spread: &Layout<'_>,
    wants: &[Want],
    mixes: &[Mixed],
    offers: &[(Origin, Offer)],
    day_mg: f64,
) -> Vec<(LimitSubject, SharedLimit)> {
    let mut found = FoundLimits {
        spread,
        mixes,
        offers,
        limits: Vec::new(),
    };
    for (stretch, want) in wants.iter().enumerate() {
        found.of_a_stretch(stretch, want, day_mg);
    }
    found.of_the_stock();
    found.of_the_pockets();
    found.of_a_day(day_mg);
    // what nothing could exceed is no limit
    found.limits.retain(|(_, limit)| {
        let most = |(at, one): &(usize, f64)| f64::from(offers[*at].1.most.min(1000)) * one;
        limit.each.iter().map(most).sum::<f64>() > limit.left
    });
    found.limits
}

struct FoundLimits<'a> {
    spread: &'a Layout<'a>,
    mixes: &'a [Mixed],
    offers: &'a [(Origin, Offer)],
    limits: Vec<(LimitSubject, SharedLimit)>,
}

impl FoundLimits<'_> {
    fn add(&mut self, about: LimitSubject, left: f64, takes: impl Fn(&Origin, &Offer) -> f64) {
        let each = self.offers.iter().enumerate();
        let each = each.map(|(at, (origin, offer))| (at, takes(origin, offer)));
        let each: Vec<(usize, f64)> = each.filter(|(_, one)| *one > 0.0).collect();
        if !each.is_empty() {
            self.limits.push((about, SharedLimit { left, each }));
        }
    }

    fn of_a_stretch(&mut self, stretch: usize, want: &Want, day_mg: f64) {
        let spread = self.spread;
        let (point, beat, pantry) = (
            &spread.points[stretch],
            &spread.beats[stretch],
            &spread.stores.pantry,
        );
        let here = |offer: &Offer, way: Had| {
            f64::from(u8::from(offer.stretch == stretch && offer.way == way))
        };
        let things = f64::from(beat.things);
        self.add(LimitSubject::Things(stretch), things, |_, offer| {
            here(offer, Had::Pocket)
        });
        let standing = f64::from(point.spot_servings);
        self.add(LimitSubject::Other, standing, |_, offer| {
            here(offer, Had::Table)
        });
        self.add(LimitSubject::Other, MOST_ON_THE_SPOT_ML, |origin, offer| {
            here(offer, Had::Table) * pantry[origin.food].water_ml
        });
        self.add(LimitSubject::Other, FRESH_G, |origin, offer| {
            let food = &pantry[origin.food];
            let fresh = origin.source == Source::Station && food.kind == FoodKind::Food;
            here(offer, Had::Pocket)
                * if fresh || is_fresh(food) {
                    food.mass_g
                } else {
                    0.0
                }
        });
        let mixed_ml = self.mixes[stretch].drunk_ml;
        let left_ml = (want.fluid_ceiling_ml - mixed_ml).max(0.0);
        self.add(LimitSubject::Other, left_ml, |origin, offer| {
            f64::from(u8::from(offer.stretch == stretch)) * pantry[origin.food].water_ml
        });
        // a dose is taken at once, and what counts by the way does not lift it over the limit
        let at_once_mg = spread.stores.at_once_mg.min(day_mg);
        self.add(LimitSubject::Other, at_once_mg, |origin, offer| {
            match offer.stretch == stretch {
                true => pantry[origin.food].caffeine_mg,
                false => 0.0,
            }
        });
    }

    fn of_the_stock(&mut self) {
        let pantry = &self.spread.stores.pantry;
        for (food, item) in pantry.iter().enumerate() {
            let Some(stock) = item.stock else { continue };
            let poured = self.mixes.iter().filter(|mixed| mixed.is_own(food));
            let poured: f64 = poured.map(Mixed::servings_filled).sum();
            let left = (f64::from(stock) - poured).max(0.0);
            self.add(LimitSubject::Stock(food), left, |origin, _| {
                let own = origin.food == food && origin.source != Source::Station;
                f64::from(u8::from(own))
            });
        }
    }

    fn of_the_pockets(&mut self) {
        let Some(pockets_g) = self.spread.stores.pockets_g else {
            return;
        };
        for point in 0..self.spread.points.len() {
            let pantry = &self.spread.stores.pantry;
            let left_g = (pockets_g - mixes::powder_g(self.mixes, point, pantry)).max(0.0);
            self.add(LimitSubject::Pockets, left_g, |origin, offer| {
                if is_held(origin, offer, point) {
                    pantry[origin.food].mass_g
                } else {
                    0.0
                }
            });
        }
    }

    /// No item too often, and no more caffeine than is safe, in any 24 hours.
    fn of_a_day(&mut self, day_mg: f64) {
        let beats = self.spread.beats;
        let ends: Vec<usize> = (0..beats.len())
            .map(|first| {
                let within = |beat: &&super::rhythm::Beat| beat.at_h < beats[first].at_h + A_DAY_H;
                first + beats[first..].iter().take_while(within).count()
            })
            .collect();
        for (first, end) in ends.iter().enumerate() {
            // within a day that begins earlier
            if first > 0 && ends[first - 1] == *end {
                continue;
            }
            let pantry = &self.spread.stores.pantry;
            let in_it = |offer: &Offer| (first..*end).contains(&offer.stretch);
            let taken = beats[first..*end].iter().filter_map(|beat| beat.taken_mg);
            let left_mg = (day_mg - taken.sum::<f64>()).max(0.0);
            let ahead = |offer: &Offer| beats[offer.stretch].taken_mg.is_none();
            self.add(LimitSubject::Other, left_mg, |origin, offer| {
                match in_it(offer) && ahead(offer) {
                    true => pantry[origin.food].caffeine_mg,
                    false => 0.0,
                }
            });
            for food in 0..pantry.len() {
                let most = f64::from(beats[first].at_most);
                self.add(LimitSubject::Often, most, |origin, offer| {
                    f64::from(u8::from(origin.food == food && in_it(offer)))
                });
            }
        }
    }
}

/// True where a serving is in the pockets on leaving a point: from where it was picked up, and
/// until the stretch on which it is eaten.
pub(super) fn is_held(origin: &Origin, offer: &Offer, point: usize) -> bool {
    offer.way == Had::Pocket && (origin.point..=offer.stretch).contains(&point)
}
