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

use super::choose::{ServingProblem, tiring};
use super::exchanges::{Best, Exchange, LEAST_GAIN, ROUNDED, State};

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
    let mut state = State::of(problem, settled(problem));
    state.improve_all();
    state.servings
}

/// What is settled before anything is chosen.
pub(super) fn settled(problem: &ServingProblem) -> Vec<u32> {
    problem.offers.iter().map(|offer| offer.least).collect()
}

/// Chooses servings that break no limit and that no change on one stretch betters: enough to see
/// that a race can be fed.
pub(super) fn choose_roughly(problem: &ServingProblem) -> Vec<u32> {
    let mut state = State::of(problem, settled(problem));
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

impl State<'_> {
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
}
