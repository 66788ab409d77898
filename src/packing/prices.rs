//! Prices of needs and limits under which every food can be chosen by itself (Lagrange
//! multipliers), and the bound that they prove.

use super::cost::FLUID_ABOVE_PLAN;
use super::problem::{Item, Problem};

/// Halvings of a price's range; the last is about a thousandth of a gram of carbohydrate.
const HALVINGS: u32 = 14;

/// One price for each need and limit.
///
/// For any prices whatever, a choice costs at least [`Prices::bound`] and, for each item, what its
/// servings cost at these prices above the least that any count of it costs.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Prices {
    /// By stretch, per gram of carbohydrate: a slope of its cost.
    pub(super) carbs: Vec<f64>,
    /// By stretch, per milligram of sodium.
    pub(super) sodium: Vec<f64>,
    /// By stretch, per millilitre of water: up to what water above the planned fluid costs.
    pub(super) water: Vec<f64>,
    /// By limit, per unit; never negative.
    pub(super) limits: Vec<f64>,
    /// What each item costs per serving at these prices, its square term apart.
    pub(super) linear: Vec<f64>,
    /// The best count of each item at these prices.
    pub(super) counts: Vec<u32>,
    /// No choice costs less.
    pub(super) bound: f64,
}

impl Prices {
    /// Prices whose bound is high: each in turn is set to where the bound is highest.
    pub(super) fn of(problem: &Problem<'_>, rounds: usize) -> Prices {
        let (parts, limits) = (problem.parts.len(), problem.limits.len());
        let mut prices = Prices {
            carbs: vec![0.0; parts],
            sodium: vec![0.0; parts],
            water: vec![0.0; parts],
            limits: vec![0.0; limits],
            linear: problem.items.iter().map(|item| item.taste.linear).collect(),
            counts: Vec::new(),
            bound: f64::NEG_INFINITY,
        };
        for _ in 0..rounds {
            for part in 0..parts {
                prices.raise_needs(problem, part);
            }
            for limit in 0..limits {
                prices.raise_limit(problem, limit);
            }
        }
        prices.settle(problem);
        prices
    }

    /// What an item costs at these prices.
    pub(super) fn of_item(&self, at: usize, item: &Item, count: u32) -> f64 {
        let n = f64::from(count);
        (self.linear[at] + item.taste.square * n) * n
    }

    fn raise_needs(&mut self, problem: &Problem<'_>, part: usize) {
        let of = &problem.parts[part];
        let items = &problem.items;
        let each = |holds: fn(&Item) -> f64| {
            let all = of.items.clone().map(move |at| (at, holds(&items[at])));
            all.filter(|(_, one)| *one > 0.0)
        };
        let (carbs, sodium) = (&of.carbs, &of.sodium);
        self.carbs[part] = self.raised(
            problem,
            (self.carbs[part], carbs.steepest()),
            each(|item| item.carbs_g),
            |price| carbs.lowest_against(price),
        );
        self.sodium[part] = self.raised(
            problem,
            (self.sodium[part], sodium.steepest()),
            each(|item| item.sodium_mg),
            |price| sodium.lowest_against(price),
        );
        self.water[part] = self.raised(
            problem,
            (self.water[part], (0.0, FLUID_ABOVE_PLAN)),
            each(|item| item.water_ml),
            |_| of.want.fluid_ml,
        );
    }

    fn raise_limit(&mut self, problem: &Problem<'_>, limit: usize) {
        let of = &problem.limits[limit];
        let now = self.limits[limit];
        // at this price no item is worth a serving
        let dearest = of.each.iter().fold(0.0, |most: f64, (at, one)| {
            most.max(now - self.linear[*at] / one)
        });
        self.limits[limit] = self.raised(
            problem,
            (now, (0.0, dearest)),
            of.each.iter().copied(),
            |_| of.left,
        );
    }

    /// Sets one price to where the bound is highest. The bound is concave in it, and rises as long
    /// as the counts that are best at the prices use more than there is room for.
    fn raised(
        &mut self,
        problem: &Problem<'_>,
        (now, (least, most)): (f64, (f64, f64)),
        each: impl Iterator<Item = (usize, f64)> + Clone,
        room: impl Fn(f64) -> f64,
    ) -> f64 {
        let uses_more = |price: f64| {
            let counts = each.clone().map(|(at, one)| {
                let linear = self.linear[at] + (price - now) * one;
                one * f64::from(best_count(linear, &problem.items[at]))
            });
            counts.sum::<f64>() > room(price)
        };
        let (mut low, mut high) = (least, most);
        if !uses_more(low) {
            high = low;
        }
        for _ in 0..HALVINGS {
            if low >= high {
                break;
            }
            let middle = f64::midpoint(low, high);
            if uses_more(middle) {
                low = middle;
            } else {
                high = middle;
            }
        }
        for (at, one) in each {
            self.linear[at] += (high - now) * one;
        }
        high
    }

    /// Works out the best count of each item at the prices, and the bound: the best of every item,
    /// of every need and of every limit by itself.
    fn settle(&mut self, problem: &Problem<'_>) {
        self.counts.clear();
        self.bound = 0.0;
        for (at, item) in problem.items.iter().enumerate() {
            // once more from the start, so that rounding does not add up
            let (part, rows) = (item.part, &problem.rows[at]);
            self.linear[at] = item.taste.linear
                + self.carbs[part] * item.carbs_g
                + self.sodium[part] * item.sodium_mg
                + self.water[part] * item.water_ml
                + rows
                    .iter()
                    .map(|(row, one)| self.limits[*row] * one)
                    .sum::<f64>();
            let count = best_count(self.linear[at], item);
            self.counts.push(count);
            self.bound += self.of_item(at, item, count);
        }
        for (at, part) in problem.parts.iter().enumerate() {
            self.bound += part.constant() - self.water[at] * part.want.fluid_ml
                + part.carbs.least_against(self.carbs[at])
                + part.sodium.least_against(self.sodium[at]);
        }
        for (price, limit) in self.limits.iter().zip(&problem.limits) {
            self.bound -= price * limit.left;
        }
    }
}

/// The count at which `linear n + square n²` is lowest.
fn best_count(linear: f64, item: &Item) -> u32 {
    // the n-th serving costs linear + square (2 n - 1)
    let worth = ((1.0 - linear / item.taste.square) / 2.0).floor();
    worth.clamp(0.0, f64::from(item.most)) as u32
}
