//! Good servings for a whole race: taken up greedily, then exchanged for better ones until no
//! exchange gains.
//!
//! Exchanges tried: one serving more or less of anything; servings of one food for servings of
//! another on the same stretch, or two for two; a serving on one stretch for one on another that
//! it kept from being had, each of the two making up for it; a stretch emptied and filled last.
//! Measured with a general solver on the shipped plans, as they are and made scarce, of what the
//! best choice gains over none: 0.00 to 0.02 % short as they are, 0.02 % on the average and at most
//! 0.11 % where pockets, stock or offers are scarce. Mix is settled before, by the rule of
//! [`super::mixes`], and no part of the choice.

use super::choose::{Had, Offer, ServingProblem, Sums, at_table, tiring, within};

/// Gains below this are rounding, and could go round in circles.
const LEAST_GAIN: f64 = 1e-6;
/// Sums made in another order differ by less.
const ROUNDED: f64 = 1e-8;
/// Rounds over the race, and exchanges on one stretch in a round; both end long before, where
/// nothing is gained any more.
const MOST_ROUNDS: usize = 40;
const MOST_EXCHANGES: usize = 100;

/// Chooses servings, one count an offer. The same problem gives the same choice, and no limit is
/// broken unless what is settled (`Offer::least`) breaks it.
///
/// # Examples
/// ```
/// use sutler::packing::choose::{Had, Offer, ServingProblem, StretchNeeds, choose};
/// // a large pitted date, USDA Standard Reference 26, record 09421
/// let date = Offer {
///     stretch: 0, food: 0, way: Had::Pocket, carbs_g: 18.0, sodium_mg: 0.0, cost: 1.0,
///     again: 0.2, least: 0, most: 9,
/// };
/// let problem = ServingProblem {
///     stretches: vec![StretchNeeds { carbs_g: 55.0, kinds: 4, ..StretchNeeds::default() }],
///     offers: vec![date],
///     limits: Vec::new(),
/// };
/// assert_eq!(choose(&problem), [3]);
/// ```
#[must_use]
pub fn choose(problem: &ServingProblem) -> Vec<u32> {
    let settled = problem.offers.iter().map(|offer| offer.least).collect();
    let mut state = State::of(problem, settled);
    state.improve_all();
    state.servings
}

/// Chooses servings that break no limit and that no change on one stretch betters: enough to see
/// that a race can be fed.
pub(super) fn choose_roughly(problem: &ServingProblem) -> Vec<u32> {
    let settled = problem.offers.iter().map(|offer| offer.least).collect();
    let mut state = State::of(problem, settled);
    state.share_out();
    (0..problem.stretches.len()).for_each(|stretch| state.improve(stretch));
    state.moved();
    state.servings
}

/// Chooses again on one stretch, all others being as they are.
pub(super) fn choose_again(problem: &ServingProblem, servings: &[u32], stretch: usize) -> Vec<u32> {
    let mut state = State::of(problem, servings.to_vec());
    state.improve(stretch);
    state.servings
}

/// Changes of the servings of up to four offers, an offer once.
#[derive(Clone, Copy)]
struct Exchange {
    changes: [(usize, i32); 4],
    len: usize,
}

impl Exchange {
    fn of(changes: &[(usize, i32)]) -> Exchange {
        let mut all = [(0, 0); 4];
        all[..changes.len()].copy_from_slice(changes);
        Exchange {
            changes: all,
            len: changes.len(),
        }
    }

    fn and(mut self, at: usize, by: i32) -> Exchange {
        self.changes[self.len] = (at, by);
        self.len += 1;
        self
    }

    fn each(&self) -> &[(usize, i32)] {
        &self.changes[..self.len]
    }
}

/// The best exchange so far, and its gain.
struct Best {
    gain: f64,
    exchange: Option<Exchange>,
}

impl Best {
    fn none() -> Best {
        Best {
            gain: LEAST_GAIN,
            exchange: None,
        }
    }

    fn or(&mut self, state: &State<'_>, exchange: Exchange) {
        if let Some(gain) = state.gain(&exchange, self.gain) {
            *self = Best {
                gain,
                exchange: Some(exchange),
            };
        }
    }
}

