//! Passes of the route given to visits: all stations with coordinates at once, in course order.

use super::snap::Pass;

/// A station with every pass of the route by it.
#[derive(Debug)]
pub(super) struct Visit {
    /// In course order.
    pub(super) passes: Vec<Pass>,
    /// Distances along the route between which the list says it lies, metres.
    pub(super) expected_m: (f64, f64),
}

/// Stations are at least this far apart along the route, metres.
pub(super) const APART_M: f64 = 1.0;
/// The distance from the track, metres, that is the error of track and coordinates and tells nothing.
const FREE_OFF_M: f64 = 20.0;
/// Beyond it, this much farther costs 1.
const OFF_SCALE_M: f64 = 50.0;
/// Of two passes that are otherwise alike the earlier is meant: a small cost for being late, over
/// the whole course.
const LATE: f64 = 0.05;
/// Leaving a station out costs more than any disagreement.
const LEFT_OUT: f64 = 1e9;

/// For each visit the pass that is meant, strictly rising along the route, so that the sum of
/// squared distances from the track and of squared disagreements with the list is least; `None`
/// for a visit that fits in no order with the others, as few as possible of these.
///
/// A shortest path over passes in list order. Of all chains that end before a distance only the
/// best is kept, so the cost is that of sorting the passes.
pub(super) fn assign(visits: &[Visit], length_m: f64) -> Vec<Option<Pass>> {
    let tolerance_m = 300.0 + 0.01 * length_m;
    let mut chains: Vec<Chain> = Vec::new();
    let mut front = Front::default();
    for (visit, of) in visits.iter().enumerate() {
        let reached: Vec<Chain> = (of.passes.iter())
            .map(|pass| {
                let before = front.best_before(pass.along_m - APART_M);
                let cost = before.map_or(0.0, |(cost, _)| cost);
                Chain {
                    visit,
                    pass: *pass,
                    cost: cost + cost_of(pass, of.expected_m, tolerance_m, length_m) - LEFT_OUT,
                    before: before.map(|(_, chain)| chain),
                }
            })
            .collect();
        for chain in reached {
            front.add(chain.pass.along_m, chain.cost, chains.len());
            chains.push(chain);
        }
    }
    let mut chosen = vec![None; visits.len()];
    let mut at = front.best_before(f64::INFINITY).map(|(_, chain)| chain);
    while let Some(chain) = at.and_then(|at| chains.get(at)) {
        chosen[chain.visit] = Some(chain.pass);
        at = chain.before;
    }
    chosen
}

/// Stations placed so far, the last of them by this pass.
struct Chain {
    visit: usize,
    pass: Pass,
    cost: f64,
    before: Option<usize>,
}

fn cost_of(pass: &Pass, expected_m: (f64, f64), tolerance_m: f64, length_m: f64) -> f64 {
    let off = (pass.off_m - FREE_OFF_M).max(0.0) / OFF_SCALE_M;
    let outside_m = (expected_m.0 - pass.along_m)
        .max(pass.along_m - expected_m.1)
        .max(0.0);
    let outside = outside_m / tolerance_m;
    off * off + outside * outside + LATE * pass.along_m / length_m
}

/// Chains of which none ends both earlier and cheaper than another: ends rise, costs fall.
#[derive(Default)]
struct Front(Vec<(f64, f64, usize)>);

impl Front {
    fn best_before(&self, along_m: f64) -> Option<(f64, usize)> {
        let after = self.0.partition_point(|(end_m, ..)| *end_m <= along_m);
        let (_, cost, chain) = self.0.get(after.checked_sub(1)?)?;
        Some((*cost, *chain))
    }

    fn add(&mut self, end_m: f64, cost: f64, chain: usize) {
        if self
            .best_before(end_m)
            .is_some_and(|(known, _)| known <= cost)
        {
            return;
        }
        let from = self.0.partition_point(|(known_m, ..)| *known_m < end_m);
        let worse = self.0[from..]
            .iter()
            .take_while(|(_, known, _)| *known >= cost)
            .count();
        self.0.splice(from..from + worse, [(end_m, cost, chain)]);
    }
}
