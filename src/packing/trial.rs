//! A good choice to start the search from: servings are added, left out and exchanged one at a time
//! while that helps.

use super::cost::within;
use super::prices::Prices;
use super::problem::{Item, Problem, Sums};

/// Of many items, only so many are tried: those that a serving more or less costs the least.
const MOST_TRIED: usize = 24;
/// Improvements below this are rounding, and could go round in circles.
const LEAST_GAIN: f64 = 1e-9;

/// A feasible choice.
#[derive(Clone, Debug)]
pub(super) struct Trial {
    pub(super) counts: Vec<u32>,
    pub(super) cost: f64,
    /// By stretch.
    sums: Vec<Sums>,
    /// What it takes of each limit.
    used: Vec<f64>,
}

/// One more of an item, one less of another; `None` is neither.
type Change = (Option<usize>, Option<usize>);

impl Trial {
    /// Nothing, then as much of the counts as is feasible, then improved.
    pub(super) fn near(problem: &Problem<'_>, prices: &Prices, counts: &[u32]) -> Trial {
        let mut trial = Trial {
            counts: vec![0; problem.items.len()],
            cost: 0.0,
            sums: vec![Sums::default(); problem.parts.len()],
            used: vec![0.0; problem.limits.len()],
        };
        let parts = problem.parts.iter().zip(&trial.sums);
        trial.cost = parts.map(|(part, sums)| part.cost(sums)).sum();
        for (at, count) in counts.iter().enumerate() {
            for _ in 0..*count {
                let change = (Some(at), None);
                match trial.gain(problem, change) {
                    Some(gain) if trial.may(problem, change) => trial.make(problem, change, gain),
                    _ => break,
                }
            }
        }
        trial.improve(problem, &promising(problem, prices, counts));
        trial
    }

    fn improve(&mut self, problem: &Problem<'_>, tried: &[usize]) {
        loop {
            let mut best: Option<(f64, Change)> = None;
            let all = || tried.iter().copied().map(Some).chain([None]);
            for less in all() {
                if less.is_some_and(|at| self.counts[at] == 0) {
                    continue;
                }
                for more in all().filter(|more| *more != less) {
                    let least = best.map_or(LEAST_GAIN, |best| best.0);
                    if let Some(gain) = self.gain(problem, (more, less))
                        && gain > least
                        && self.may(problem, (more, less))
                    {
                        best = Some((gain, (more, less)));
                    }
                }
            }
            match best {
                Some((gain, change)) => self.make(problem, change, gain),
                None => return,
            }
        }
    }

    /// What a change takes off the cost; `None` where there is no serving more or less.
    fn gain(&self, problem: &Problem<'_>, change: Change) -> Option<f64> {
        let mut gain = 0.0;
        let mut sums: [Option<(usize, Sums)>; 2] = [None, None];
        let steps = [(change.1, -1_i32), (change.0, 1)];
        for (at, step) in steps.into_iter().filter_map(|(at, step)| Some((at?, step))) {
            let (item, count) = (&problem.items[at], self.counts[at]);
            let then = count.checked_add_signed(step).filter(|n| *n <= item.most)?;
            let known = sums[0].filter(|(part, _)| *part == item.part);
            let before = known.map_or(self.sums[item.part], |(_, sums)| sums);
            let after = Some((item.part, before.with(item, count, then)));
            match known {
                Some(_) => sums[0] = after,
                None if sums[0].is_none() => sums[0] = after,
                None => sums[1] = after,
            }
            gain -= f64::from(step) * self.tired(problem, at, change);
        }
        for (part, after) in sums.into_iter().flatten() {
            let of = &problem.parts[part];
            gain += of.cost(&self.sums[part]) - of.cost(&after);
        }
        Some(gain)
    }

