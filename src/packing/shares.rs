//! Sharing out what the stretches have in common: limited stock, the pockets, and the pleasure in
//! a food.
//!
//! First all stretches together give prices at which what is scarce would just go round, and each
//! chooses in turn at these prices. Then each chooses again, the others being as they are, and
//! where a need is missed two or three stretches choose together. Each of these choices is the
//! cheapest there is; of the whole race that is not proved. Measured against the cheapest of all:
//! on small races by counting through (see the tests), and on the 100-mile demo by a mixed-integer
//! solver (HiGHS of scipy 1.15.3, up to two minutes a race): 0.02 % off as it is; with every stock
//! cut to 6, 4, 3 and 2 servings at most 0.7, 1.8, 1.1 and 1.0 %; with nothing at the stations
//! besides, 3.2 % with the full stock and at most 0.3 % with the others.

use super::choose::{Candidate, Room, Supply, choose};
use super::cost::{Kinks, pocket_g};
use super::menu::Stretch;
use super::prices::Prices;
use super::problem::{Open, Problem, Shared};
use super::search;
use super::stores::Stores;

/// Rounds over all stretches after the first, and over pairs of them.
const MOST_ROUNDS: usize = 6;
/// Rounds over all prices of the race.
const PRICE_ROUNDS: usize = 6;
/// The searches for what stretches eat end after so many steps each, and after so many in all.
const STEPS_TOGETHER: u32 = 4000;
const MOST_STEPS: u32 = 40_000;
/// Improvements below this are rounding, and could go round in circles.
const LEAST_GAIN: f64 = 1e-6;
/// A round that gains less than this is the last.
const WORTH_A_ROUND: f64 = 1.0;
/// A stretch whose needs cost more than this is short: some grams outside of the band.
const SHORT: f64 = 3.0;

/// The servings of every stretch, and what they take of what is shared.
#[derive(Clone, Debug)]
pub(super) struct Shares {
    /// By food.
    stock: Vec<Option<u32>>,
    pockets_g: Option<f64>,
    /// By stretch and offer.
    pub(super) servings: Vec<Vec<u32>>,
    /// By food: servings in the whole race, and those of them that are the runner's own.
    pub(super) eaten: Vec<u32>,
    own: Vec<u32>,
    /// In the pockets on leaving each point, grams.
    load_g: Vec<f64>,
}

impl Shares {
    /// Chooses for every stretch.
    pub(super) fn out(stretches: &[Stretch], stores: &Stores<'_>) -> Shares {
        let mut shares = Shares::none(stretches, stores);
        let order = shares.by_price(stretches);
        let mut steps = MOST_STEPS;
        for _ in 0..MOST_ROUNDS {
            let one_by_one = order
                .iter()
                .map(|j| shares.choose_again(stretches, &[*j], &mut steps));
            if one_by_one.sum::<f64>() < WORTH_A_ROUND {
                break;
            }
        }
        shares.exchange(stretches);
        shares
    }

    /// Lets stretches choose together what they share, as long as one of them is short of something:
    /// it with any other, and three in a row. Where no need is missed there is next to nothing to
    /// be gained.
    fn exchange(&mut self, stretches: &[Stretch]) {
        let mut steps = MOST_STEPS;
        let last = stretches.len();
        loop {
            let short: Vec<usize> = (0..last)
                .filter(|j| self.is_short(&stretches[*j], *j))
                .collect();
            let mut gained = 0.0;
            for &j in &short {
                for k in (0..last).filter(|k| *k > j || (*k < j && !short.contains(k))) {
                    gained += self.choose_again(stretches, &[j.min(k), j.max(k)], &mut steps);
                }
            }
            for first in 0..last.saturating_sub(2) {
                let row = [first, first + 1, first + 2];
                if row.iter().any(|j| short.contains(j)) {
                    gained += self.choose_again(stretches, &row, &mut steps);
                }
            }
            if gained < WORTH_A_ROUND || steps == 0 {
                return;
            }
        }
    }

    /// Whether a stretch misses a need, or eats what was never tested.
    fn is_short(&self, stretch: &Stretch, j: usize) -> bool {
        let supply = Supply::of(&stretch.offers, &self.servings[j]);
        let untested = stretch.offers.iter().zip(&self.servings[j]);
        let off = Kinks::carbs(&stretch.want).at(supply.carbs_g)
            + Kinks::sodium(&stretch.want).at(supply.sodium_mg);
        off > SHORT
            || untested
                .into_iter()
                .any(|(offer, n)| !offer.tested && *n > 0)
    }

