//! Exchanges of servings: what one gains, whether it may be made, and the state that they change.

use super::choose::{Had, Offer, ServingProblem, Sums, at_table, tiring, within};

/// Gains below this are rounding, and could go round in circles.
pub(super) const LEAST_GAIN: f64 = 1e-6;
/// Sums made in another order differ by less.
pub(super) const ROUNDED: f64 = 1e-8;

/// Changes of the servings of up to four offers, an offer once.
#[derive(Clone, Copy)]
pub(super) struct Exchange {
    changes: [(usize, i32); 4],
    len: usize,
}

impl Exchange {
    pub(super) fn of(changes: &[(usize, i32)]) -> Exchange {
        let mut all = [(0, 0); 4];
        all[..changes.len()].copy_from_slice(changes);
        Exchange {
            changes: all,
            len: changes.len(),
        }
    }

    pub(super) fn and(mut self, at: usize, by: i32) -> Exchange {
        self.changes[self.len] = (at, by);
        self.len += 1;
        self
    }

    pub(super) fn each(&self) -> &[(usize, i32)] {
        &self.changes[..self.len]
    }
}

/// The best exchange so far, and its gain.
pub(super) struct Best {
    pub(super) gain: f64,
    pub(super) exchange: Option<Exchange>,
}

impl Best {
    pub(super) fn none() -> Best {
        Best {
            gain: LEAST_GAIN,
            exchange: None,
        }
    }

    pub(super) fn or(&mut self, state: &State<'_>, exchange: Exchange) {
        if let Some(gain) = state.gain(&exchange, self.gain) {
            *self = Best {
                gain,
                exchange: Some(exchange),
            };
        }
    }
}

/// Servings, and everything that follows from them.
pub(super) struct State<'a> {
    pub(super) problem: &'a ServingProblem,
    pub(super) servings: Vec<u32>,
    /// The cost of the servings, but for what rounding adds up to.
    pub(super) cost: f64,
    pub(super) sums: Vec<Sums>,
    /// By stretch: the most that any exchange can gain there by needs, and at the table.
    pub(super) missed: Vec<f64>,
    table: Vec<f64>,
    /// By food, over the race.
    pub(super) eaten: Vec<u32>,
    /// By limit.
    used: Vec<f64>,
    /// By offer: the limits it counts for.
    pub(super) rows: Vec<Vec<(usize, f64)>>,
    /// By stretch: its offers.
    pub(super) offers: Vec<std::ops::Range<usize>>,
    /// By stretch: whether it changed since single exchanges on it were tried, and double ones.
    pub(super) changed: Vec<bool>,
    pub(super) untried: Vec<bool>,
}