    /// What a serving of an item costs for those of the same food on other stretches; of a serving
    /// that moves from one stretch to another the one it was is not counted.
    fn tired(&self, problem: &Problem<'_>, at: usize, change: Change) -> f64 {
        let item = &problem.items[at];
        if problem.parts.len() == 1 || item.tired <= 0.0 {
            return 0.0;
        }
        let others = problem.items.iter().zip(&self.counts);
        let same = others.filter(|(other, _)| other.food == item.food && other.part != item.part);
        let of_it: u32 = same.map(|(_, n)| *n).sum();
        let moved = change.0 == Some(at)
            && change.1.is_some_and(|less| {
                let less = &problem.items[less];
                less.food == item.food && less.part != item.part
            });
        item.tired * f64::from(of_it - u32::from(moved))
    }

    /// Whether a change keeps within every limit.
    fn may(&self, problem: &Problem<'_>, change: Change) -> bool {
        let uses = |limit: usize, at: Option<usize>| -> f64 {
            let rows = at.map(|at| problem.rows[at].iter()).into_iter().flatten();
            rows.filter(|(row, _)| *row == limit)
                .map(|(_, one)| one)
                .sum()
        };
        let more = change
            .0
            .map(|at| problem.rows[at].iter())
            .into_iter()
            .flatten();
        for (limit, one) in more {
            let used = self.used[*limit] + one - uses(*limit, change.1);
            if !within(used, problem.limits[*limit].left) {
                return false;
            }
        }
        self.salt_and_flasks(problem, change)
    }

    fn salt_and_flasks(&self, problem: &Problem<'_>, change: Change) -> bool {
        let touched = || [change.0, change.1].into_iter().flatten();
        let parts = touched().map(|at| problem.items[at].part);
        let salted = parts.clone().any(|part| {
            let mut range = problem.parts[part].items.clone();
            range.any(|at| problem.items[at].salt && self.counts[at] > 0)
        });
        let is = |test: fn(&Item) -> bool| touched().any(|at| test(&problem.items[at]));
        let drinks = is(|item| item.drink);
        if !salted && !drinks && !is(|item| item.salt) {
            return true;
        }
        let mut counts = self.counts.clone();
        step(&mut counts, change);
        parts.into_iter().all(|part| {
            let of = &problem.parts[part];
            let sodium = |at: usize| f64::from(counts[at]) * problem.items[at].sodium_mg;
            let sodium_mg: f64 = of.items.clone().map(sodium).sum();
            of.salt_is_fit(&problem.items, &counts, sodium_mg)
                && (!drinks || of.flasks_hold(&problem.items, &counts))
        })
    }

    fn make(&mut self, problem: &Problem<'_>, change: Change, gain: f64) {
        for (at, more) in [(change.0, 1.0), (change.1, -1.0)] {
            let Some(at) = at else { continue };
            for (limit, one) in &problem.rows[at] {
                self.used[*limit] += more * one;
            }
        }
        step(&mut self.counts, change);
        for at in [change.0, change.1].into_iter().flatten() {
            let part = problem.items[at].part;
            let range = problem.parts[part].items.clone();
            self.sums[part] = range.fold(Sums::default(), |sums, at| {
                sums.with(&problem.items[at], 0, self.counts[at])
            });
        }
        self.cost -= gain;
    }
}

/// The items worth trying, in the order of the problem.
fn promising(problem: &Problem<'_>, prices: &Prices, counts: &[u32]) -> Vec<usize> {
    let mut all: Vec<usize> = (0..problem.items.len()).collect();
    if all.len() > MOST_TRIED {
        let extra = |at: &usize| match counts[*at] {
            0 => prices.of_item(*at, &problem.items[*at], 1),
            _ => f64::NEG_INFINITY,
        };
        all.sort_by(|a, b| extra(a).total_cmp(&extra(b)));
        all.truncate(MOST_TRIED);
        all.sort_unstable();
    }
    all
}

fn step(counts: &mut [u32], (more, less): Change) {
    if let Some(at) = more {
        counts[at] += 1;
    }
    if let Some(at) = less {
        counts[at] -= 1;
    }
}
