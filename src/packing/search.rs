//! The cheapest servings of all, by branch and bound.
//!
//! Needs and limits are given prices (Lagrange multipliers) under which every food can be chosen
//! by itself; what that costs is a bound. Whole servings are then searched food by food, leaving
//! out whatever the bound proves to be no better than the best choice so far: with the prices
//! fixed, each serving more or less than a food's own best adds to the bound for good.

use super::cost::{FLUID_ABOVE_PLAN, Kinks, within};
use super::prices::Prices;
use super::problem::{Part, Problem, Sums};
use super::trial::Trial;

/// Costs closer than this are the same.
pub(super) const TOLERANCE: f64 = 1e-7;

/// What the search came to.
#[derive(Clone, Debug)]
pub(super) struct Found {
    /// By item.
    pub(super) counts: Vec<u32>,
    pub(super) cost: f64,
    /// No choice costs less.
    pub(super) bound: f64,
    /// Steps that the search took.
    pub(super) steps: u32,
}

/// Finds the cheapest counts in at most so many steps; `known` may be good ones already.
pub(super) fn cheapest(problem: &Problem<'_>, known: Option<&[u32]>, most_steps: u32) -> Found {
    let prices = Prices::of(problem, if problem.limits.is_empty() { 2 } else { 3 });
    let start = Trial::near(problem, &prices, known.unwrap_or(&prices.counts));
    let mut search = Search::new(problem, &prices, start, most_steps);
    search.go_on(0, &Sums::default(), Sofar::default());
    let ended = search.steps <= most_steps;
    Found {
        bound: if ended {
            search.best_cost
        } else {
            prices.bound.min(search.best_cost)
        },
        cost: search.best_cost,
        counts: search.best,
        steps: search.steps,
    }
}

/// What items not yet decided on can still add to their stretch, least and most.
#[derive(Clone, Copy, Debug, Default)]
struct Reach {
    carbs_g: (f64, f64),
    sodium_mg: (f64, f64),
    water_ml: f64,
}

/// What the decided items cost.
#[derive(Clone, Copy, Debug, Default)]
struct Sofar {
    /// Above what the bound counts for them.
    above: f64,
    /// All of it, for stretches that are decided.
    cost: f64,
}

struct Search<'a> {
    problem: &'a Problem<'a>,
    prices: &'a Prices,
    best: Vec<u32>,
    best_cost: f64,
    counts: Vec<u32>,
    /// What is used of each limit.
    used: Vec<f64>,
    /// The items to decide on: all others have none in any choice that could be better.
    active: Vec<usize>,
    /// By how many of them are decided on.
    reach: Vec<Reach>,
    steps: u32,
    most_steps: u32,
}

