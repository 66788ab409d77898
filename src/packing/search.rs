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

use super::choose::{Offer, ServingProblem, Sums, tiring, within};

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

/// Servings, and everything that follows from them.
struct State<'a> {
    problem: &'a ServingProblem,
    servings: Vec<u32>,
    sums: Vec<Sums>,
    /// By stretch: more than any exchange can gain there.
    most_gain: Vec<f64>,
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
            sums: vec![Sums::default(); problem.stretches.len()],
            most_gain: vec![0.0; problem.stretches.len()],
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
        let (stretch, sums) = (offer.stretch, &mut self.sums[offer.stretch]);
        sums.change(offer, from, to);
        self.most_gain[stretch] = self.problem.stretches[stretch].most_gain(sums);
        self.eaten[offer.food] = self.eaten[offer.food] + to - from;
    }

    /// The gain of an exchange, where that is more than the least and it may be made.
    fn gain(&self, exchange: &Exchange, least: f64) -> Option<f64> {
        let problem = self.problem;
        let mut each = [(0, 0, 0); 4];
        let each = &mut each[..exchange.len];
        let (mut gain, mut relief) = (0.0, 0.0);
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
            *change = (*at, from, to);
        }
        // most exchanges cannot gain, whatever they do to needs and to what tires
        let stretches = each.iter().map(|(at, ..)| problem.offers[*at].stretch);
        let first = problem.offers[each[0].0].stretch;
        let others = stretches.skip(1).filter(|stretch| *stretch != first);
        let needs = others.fold(self.most_gain[first], |sum, stretch| {
            sum + self.most_gain[stretch]
        });
        if gain + relief + needs + ROUNDED < least {
            return None;
        }
        for (index, (at, ..)) in each.iter().enumerate() {
            let Offer { stretch, food, .. } = problem.offers[*at];
            let alike = |same: fn(&Offer) -> usize, own: usize| {
                let is_so =
                    move |change: &&(usize, u32, u32)| same(&problem.offers[change.0]) == own;
                let is_first = !each[..index].iter().any(|change| is_so(&change));
                is_first.then(|| each[index..].iter().filter(is_so))
            };
            if let Some(changes) = alike(|offer| offer.stretch, stretch) {
                let (of_it, before) = (&problem.stretches[stretch], &self.sums[stretch]);
                let (mut after, mut adds) = (*before, false);
                for (at, from, to) in changes {
                    after.change(&problem.offers[*at], *from, *to);
                    adds |= to > from;
                }
                if adds && after.kinds > of_it.kinds {
                    return None;
                }
                gain += of_it.cost(before) - of_it.cost(&after);
            }
            if let Some(changes) = alike(|offer| offer.food, food) {
                let before = self.eaten[food];
                let after = changes.fold(before, |eaten, (_, from, to)| eaten + to - from);
                gain += tiring(before) - tiring(after);
            }
        }
        (gain > least && self.fits(exchange.each())).then_some(gain)
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
    fn take_best(&mut self, all: &[Exchange]) -> bool {
        let mut best: Option<(f64, &Exchange)> = None;
        for exchange in all {
            let least = best.map_or(LEAST_GAIN, |(gain, _)| gain);
            if let Some(gain) = self.gain(exchange, least) {
                best = Some((gain, exchange));
            }
        }
        if let Some((_, exchange)) = best {
            self.make(exchange);
        }
        best.is_some()
    }

    /// Improves every stretch, by itself and with others.
    fn improve_all(&mut self) {
        let all = 0..self.problem.stretches.len();
        // in turn, so that what is scarce does not all go to the first
        let mut moves = true;
        while moves {
            moves = false;
            for stretch in all.clone() {
                moves |= self.one_more_or_less(stretch);
            }
        }
        for _ in 0..MOST_ROUNDS {
            all.clone().for_each(|stretch| self.improve(stretch));
            let moved = self.moved();
            let mut better = moved;
            for stretch in all.clone() {
                if !moved && std::mem::take(&mut self.untried[stretch]) {
                    better |= self.two_for_others(stretch);
                }
            }
            if !better && !all.clone().any(|stretch| self.afresh(stretch)) {
                return;
            }
        }
    }

    /// One stretch emptied and filled last, after what others then take of what is scarce; undone
    /// unless that gains.
    fn afresh(&mut self, stretch: usize) -> bool {
        let own = self.offers[stretch].clone();
        if !own.clone().any(|at| self.wanted(at).is_some()) {
            return false;
        }
        let (before, cost) = (self.servings.clone(), self.problem.cost(&self.servings));
        for at in own {
            self.set(at, self.problem.offers[at].least);
        }
        self.changed.fill(true);
        let others = (0..self.sums.len()).filter(|other| *other != stretch);
        others.for_each(|other| self.improve(other));
        self.changed[stretch] = true;
        self.improve(stretch);
        let gains = cost - self.problem.cost(&self.servings) > LEAST_GAIN;
        if gains {
            self.changed.fill(true);
            self.untried.fill(true);
        } else {
            for (at, servings) in before.into_iter().enumerate() {
                if self.servings[at] != servings {
                    self.set(at, servings);
                }
            }
        }
        gains
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
        let both = offers.iter().flat_map(|at| [(*at, 1), (*at, -1)]);
        let all: Vec<Exchange> = both.map(|change| Exchange::of(&[change])).collect();
        self.take_best(&all)
    }

    /// Some or all servings of one offer for about as many of another.
    fn one_for_another(&mut self, stretch: usize) -> bool {
        let (offers, chosen) = self.open(stretch);
        let mut all = Vec::new();
        for less in chosen {
            let have = self.servings[less] as i32;
            for &more in offers.iter().filter(|at| **at != less) {
                let mut add = |from: i32, to: i32| {
                    all.push(Exchange::of(&[(less, -from), (more, to)]));
                };
                add(1, 1);
                add(1, 2);
                if have > 1 {
                    add(2, 1);
                    (have - 1..=have + 1).for_each(|n| add(have, n));
                }
            }
        }
        self.take_best(&all)
    }

    /// Two things for one or two others, and one for two.
    fn two_for_others(&mut self, stretch: usize) -> bool {
        let (offers, chosen) = self.open(stretch);
        let mut less = Vec::new();
        for (i, &one) in chosen.iter().enumerate() {
            less.push(Exchange::of(&[(one, -1)]));
            less.push(Exchange::of(&[(one, -2)]));
            less.extend(
                chosen[i + 1..]
                    .iter()
                    .map(|other| Exchange::of(&[(one, -1), (*other, -1)])),
            );
        }
        let mut all = Vec::new();
        for fewer in less {
            let free = |at: &&usize| fewer.each().iter().all(|(other, _)| other != *at);
            for (i, &more) in offers.iter().enumerate().filter(|(_, at)| free(at)) {
                all.push(fewer.and(more, 1));
                let others = offers[i + 1..].iter().filter(free);
                all.extend(others.map(|another| fewer.and(more, 1).and(*another, 1)));
            }
        }
        self.take_best(&all)
    }

    /// A serving on one stretch given up for one on another, which it kept from being had; both may
    /// make up for it.
    fn moved(&mut self) -> bool {
        let problem = self.problem;
        let mut better = false;
        let mut giving = self.most_given();
        for to in 0..problem.offers.len() {
            let given = problem.offers[to].stretch;
            let Some(wanted) = self.wanted(to) else {
                continue;
            };
            let mut takes = self.most_by(to, 1) + ROUNDED;
            for from in 0..problem.offers.len() {
                let left = problem.offers[from].stretch;
                let most = takes + giving[from] - self.kept_tired(from, to);
                if most < LEAST_GAIN || left == given || !self.is_rival(from, to, &wanted) {
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
                if self.take_best(&all) {
                    better = true;
                    takes = self.most_by(to, 1) + ROUNDED;
                    giving = self.most_given();
                }
            }
        }
        better
    }

    /// The most that each offer can gain by giving up a serving; nothing where it has none to give.
    fn most_given(&self) -> Vec<f64> {
        let offers = self.problem.offers.iter().enumerate();
        let gives = offers.map(|(at, offer)| match self.servings[at] > offer.least {
            true => self.most_by(at, -1),
            false => f64::NEG_INFINITY,
        });
        gives.collect()
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

    /// The limits that keep a serving more of an offer from being had; `None` where nothing does.
    fn wanted(&self, to: usize) -> Option<Vec<usize>> {
        let (offers, limits) = (&self.problem.offers, &self.problem.limits);
        let used_up = self.rows[to]
            .iter()
            .filter(|(limit, one)| !within(self.used[*limit] + one, limits[*limit].left));
        let used_up: Vec<usize> = used_up.map(|(limit, _)| *limit).collect();
        let tires = tiring(self.eaten[offers[to].food]) > 0.0;
        (self.servings[to] < offers[to].most && (tires || !used_up.is_empty())).then_some(used_up)
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
