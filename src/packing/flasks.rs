//! Which flask holds what. A flask holds one drink or plain water; a drink may be thinned with
//! water down to the weakest that is still a sports drink, so that its flasks are full.

use crate::inputs::pantry_csv::FoodKind;

use super::choose::Candidate;
use super::cost::{WEAKEST_G_PER_ML, within};

/// With more flasks than this, drinks go into the largest of so many.
const MOST_FOR_DRINKS: usize = 8;

/// The flasks of a runner on setting out, and what they must hold at least.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Flasks {
    /// What each holds, millilitres.
    pub sizes_ml: Vec<f64>,
    /// Fluid to set out with, drinks and water together, millilitres; more than they hold counts
    /// as all they hold.
    pub must_hold_ml: f64,
}

/// What a drink asks of the flasks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Drink {
    /// All its servings as mixed, millilitres.
    pub(super) volume_ml: f64,
    /// Thinned as far as may be, millilitres.
    pub(super) most_ml: f64,
}

impl Drink {
    /// So many servings of a drink with so much water and carbohydrate each.
    pub(super) fn of(water_ml: f64, carbs_g: f64, count: f64) -> Drink {
        let volume_ml = water_ml * count;
        let most_ml = if carbs_g > 0.0 {
            (carbs_g * count / WEAKEST_G_PER_ML).max(volume_ml)
        } else {
            f64::INFINITY // without carbohydrate it has no strength to lose
        };
        Drink { volume_ml, most_ml }
    }
}

impl Flasks {
    /// What they hold together, millilitres.
    #[must_use]
    pub fn capacity_ml(&self) -> f64 {
        self.sizes_ml.iter().sum()
    }

    /// Whether the drinks among some servings find flasks, and the rest of what must be held too.
    pub(super) fn hold(&self, offers: &[Candidate], servings: &[u32]) -> bool {
        let drinks: Vec<Drink> = offers
            .iter()
            .zip(servings)
            .filter(|(offer, n)| **n > 0 && offer.kind == FoodKind::Drink && offer.water_ml > 0.0)
            .map(|(offer, n)| Drink::of(offer.water_ml, offer.carbs_g, f64::from(*n)))
            .collect();
        drinks.is_empty() || self.share_out(&drinks).is_some()
    }

    /// Which drink each flask is for, `None` for water: of all ways that hold enough, the one whose
    /// drinks take the least of the flasks. `None` where there is no way.
    pub(super) fn share_out(&self, drinks: &[Drink]) -> Option<Vec<Option<usize>>> {
        let mut order: Vec<usize> = (0..self.sizes_ml.len()).collect();
        order.sort_by(|a, b| self.sizes_ml[*b].total_cmp(&self.sizes_ml[*a]));
        order.truncate(MOST_FOR_DRINKS);
        let mut deal = Deal {
            flasks: self,
            drinks,
            order,
            given_ml: vec![0.0; drinks.len()],
            owner: vec![None; self.sizes_ml.len()],
            best: None,
        };
        deal.go_on(0);
        deal.best.map(|(_, owner)| owner)
    }
}

/// Flasks being dealt to drinks, one after the other.
struct Deal<'a> {
    flasks: &'a Flasks,
    drinks: &'a [Drink],
    order: Vec<usize>,
    /// Flasks given to each drink so far, millilitres.
    given_ml: Vec<f64>,
    owner: Vec<Option<usize>>,
    /// The best way so far, with what its drinks take of the flasks.
    best: Option<(f64, Vec<Option<usize>>)>,
}

impl Deal<'_> {
    fn go_on(&mut self, next: usize) {
        let taken_ml: f64 = self.given_ml.iter().sum();
        if self
            .best
            .as_ref()
            .is_some_and(|(best, _)| *best <= taken_ml)
        {
            return;
        }
        let served = |(drink, given): (&Drink, &f64)| within(drink.volume_ml, *given);
        if self.drinks.iter().zip(&self.given_ml).all(served) {
            if self.holds_enough(taken_ml) {
                self.best = Some((taken_ml, self.owner.clone()));
            }
            return;
        }
        let Some(&flask) = self.order.get(next) else {
            return;
        };
        let size_ml = self.flasks.sizes_ml[flask];
        for drink in 0..self.drinks.len() {
            if within(self.drinks[drink].volume_ml, self.given_ml[drink]) {
                continue;
            }
            self.given_ml[drink] += size_ml;
            self.owner[flask] = Some(drink);
            self.go_on(next + 1);
            self.given_ml[drink] -= size_ml;
            self.owner[flask] = None;
        }
        self.go_on(next + 1);
    }

    fn holds_enough(&self, taken_ml: f64) -> bool {
        let capacity_ml = self.flasks.capacity_ml();
        let thinned = |(drink, given): (&Drink, &f64)| given.min(drink.most_ml);
        let drinks_ml: f64 = self.drinks.iter().zip(&self.given_ml).map(thinned).sum();
        let held_ml = capacity_ml - taken_ml + drinks_ml;
        within(self.flasks.must_hold_ml.min(capacity_ml), held_ml)
    }
}