/// Servings, and everything that follows from them.
struct State<'a> {
    problem: &'a ServingProblem,
    servings: Vec<u32>,
    /// The cost of the servings, but for what rounding adds up to.
    cost: f64,
    sums: Vec<Sums>,
    /// By stretch: the most that any exchange can gain there by needs, and at the table.
    missed: Vec<f64>,
    table: Vec<f64>,
    /// By food, over the race.
    eaten: Vec<u32>,
    /// By limit.
    used: Vec<f64>,
    /// By offer: the limits it counts for.
    rows: Vec<Vec<(usize, f64)>>,
    /// By stretch: its offers.
    offers: Vec<std::ops::Range<usize>>,
    /// By stretch: whether it changed since single exchanges on it were tried, and double ones.
    changed: Vec<bool>,
    untried: Vec<bool>,
}

impl<'a> State<'a> {
    fn of(problem: &'a ServingProblem, servings: Vec<u32>) -> State<'a> {
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

    fn set(&mut self, at: usize, to: u32) {
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
    fn gain(&self, exchange: &Exchange, least: f64) -> Option<f64> {
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
    fn at_table(&self, offer: &Offer) -> f64 {
        match offer.way {
            Had::Table => self.table[offer.stretch],
            Had::Pocket => 0.0,
        }
    }

    /// The relief from tiring of so many servings less of a food.
    fn relief(&self, food: usize, fewer: u32) -> f64 {
        let eaten = self.eaten[food];
        tiring(eaten) - tiring(eaten.saturating_sub(fewer))
    }

    /// True where the limits hold after some changes.
    fn fits(&self, changes: &[(usize, i32)]) -> bool {
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

    fn make(&mut self, exchange: &Exchange) {
        for (at, by) in exchange.each() {
            self.set(*at, self.servings[*at].saturating_add_signed(*by));
            let stretch = self.problem.offers[*at].stretch;
            self.changed[stretch] = true;
            self.untried[stretch] = true;
        }
    }

    /// Makes the best of some exchanges, where it gains.
    fn take_best(&mut self, all: impl IntoIterator<Item = Exchange>) -> bool {
        let mut best = Best::none();
        all.into_iter().for_each(|exchange| best.or(self, exchange));
        self.take(best)
    }

    fn take(&mut self, best: Best) -> bool {
        if let Some(exchange) = &best.exchange {
            self.make(exchange);
        }
        best.exchange.is_some()
    }

    /// Improves every stretch, by itself and with others.
    fn improve_all(&mut self) {
        self.share_out();
        let all = 0..self.problem.stretches.len();
        for _ in 0..MOST_ROUNDS {
            all.clone().for_each(|stretch| self.improve(stretch));
            let moved = self.moved();
            let mut better = moved;
            for stretch in all.clone() {
                if !moved && std::mem::take(&mut self.untried[stretch]) {
                    better |= self.two_for_others(stretch);
                }
            }
            if !better {
                for stretch in all.clone() {
                    better |= self.afresh(stretch);
                }
            }
            if !better {
                return;
            }
        }
    }

    /// A serving more or less on each stretch in turn, so that what is scarce does not all go to the
    /// first.
    fn share_out(&mut self) {
        let mut moves = true;
        while moves {
            moves = false;
            for stretch in 0..self.problem.stretches.len() {
                moves |= self.one_more_or_less(stretch);
            }
        }
    }

    /// One stretch emptied and filled last, after what others then take of what is scarce; undone
    /// unless that gains.
    fn afresh(&mut self, stretch: usize) -> bool {
        let own = self.offers[stretch].clone();
        if !own.clone().any(|at| self.is_wanted(at)) {
            return false;
        }
        let has = |at: &usize| self.servings[*at] > self.problem.offers[*at].least;
        let freed: Vec<usize> = own.filter(has).collect();
        let waiting = self.waiting(stretch, &freed);
        let (before, cost) = (self.servings.clone(), self.cost);
        for at in freed {
            self.set(at, self.problem.offers[at].least);
        }
        for other in waiting {
            self.changed[other] = true;
            self.improve(other);
        }
        self.changed[stretch] = true;
        self.improve(stretch);
        let gains = cost - self.cost > LEAST_GAIN;
        if gains {
            self.untried[stretch] = true;
        } else {
            for (at, servings) in before.into_iter().enumerate() {
                if self.servings[at] != servings {
                    self.set(at, servings);
                }
            }
        }
        gains
    }

    /// Other stretches on which some servings keep one more from being had, in order.
    fn waiting(&self, stretch: usize, freed: &[usize]) -> Vec<usize> {
        let problem = self.problem;
        let mut waits = vec![false; problem.stretches.len()];
        let mut foods = vec![false; self.eaten.len()];
        let mut limits = vec![false; problem.limits.len()];
        for at in freed {
            let food = problem.offers[*at].food;
            foods[food] = tiring(self.eaten[food]) > 0.0;
            self.rows[*at]
                .iter()
                .for_each(|(limit, _)| limits[*limit] = true);
        }
        for (to, offer) in problem.offers.iter().enumerate() {
            let mut used_up = self.used_up(to).filter(|limit| limits[*limit]);
            waits[offer.stretch] |=
                self.servings[to] < offer.most && (foods[offer.food] || used_up.next().is_some());
        }
        waits[stretch] = false;
        (0..waits.len()).filter(|other| waits[*other]).collect()
    }

    /// Improves one stretch by itself.
    fn improve(&mut self, stretch: usize) {
        for _ in 0..MOST_EXCHANGES {
            if !std::mem::take(&mut self.changed[stretch]) {
                return;
            }
            let _ = self.one_more_or_less(stretch) || self.one_for_another(stretch);
        }
    }

    /// Offers of a stretch that may have servings, and those that have.
    fn open(&self, stretch: usize) -> (Vec<usize>, Vec<usize>) {
        let offers = &self.problem.offers;
        let may = |at: &usize| offers[*at].most > offers[*at].least;
        let all: Vec<usize> = self.offers[stretch].clone().filter(may).collect();
        let has = |at: &&usize| self.servings[**at] > offers[**at].least;
        let chosen = all.iter().filter(has).copied().collect();
        (all, chosen)
    }

    fn one_more_or_less(&mut self, stretch: usize) -> bool {
        let (offers, _) = self.open(stretch);
        let both = offers.into_iter().flat_map(|at| [(at, 1), (at, -1)]);
        self.take_best(both.map(|change| Exchange::of(&[change])))
    }

    /// Some or all servings of one offer for about as many of another.
    fn one_for_another(&mut self, stretch: usize) -> bool {
        let (offers, chosen) = self.open(stretch);
        let mut best = Best::none();
        for less in chosen {
            let have = self.servings[less] as i32;
            for &more in offers.iter().filter(|at| **at != less) {
                let mut add = |from: i32, to: i32| {
                    best.or(self, Exchange::of(&[(less, -from), (more, to)]));
                };
                add(1, 1);
                add(1, 2);
                if have > 1 {
                    add(2, 1);
                    (have - 1..=have + 1).for_each(|n| add(have, n));
                }
            }
        }
        self.take(best)
    }

    /// Two things for one or two others, and one for two.
    fn two_for_others(&mut self, stretch: usize) -> bool {
        let (offers, chosen) = self.open(stretch);
        let spared = |at: usize, fewer: u32| {
            let (offer, now) = (&self.problem.offers[at], self.servings[at]);
            let cost = offer.cost_of(now) - offer.cost_of(now.saturating_sub(fewer));
            cost + self.relief(offer.food, fewer)
        };
        let dearer = |at: usize| {
            let (offer, now) = (&self.problem.offers[at], self.servings[at]);
            let cost = offer.cost_of(now) - offer.cost_of(now + 1);
            (at, cost + self.at_table(offer))
        };
        let offers: Vec<(usize, f64)> = offers.into_iter().map(dearer).collect();
        let needs = self.missed[stretch] + ROUNDED;
        let mut best = Best::none();
        for (i, &one) in chosen.iter().enumerate() {
            let alone = [1, 2].map(|n: u32| (Exchange::of(&[(one, -(n as i32))]), spared(one, n)));
            let pairs = chosen[i + 1..].iter().map(|&other| {
                let both = Exchange::of(&[(one, -1), (other, -1)]);
                (both, spared(one, 1) + spared(other, 1))
            });
            for (fewer, spared) in alone.into_iter().chain(pairs) {
                let free = |(at, _): &&(usize, f64)| fewer.each().iter().all(|(o, _)| o != at);
                for (j, (more, adds)) in offers.iter().enumerate().filter(|(_, open)| free(open)) {
                    // most cannot gain, whatever they do to needs and to what tires
                    let most = spared + needs + adds;
                    if most >= best.gain {
                        best.or(self, fewer.and(*more, 1));
                    }
                    for (another, adds) in offers[j + 1..].iter().filter(free) {
                        if most + adds >= best.gain {
                            best.or(self, fewer.and(*more, 1).and(*another, 1));
                        }
                    }
                }
            }
        }
        self.take(best)
    }

    /// A serving on one stretch given up for one on another, which it kept from being had; both may
    /// make up for it.
    fn moved(&mut self) -> bool {
        let problem = self.problem;
        let mut better = false;
        let mut giving = self.most_given();
        let mut used_up = Vec::new();
        for to in 0..problem.offers.len() {
            let given = problem.offers[to].stretch;
            if !self.is_wanted(to) {
                continue;
            }
            used_up.clear();
            used_up.extend(self.used_up(to));
            let mut takes = self.most_by(to, 1) + ROUNDED;
            let mut next = 0;
            while let Some((from, gives)) = giving.get(next).copied() {
                next += 1;
                let left = problem.offers[from].stretch;
                let most = takes + gives - self.kept_tired(from, to);
                if most < LEAST_GAIN || left == given || !self.is_rival(from, to, &used_up) {
                    continue;
                }
                let moved = Exchange::of(&[(from, -1), (to, 1)]);
                let (instead, _) = self.open(left);
                let (_, spared) = self.open(given);
                let spared = spared.iter().filter(|at| **at != to);
                let mut all: Vec<Exchange> = spared.map(|at| moved.and(*at, -1)).collect();
                all.push(moved);
                all.retain(|exchange| self.fits(exchange.each()));
                for base in all.clone() {
                    let more = instead.iter().filter(|at| **at != from);
                    all.extend(more.map(|more| base.and(*more, 1)));
                }
                if self.take_best(all) {
                    better = true;
                    takes = self.most_by(to, 1) + ROUNDED;
                    giving = self.most_given();
                    next = giving.partition_point(|(at, _)| *at <= from);
                }
            }
        }
        better
    }

    /// The offers that have a serving to give up, and the most that each can gain by it.
    fn most_given(&self) -> Vec<(usize, f64)> {
        let offers = self.problem.offers.iter().enumerate();
        let has = offers.filter(|(at, offer)| self.servings[*at] > offer.least);
        has.map(|(at, _)| (at, self.most_by(at, -1))).collect()
    }

    /// The relief of a serving less, where a serving more of the same food takes it back.
    fn kept_tired(&self, from: usize, to: usize) -> f64 {
        let (from, to) = (&self.problem.offers[from], &self.problem.offers[to]);
        if from.food != to.food {
            return 0.0;
        }
        self.relief(from.food, 1)
    }

    /// More than a change of one offer can gain on its stretch with another change there to make up
    /// for it, whatever happens elsewhere: limits are passed over, and of what tires only the
    /// relief counts, which is greatest for the first serving less.
    fn most_by(&self, at: usize, by: i32) -> f64 {
        let stretch = self.problem.offers[at].stretch;
        let (all, chosen) = self.open(stretch);
        let others = if by < 0 { all } else { chosen };
        let one = [(at, by)];
        let mut most = self.bare_gain(&one);
        for other in others.into_iter().filter(|other| *other != at) {
            most = most.max(self.bare_gain(&[one[0], (other, -by)]));
        }
        most
    }

    /// The gain of changes on one stretch there, with the most relief from what tires.
    fn bare_gain(&self, changes: &[(usize, i32)]) -> f64 {
        let problem = self.problem;
        let stretch = problem.offers[changes[0].0].stretch;
        let mut sums = self.sums[stretch];
        let before = problem.stretches[stretch].cost(&sums);
        let mut gain = 0.0;
        for (at, by) in changes {
            let (offer, from) = (&problem.offers[*at], self.servings[*at]);
            let to = from.saturating_add_signed(*by);
            sums.change(offer, from, to);
            gain += offer.cost_of(from) - offer.cost_of(to);
            if *by < 0 {
                gain += self.relief(offer.food, 1);
            }
        }
        gain + before - problem.stretches[stretch].cost(&sums)
    }

    /// The limits that keep a serving more of an offer from being had.
    fn used_up(&self, to: usize) -> impl Iterator<Item = usize> {
        let limits = &self.problem.limits;
        let is_used_up =
            |(limit, one): &&(usize, f64)| !within(self.used[*limit] + one, limits[*limit].left);
        self.rows[to]
            .iter()
            .filter(is_used_up)
            .map(|(limit, _)| *limit)
    }

    /// True where something keeps a serving more of an offer from being had.
    fn is_wanted(&self, to: usize) -> bool {
        let offer = &self.problem.offers[to];
        self.servings[to] < offer.most
            && (tiring(self.eaten[offer.food]) > 0.0 || self.used_up(to).next().is_some())
    }

    /// True where a serving elsewhere keeps one more of an offer from being had: something that
    /// both count for is used up, or the food tires. All else is better done on each stretch by
    /// itself.
    fn is_rival(&self, from: usize, to: usize, used_up: &[usize]) -> bool {
        let offers = &self.problem.offers;
        let food = offers[to].food;
        (offers[from].food == food && tiring(self.eaten[food]) > 0.0)
            || (self.rows[from].iter()).any(|(limit, _)| used_up.contains(limit))
    }
}