    fn none(stretches: &[Stretch], stores: &Stores<'_>) -> Shares {
        let foods = stores.pantry.len();
        Shares {
            stock: stores.pantry.iter().map(|food| food.stock).collect(),
            pockets_g: stores.pockets_g,
            servings: stretches.iter().map(|s| vec![0; s.offers.len()]).collect(),
            eaten: vec![0; foods],
            own: vec![0; foods],
            load_g: vec![0.0; stretches.len()],
        }
    }

    /// A first choice for every stretch, one after the other, which takes what is scarce only where
    /// it is worth the price at which all stretches together would take as much as there is.
    ///
    /// Gives the order in which they chose.
    fn by_price(&mut self, stretches: &[Stretch]) -> Vec<usize> {
        let all: Vec<usize> = (0..stretches.len()).collect();
        let open = self.open_together(stretches, &all);
        let problem = Problem::of_all(&open.stretches, &open.shared);
        let prices = Prices::of(&problem, PRICE_ROUNDS);
        let mut extra: Vec<Vec<f64>> = stretches
            .iter()
            .map(|s| vec![0.0; s.offers.len()])
            .collect();
        for (item, rows) in problem.items.iter().zip(&problem.rows) {
            let dear = rows
                .iter()
                .filter(|(limit, _)| problem.limits[*limit].shared);
            extra[item.part][item.index] =
                dear.map(|(limit, one)| prices.limits[*limit] * one).sum();
        }
        let mut order = all;
        // stretches whose station has nothing to eat choose first: what the runner brings is for them
        order.sort_by_key(|j| (stretches[*j].has_food_of_stations(), *j));
        for &j in &order {
            let stretch = &stretches[j];
            let (mut offers, room) = self.on_offer(stretch);
            for (offer, extra) in offers.iter_mut().zip(&extra[j]) {
                offer.price += extra;
            }
            let servings = choose(&stretch.want, &offers, &room).servings;
            self.count(stretch, &servings, 1);
            self.servings[j] = servings;
        }
        order
    }

    /// Chooses some stretches again, all others being as they are; what that gained.
    fn choose_again(&mut self, stretches: &[Stretch], some: &[usize], steps: &mut u32) -> f64 {
        if *steps == 0 {
            return 0.0;
        }
        for &j in some {
            let servings = std::mem::take(&mut self.servings[j]);
            self.count(&stretches[j], &servings, -1);
            self.servings[j] = servings;
        }
        let open = self.open_together(stretches, some);
        let problem = Problem::of_all(&open.stretches, &open.shared);
        let known: Vec<u32> = problem
            .items
            .iter()
            .map(|item| self.servings[some[item.part]][item.index])
            .collect();
        let before = problem.cost(&known);
        let found = search::cheapest(&problem, Some(&known), STEPS_TOGETHER.min(*steps));
        *steps = steps.saturating_sub(found.steps);
        let gained = before - found.cost;
        if gained > LEAST_GAIN {
            for (item, count) in problem.items.iter().zip(&found.counts) {
                self.servings[some[item.part]][item.index] = *count;
            }
        }
        for &j in some {
            let servings = std::mem::take(&mut self.servings[j]);
            self.count(&stretches[j], &servings, 1);
            self.servings[j] = servings;
        }
        gained.max(0.0)
    }