impl<'a> State<'a> {
    pub(super) fn of(problem: &'a ServingProblem, servings: Vec<u32>) -> State<'a> {
        let foods = problem.offers.iter().map(|o| o.food + 1).max().unwrap_or(0);
        let mut state = State {
            problem,
            servings: vec![0; problem.offers.len()],
            cost: 0.0,
            sums: vec![Sums::default(); problem.stretches.len()],
            missed: vec![0.0; problem.stretches.len()],
            table: vec![0.0; problem.stretches.len()],
            eaten: vec![0; foods],
            used: vec![0.0; problem.limits.len()],
            rows: vec![Vec::new(); problem.offers.len()],
            offers: vec![0..0; problem.stretches.len()],
            changed: vec![true; problem.stretches.len()],
            untried: vec![true; problem.stretches.len()],
        };
        for (index, limit) in problem.limits.iter().enumerate() {
            for (offer, one) in &limit.each {
                state.rows[*offer].push((index, *one));
            }
        }
        for (at, offer) in problem.offers.iter().enumerate() {
            let of_it = &mut state.offers[offer.stretch];
            let first = if of_it.end == 0 { at } else { of_it.start };
            *of_it = first..at + 1;
            state.set(at, servings[at]);
        }
        state
    }

    pub(super) fn set(&mut self, at: usize, to: u32) {
        let more = f64::from(to) - f64::from(self.servings[at]);
        for (limit, one) in &self.rows[at] {
            self.used[*limit] += more * one;
        }
        let offer = &self.problem.offers[at];
        let from = std::mem::replace(&mut self.servings[at], to);
        let (needs, sums) = (
            &self.problem.stretches[offer.stretch],
            &mut self.sums[offer.stretch],
        );
        let eaten = &mut self.eaten[offer.food];
        self.cost -= needs.cost(sums) + offer.cost_of(from) + tiring(*eaten);
        sums.change(offer, from, to);
        *eaten = *eaten + to - from;
        self.cost += needs.cost(sums) + offer.cost_of(to) + tiring(*eaten);
        self.missed[offer.stretch] = needs.missed(sums);
        self.table[offer.stretch] = at_table(sums.at_table..u32::MAX);
    }

    /// The gain of an exchange, where that is more than the least and it may be made.
    pub(super) fn gain(&self, exchange: &Exchange, least: f64) -> Option<f64> {
        let problem = self.problem;
        let mut each = [(0, 0, 0); 4];
        let each = &mut each[..exchange.len];
        let (mut gain, mut relief, mut table) = (0.0, 0.0, 0.0);
        for ((at, by), change) in exchange.each().iter().zip(each.iter_mut()) {
            let (offer, from) = (&problem.offers[*at], self.servings[*at]);
            let to = from.checked_add_signed(*by)?;
            if !(offer.least..=offer.most).contains(&to) {
                return None;
            }
            gain += offer.cost_of(from) - offer.cost_of(to);
            if to < from {
                relief += self.relief(offer.food, from - to);
            }
            if to > from {
                table += self.at_table(offer);
            }
            *change = (*at, from, to);
        }
        // most exchanges cannot gain, whatever they do to needs and to what tires
        let stretches = each.iter().map(|(at, ..)| problem.offers[*at].stretch);
        let first = problem.offers[each[0].0].stretch;
        let others = stretches.skip(1).filter(|stretch| *stretch != first);
        let needs = others.fold(self.missed[first], |sum, stretch| {
            sum + self.missed[stretch]
        });
        if gain + relief + table + needs + ROUNDED < least {
            return None;
        }
        // an exchange is made on one stretch, or between two
        let mut after = [(first, self.sums[first], false); 2];
        let mut stretches = 1;
        for (index, (at, from, to)) in each.iter().enumerate() {
            let offer = &problem.offers[*at];
            if offer.stretch != first && stretches == 1 {
                after[1] = (offer.stretch, self.sums[offer.stretch], false);
                stretches = 2;
            }
            let (_, sums, adds) = &mut after[usize::from(offer.stretch != first)];
            sums.change(offer, *from, *to);
            *adds |= to > from;
            let mut eaten = self.eaten[offer.food];
            for (other, from, to) in &each[..index] {
                if problem.offers[*other].food == offer.food {
                    eaten = eaten + to - from;
                }
            }
            gain += tiring(eaten) - tiring(eaten + to - from);
        }
        for (stretch, sums, adds) in &after[..stretches] {
            let needs = &problem.stretches[*stretch];
            if *adds && sums.kinds > needs.kinds {
                return None;
            }
            gain += needs.cost(&self.sums[*stretch]) - needs.cost(sums);
        }
        (gain > least && self.fits(exchange.each())).then_some(gain)
    }

    /// The most that more of an offer gains at the table.
    pub(super) fn at_table(&self, offer: &Offer) -> f64 {
        match offer.way {
            Had::Table => self.table[offer.stretch],
            Had::Pocket => 0.0,
        }
    }

    /// The relief from tiring of so many servings less of a food.
    pub(super) fn relief(&self, food: usize, fewer: u32) -> f64 {
        let eaten = self.eaten[food];
        tiring(eaten) - tiring(eaten.saturating_sub(fewer))
    }

    /// True where the limits hold after some changes.
    pub(super) fn fits(&self, changes: &[(usize, i32)]) -> bool {
        let rises = changes.iter().filter(|(_, by)| *by > 0);
        let mut rows = rises.flat_map(|(at, _)| &self.rows[*at]);
        rows.all(|(limit, _)| {
            let takes = |(at, by): &(usize, i32)| {
                let row = self.rows[*at].iter().find(|(other, _)| other == limit);
                row.map_or(0.0, |(_, one)| one * f64::from(*by))
            };
            let more: f64 = changes.iter().map(takes).sum();
            within(self.used[*limit] + more, self.problem.limits[*limit].left)
        })
    }

    pub(super) fn make(&mut self, exchange: &Exchange) {
        for (at, by) in exchange.each() {
            self.set(*at, self.servings[*at].saturating_add_signed(*by));
            let stretch = self.problem.offers[*at].stretch;
            self.changed[stretch] = true;
            self.untried[stretch] = true;
        }
    }

    /// Makes the best of some exchanges, where it gains.
    pub(super) fn take_best(&mut self, all: impl IntoIterator<Item = Exchange>) -> bool {
        let mut best = Best::none();
        all.into_iter().for_each(|exchange| best.or(self, exchange));
        self.take(best)
    }

    pub(super) fn take(&mut self, best: Best) -> bool {
        if let Some(exchange) = &best.exchange {
            self.make(exchange);
        }
        best.exchange.is_some()
    }

    /// The limits that keep a serving more of an offer from being had.
    pub(super) fn used_up(&self, to: usize) -> impl Iterator<Item = usize> {
        let limits = &self.problem.limits;
        let is_used_up =
            |(limit, one): &&(usize, f64)| !within(self.used[*limit] + one, limits[*limit].left);
        self.rows[to]
            .iter()
            .filter(is_used_up)
            .map(|(limit, _)| *limit)
    }

    /// True where something keeps a serving more of an offer from being had.
    pub(super) fn is_wanted(&self, to: usize) -> bool {
        let offer = &self.problem.offers[to];
        self.servings[to] < offer.most
            && (tiring(self.eaten[offer.food]) > 0.0 || self.used_up(to).next().is_some())
    }

    /// True where a serving elsewhere keeps one more of an offer from being had: something that
    /// both count for is used up, or the food tires. All else is better done on each stretch by
    /// itself.
    pub(super) fn is_rival(&self, from: usize, to: usize, used_up: &[usize]) -> bool {
        let offers = &self.problem.offers;
        let food = offers[to].food;
        (offers[from].food == food && tiring(self.eaten[food]) > 0.0)
            || (self.rows[from].iter()).any(|(limit, _)| used_up.contains(limit))
    }
}