impl<'a> Search<'a> {
    fn new(
        problem: &'a Problem<'a>,
        prices: &'a Prices,
        best: Trial,
        most_steps: u32,
    ) -> Search<'a> {
        let mut search = Search {
            problem,
            prices,
            best: best.counts,
            best_cost: best.cost,
            counts: vec![0; problem.items.len()],
            used: vec![0.0; problem.limits.len()],
            active: Vec::new(),
            reach: Vec::new(),
            steps: 0,
            most_steps,
        };
        let gap = search.gap();
        let all = 0..problem.items.len();
        search.active = all
            .filter(|at| search.worth_trying(*at, gap) != (0, 0))
            .collect();
        search.reach = vec![Reach::default(); search.active.len() + 1];
        search.narrow();
        search
    }

    /// How far above the bound a better choice can lie.
    fn gap(&self) -> f64 {
        self.best_cost - TOLERANCE - self.prices.bound
    }

    /// Works out what the counts that can still be better than the best choice reach.
    fn narrow(&mut self) {
        let gap = self.gap();
        for decided in (0..self.active.len()).rev() {
            let at = self.active[decided];
            let item = &self.problem.items[at];
            let (low, high) = self.worth_trying(at, gap);
            let (low, high) = (f64::from(low), f64::from(high));
            let next = self.active.get(decided + 1);
            let same = next.is_some_and(|next| self.problem.items[*next].part == item.part);
            let after = if same {
                self.reach[decided + 1]
            } else {
                Reach::default()
            };
            let both =
                |(least, most): (f64, f64), each: f64| (least + low * each, most + high * each);
            self.reach[decided] = Reach {
                carbs_g: both(after.carbs_g, item.carbs_g),
                sodium_mg: both(after.sodium_mg, item.sodium_mg),
                water_ml: after.water_ml + low * item.water_ml,
            };
        }
    }

    /// Least and most servings of an item that cost at most `gap` above its best.
    fn worth_trying(&self, at: usize, gap: f64) -> (u32, u32) {
        let item = &self.problem.items[at];
        let best = self.prices.counts[at];
        let least = self.prices.of_item(at, item, best);
        let fits = |count: &u32| self.prices.of_item(at, item, *count) - least <= gap;
        let low = (0..best).rev().take_while(fits).last().unwrap_or(best);
        let high = (best + 1..=item.most)
            .take_while(fits)
            .last()
            .unwrap_or(best);
        (low, high)
    }

    /// Decides on all items but the first so many active ones, which are decided on; `sums` are
    /// those of the stretch of the next one, or of the last.
    fn go_on(&mut self, decided: usize, sums: &Sums, sofar: Sofar) {
        self.steps += 1;
        if self.steps > self.most_steps {
            return;
        }
        let problem = self.problem;
        let next = self.active.get(decided).copied();
        let before = decided.checked_sub(1).map(|d| self.active[d]);
        if let Some(before) = before.map(|at| problem.items[at])
            && before.drink
            && next
                .is_none_or(|at| !problem.items[at].drink || problem.items[at].part != before.part)
            && !problem.parts[before.part].flasks_hold(&problem.items, &self.counts)
        {
            return;
        }
        let part = |at: Option<usize>, none: usize| at.map_or(none, |at| problem.items[at].part);
        // stretches that end here: the one of the item before, and any without items to decide on
        let first = part(before, 0);
        let last = part(next, problem.parts.len());
        if first < last {
            return self.close(decided, first..last, sums, sofar);
        }
        if let Some(at) = next {
            self.decide(decided, at, sums, sofar);
        }
    }

    /// Goes on after stretches that are decided, the first of which has these sums.
    fn close(
        &mut self,
        decided: usize,
        parts: std::ops::Range<usize>,
        sums: &Sums,
        mut sofar: Sofar,
    ) {
        let first = parts.start;
        for at in parts.clone() {
            let part = &self.problem.parts[at];
            let sums = if at == first { *sums } else { Sums::default() };
            if !part.salt_is_fit(&self.problem.items, &self.counts, sums.sodium_mg) {
                return;
            }
            sofar.cost += part.cost(&sums);
            sofar.above += self.off_the_needs(part, at, &Reach::default(), &sums);
        }
        if !self.may_be_better(sofar.above) {
            return;
        }
        match self.active.get(decided).copied() {
            Some(at) => self.decide(decided, at, &Sums::default(), sofar),
            None if sofar.cost < self.best_cost - TOLERANCE => {
                self.best.clone_from(&self.counts);
                self.best_cost = sofar.cost;
                self.narrow();
            }
            None => {}
        }
    }

    /// Tries the counts of one item, outwards from its own best, the cheaper way first.
    fn decide(&mut self, decided: usize, at: usize, sums: &Sums, sofar: Sofar) {
        let item = &self.problem.items[at];
        let best = self.prices.counts[at];
        let least = self.prices.of_item(at, item, best);
        let same = self.problem.same[at].iter();
        let tired = item.tired * f64::from(same.map(|other| self.counts[*other]).sum::<u32>());
        let (mut up, mut down) = (Some(best), best.checked_sub(1));
        while up.is_some() || down.is_some() {
            let cost = |count: u32| self.prices.of_item(at, item, count) - least;
            let of = |way: Option<u32>| way.map_or(f64::INFINITY, cost);
            let (of_up, of_down) = (of(up), of(down));
            let upwards = of_up <= of_down;
            let Some(count) = (if upwards { up } else { down }) else {
                return;
            };
            let mut then = sofar;
            then.above += of_up.min(of_down);
            if !self.may_be_better(then.above) {
                return; // the other way costs no less
            }
            then.above += tired * f64::from(count);
            then.cost += tired * f64::from(count);
            let fits = self.fits(at, count, sums);
            if fits {
                let next = sums.with(item, 0, count);
                let part = &self.problem.parts[item.part];
                let reach = self.reach_after(decided, item.part);
                let off = self.off_the_needs(part, item.part, &reach, &next);
                if self.may_be_better(then.above + off) {
                    self.try_count(decided, count, &next, then);
                }
            }
            if upwards {
                // what does not fit does not fit with more of it either
                up = (fits && count < item.most).then_some(count + 1);
            } else {
                down = count.checked_sub(1);
            }
        }
    }

    fn try_count(&mut self, decided: usize, count: u32, sums: &Sums, sofar: Sofar) {
        let at = self.active[decided];
        let n = f64::from(count);
        for (limit, one) in &self.problem.rows[at] {
            self.used[*limit] += n * one;
        }
        self.counts[at] = count;
        self.go_on(decided + 1, sums, sofar);
        self.counts[at] = 0;
        for (limit, one) in &self.problem.rows[at] {
            self.used[*limit] -= n * one;
        }
    }

    fn may_be_better(&self, above: f64) -> bool {
        self.prices.bound + above < self.best_cost - TOLERANCE
    }

    /// What the items after this one can add to its stretch.
    fn reach_after(&self, decided: usize, part: usize) -> Reach {
        match self.active.get(decided + 1) {
            Some(next) if self.problem.items[*next].part == part => self.reach[decided + 1],
            _ => Reach::default(),
        }
    }

    /// Whether so many servings of an item are within every limit.
    fn fits(&self, at: usize, count: u32, sums: &Sums) -> bool {
        let n = f64::from(count);
        let item = &self.problem.items[at];
        let want = self.problem.parts[item.part].want;
        let salted = || {
            let sodium_mg = sums.sodium_mg + n * item.sodium_mg;
            within(sodium_mg, want.sodium_loss_mg) && sodium_mg - item.sodium_mg < want.sodium_mg
        };
        let mut rows = self.problem.rows[at].iter();
        rows.all(|(limit, one)| {
            within(
                self.used[*limit] + n * one,
                self.problem.limits[*limit].left,
            )
        }) && (!item.salt || count == 0 || salted())
    }

    /// What the needs of a stretch cost at least above their part of the bound, whatever is still
    /// decided.
    fn off_the_needs(&self, part: &Part<'_>, at: usize, reach: &Reach, sums: &Sums) -> f64 {
        let off = |kinks: &Kinks, price: f64, sum: f64, (least, most): (f64, f64)| {
            let lowest = kinks.lowest_against(price);
            let nearest = lowest.max(sum + least).min(sum + most);
            (kinks.at(nearest) - price * nearest) - (kinks.at(lowest) - price * lowest)
        };
        let water_ml = sums.water_ml + reach.water_ml - part.want.fluid_ml;
        // above the plan water costs more than its price, below it the price is not paid
        let water = (FLUID_ABOVE_PLAN - self.prices.water[at]) * water_ml.max(0.0);
        off(
            &part.carbs,
            self.prices.carbs[at],
            sums.carbs_g,
            reach.carbs_g,
        ) + off(
            &part.sodium,
            self.prices.sodium[at],
            sums.sodium_mg,
            reach.sodium_mg,
        ) + water
    }
}