    /// Puts up some stretches, none of whose servings are counted, to be chosen together.
    fn open_together<'a>(&self, stretches: &'a [Stretch], some: &[usize]) -> Together<'a> {
        let mut shared: Vec<Shared> = Vec::new();
        let mut open: Vec<Open<'a>> = Vec::new();
        for &j in some {
            let stretch = &stretches[j];
            open.push(Open {
                want: &stretch.want,
                offers: self.on_offer(stretch).0,
                room: &stretch.room,
            });
        }
        let mut own: Vec<Vec<(usize, usize, f64)>> = vec![Vec::new(); self.stock.len()];
        for (part, stretch) in open.iter().enumerate() {
            let offers = stretch.offers.iter().enumerate();
            for (at, offer) in offers.filter(|(_, offer)| offer.own) {
                own[offer.food].push((part, at, 1.0));
            }
        }
        for (food, each) in own.into_iter().enumerate() {
            if let (Some(stock), true) = (self.stock[food], each.len() > 1) {
                let left = f64::from(stock.saturating_sub(self.own[food]));
                shared.push(Shared { left, each });
            }
        }
        shared.extend(self.pockets(stretches, some, &open));
        Together {
            stretches: open,
            shared,
        }
    }

    /// What the pockets have left, from one departure at which something is taken up or eaten to
    /// the next.
    fn pockets(&self, stretches: &[Stretch], some: &[usize], open: &[Open<'_>]) -> Vec<Shared> {
        let Some(pockets_g) = self.pockets_g else {
            return Vec::new();
        };
        let ranges = some.iter().flat_map(|j| &stretches[*j].held);
        let mut ends: Vec<usize> = ranges.flat_map(|range| [range.0, range.1]).collect();
        ends.sort_unstable();
        ends.dedup();
        let between = |ends: &[usize]| {
            let fullest = self.load_g[ends[0]..ends[1]]
                .iter()
                .copied()
                .fold(0.0, f64::max);
            let each = each_of(open, |part, offer| {
                let held = &stretches[some[part]].held;
                let at = held
                    .iter()
                    .position(|range| (range.0..range.1).contains(&ends[0]));
                at.map_or(0.0, |earlier| pocket_g(offer, earlier))
            });
            Shared {
                left: (pockets_g - fullest).max(0.0),
                each,
            }
        };
        ends.windows(2).map(between).collect()
    }

    /// Adds servings of a stretch to what is shared, or takes them off.
    fn count(&mut self, stretch: &Stretch, servings: &[u32], sign: i32) {
        for ((origin, offer), &n) in stretch.origins.iter().zip(&stretch.offers).zip(servings) {
            let change = sign * n as i32;
            let add = |sum: &mut u32| *sum = sum.saturating_add_signed(change);
            add(&mut self.eaten[origin.food]);
            if offer.own {
                add(&mut self.own[origin.food]);
            }
            for (earlier, range) in stretch.held.iter().enumerate() {
                let each_g = pocket_g(offer, earlier);
                for load_g in &mut self.load_g[range.0..range.1] {
                    *load_g += f64::from(change) * each_g;
                }
            }
        }
    }

    /// What is on offer to a stretch that has none of its own servings counted, and the room.
    fn on_offer(&self, stretch: &Stretch) -> (Vec<Candidate>, Room) {
        let mut offers = stretch.offers.clone();
        for offer in &mut offers {
            offer.eaten = self.eaten[offer.food];
            if offer.own {
                let stock = self.stock[offer.food];
                offer.most = stock.map(|stock| stock.saturating_sub(self.own[offer.food]));
            }
        }
        let mut room = stretch.room.clone();
        if let Some(pockets_g) = self.pockets_g {
            let fullest = |range: &(usize, usize)| {
                let loads = self.load_g[range.0..range.1].iter();
                (pockets_g - loads.copied().fold(0.0, f64::max)).max(0.0)
            };
            room.pockets_g = stretch.held.iter().map(fullest).collect();
        }
        (offers, room)
    }

    /// The offers and the room of one stretch, as if nothing were chosen for it yet.
    pub(super) fn open(&self, stretches: &[Stretch], j: usize) -> (Vec<Candidate>, Room) {
        let mut without = self.clone();
        without.count(&stretches[j], &self.servings[j], -1);
        without.on_offer(&stretches[j])
    }
}

/// Some stretches, put up to be chosen together.
struct Together<'a> {
    stretches: Vec<Open<'a>>,
    shared: Vec<Shared>,
}

/// What a serving of each offer takes of something, where it takes any.
fn each_of(
    open: &[Open<'_>],
    takes: impl Fn(usize, &Candidate) -> f64,
) -> Vec<(usize, usize, f64)> {
    let mut each = Vec::new();
    for (part, stretch) in open.iter().enumerate() {
        for (at, offer) in stretch.offers.iter().enumerate() {
            let one = takes(part, offer);
            if one > 0.0 {
                each.push((part, at, one));
            }
        }
    }
    each
}
