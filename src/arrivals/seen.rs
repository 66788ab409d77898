//! The population after passages were seen: what differs between races is weighted by how likely
//! it makes the passages, and the rest is simulated anew.
//!
//! Given the finish of a race, the logarithms of what its pieces take are a Gaussian vector, so
//! the drift is conditioned in closed form; the finish, of which nothing of the kind holds, is
//! weighted on a grid. Weighting whole simulated races instead would leave none after a few
//! passages.

use rayon::prelude::*;

use crate::ability::Spread;
use crate::conditions::Conditions;
use crate::pacing::Pacing;

use super::count::Races;
use super::draws::{Draw, Draws};
use super::figures::Straying;
use super::finishes::Finishes;
use super::node::{Explained, Node};
use super::passages::{Interval, Kind, Passage, intervals};
use super::pieces::{Chance, PIECES, Pieces, passed};
use super::weighed::Weighed;
use super::{Arrivals, Limit};

/// Times of races of any finish, solved once for a plan.
#[derive(Clone, Debug)]
pub struct Paths(Finishes);

impl Paths {
    /// Those around a plan.
    #[must_use]
    pub fn of(conditions: &Conditions, pacing: &Pacing) -> Paths {
        Paths(Finishes::over(conditions, pacing))
    }
}

/// The way the rest is run, otherwise than planned.
#[derive(Clone, Debug, PartialEq)]
pub struct Onward {
    /// Arrivals at the stations passed, as seen or laid between those seen, seconds.
    pub passed_s: Vec<f64>,
    /// Planned stops at the stations ahead, by the index of the station, seconds.
    pub stops_s: Vec<f64>,
}

/// The population as passages leave it.
#[derive(Clone, Debug)]
pub struct Seen {
    figures: Straying,
    /// The finish that it makes of any race.
    chance: Chance,
    finishes: Finishes,
    /// Finishes looked at, ascending, in even steps of their logarithm.
    nodes: Vec<Node>,
    /// How likely finishes are; `None` where one is held.
    weighed: Option<Weighed>,
    here: usize,
    at_s: f64,
    /// True where the last station was seen left.
    has_left: bool,
    /// Of the planned stops, those that nobody has seen the end of: how they stand in a finish.
    planned_ahead_s: f64,
    /// Stops in all, as far as known, and else as planned, seconds.
    stops_s: f64,
    /// Delay at the start, seconds; all else counts from leaving it.
    delay_s: f64,
}

/// Finishes looked at to find what is left, and then of what is left.
const LOOKED_AT: usize = 24;
const KEPT: usize = 40;
/// The share left of what was looked at above which the grid is fine enough.
const FINE: f64 = 0.85;
/// The number of times that what is left is looked at again.
const MOST_LOOKS: usize = 8;

impl Seen {
    /// The population around a plan that passages leave. With no `spread` the finish is held.
    ///
    /// Passages are in course order; the start is left at 0 where they do not say otherwise.
    #[must_use]
    pub fn of(
        conditions: &Conditions,
        pacing: &Pacing,
        spread: Option<&Spread>,
        passages: &[Passage],
    ) -> Seen {
        let over = || Finishes::over(conditions, pacing);
        Seen::over(&Straying::default(), pacing, spread, passages, over)
    }

    /// [`Seen::of`] where many questions are asked of one plan.
    #[must_use]
    pub fn among(
        paths: &Paths,
        pacing: &Pacing,
        spread: Option<&Spread>,
        passages: &[Passage],
    ) -> Seen {
        Seen::with(&Straying::default(), paths, pacing, spread, passages)
    }

    /// [`Seen::among`] with other figures.
    #[must_use]
    pub fn with(
        figures: &Straying,
        paths: &Paths,
        pacing: &Pacing,
        spread: Option<&Spread>,
        passages: &[Passage],
    ) -> Seen {
        let over = || paths.0.clone();
        Seen::over(figures, pacing, spread, passages, over)
    }

    fn over(
        figures: &Straying,
        pacing: &Pacing,
        spread: Option<&Spread>,
        passages: &[Passage],
        over: impl FnOnce() -> Finishes,
    ) -> Seen {
        let (mut seen, intervals) = Seen::prepared(figures, pacing, passages);
        let Some(spread) = spread else {
            let held_s = (pacing.finish_s - seen.delay_s).max(seen.at_s + 1.0);
            let node = seen.explained(&intervals).at(held_s);
            seen.nodes.push(node);
            return seen;
        };
        let mut between = seen.range(pacing, spread);
        seen.finishes = over();
        let explained = seen.explained(&intervals);
        let at = |(from_s, to_s): (f64, f64), count: usize| -> Vec<Node> {
            (0..count)
                .into_par_iter()
                .map(|index| {
                    let share = index as f64 / (count - 1) as f64;
                    explained.at(from_s * (to_s / from_s).powf(share))
                })
                .collect()
        };
        for _ in 0..MOST_LOOKS {
            let left = plausible(spread, &at(between, LOOKED_AT));
            let is_fine = (left.1 / left.0).ln() > FINE * (between.1 / between.0).ln();
            between = left;
            if is_fine {
                break;
            }
        }
        let nodes = at(between, KEPT);
        let logs: Vec<f64> = nodes.iter().map(|node| node.log_likelihood).collect();
        seen.weighed = Some(Weighed::of(spread, between, &logs));
        seen.nodes = nodes;
        seen
    }

    fn explained<'a>(&'a self, intervals: &'a [Interval]) -> Explained<'a> {
        Explained {
            figures: &self.figures,
            chance: &self.chance,
            finishes: &self.finishes,
            stops_s: self.stops_s,
            intervals,
        }
    }

    /// All but the finishes and their weights; also, what lies between the passages.
    fn prepared(
        figures: &Straying,
        pacing: &Pacing,
        passages: &[Passage],
    ) -> (Seen, Vec<Interval>) {
        let finishes = Finishes::of_target(pacing);
        let start = Passage {
            station: 0,
            kind: Kind::Departure,
            at_s: finishes.start_s,
        };
        let delay_s = match passages.first() {
            Some(first) if first.station == 0 => first.at_s - finishes.start_s,
            _ => 0.0,
        };
        let passages: Vec<Passage> = (passages.iter())
            .map(|passage| Passage {
                at_s: passage.at_s - delay_s,
                ..*passage
            })
            .collect();
        let mut known_s = finishes.stops_s.clone();
        let intervals = intervals(&mut known_s, start, &passages);
        let last = passages.last().copied().unwrap_or(start);
        let has_left = last.kind == Kind::Departure;
        let first_ahead = last.station + usize::from(has_left);
        let seen = Seen {
            figures: *figures,
            chance: Chance::of(figures),
            planned_ahead_s: finishes.stops_s[first_ahead..].iter().sum(),
            here: last.station,
            at_s: last.at_s,
            has_left,
            stops_s: known_s.iter().sum(),
            delay_s,
            nodes: Vec::new(),
            weighed: None,
            finishes,
        };
        (seen, intervals)
    }

    /// Finishes between which all that is plausible lies: by the spread, and by how far the runner
    /// has come.
    fn range(&self, pacing: &Pacing, spread: &Spread) -> (f64, f64) {
        const FACTOR: f64 = 1.5;
        let least_s = self.at_s + self.planned_ahead_s;
        let planned_s = pacing.arrival_s[self.here].max(1.0);
        let implied_s = if self.here == 0 {
            spread.likely_s
        } else {
            pacing.finish_s * self.at_s / planned_s
        };
        let soonest_s = implied_s.min(spread.quantile_s(0.01)) / FACTOR;
        let latest_s = implied_s.max(spread.quantile_s(0.99)) * FACTOR;
        // nobody is at the finish at once: a tenth of the plan's rest is the least
        let rest_s = pacing.finish_s - pacing.arrival_s[self.here];
        let soonest_s = soonest_s.max(least_s + 0.1 * rest_s);
        (soonest_s, latest_s.max(2.0 * soonest_s))
    }

    /// The rest of the day, simulated anew. Limits are one per station.
    #[must_use]
    pub fn rest(&self, limits: &[Option<Limit>], draws: &Draws, onward: &Onward) -> Arrivals {
        let races = Races::again(draws, self.finishes.stops_s.len(), |draw, row| {
            self.run(draw, onward, row);
        });
        Arrivals::of(races.counted(limits), self.weighed.is_none())
    }

    /// The finish that a share of all is faster than, and a drift as the passages leave it: what
    /// the finishes looked at on both sides expect, and the straying of the nearer, which hardly
    /// differs.
    fn drawn(&self, draw: &Draw) -> (f64, Pieces) {
        let Some(weighed) = &self.weighed else {
            let node = &self.nodes[0];
            let strayed = node.strayed(draw);
            return (
                node.finish_s,
                std::array::from_fn(|piece| node.drift[piece] + strayed[piece]),
            );
        };
        let finish_s = weighed.finish_s(draw.share);
        let next = (self.nodes.partition_point(|node| node.finish_s <= finish_s))
            .clamp(1, self.nodes.len() - 1);
        let (before, after) = (&self.nodes[next - 1], &self.nodes[next]);
        let part = (finish_s / before.finish_s).ln() / (after.finish_s / before.finish_s).ln();
        let strayed = if part < 0.5 { before } else { after }.strayed(draw);
        let (before, after) = (&before.drift, &after.drift);
        let drift = std::array::from_fn(|piece| {
            before[piece] + part * (after[piece] - before[piece]) + strayed[piece]
        });
        (finish_s, drift)
    }

    /// One race on from here.
    fn run(&self, draw: &Draw, onward: &Onward, row: &mut [f64]) {
        let here = self.here;
        row[..=here].copy_from_slice(&onward.passed_s[..=here]);
        let (finish_s, drift) = self.drawn(draw);
        let mut moved = Vec::with_capacity(row.len());
        self.finishes.moved(finish_s, &mut moved);
        let how_much = self.chance.at(&self.figures, &self.finishes, finish_s);
        let moving_s = (finish_s - self.finishes.planned_s()).max(1.0);
        let piece_s = moving_s / PIECES as f64;
        let first = ((moved[here] * PIECES as f64) as usize).min(PIECES - 1);
        let first_ahead = here + usize::from(self.has_left);
        let spread = self.figures.planned_spread;
        let planned = onward.stops_s.iter().zip(&draw.planned);
        let mut stops_s: Vec<f64> = planned
            .map(|(stop_s, normal)| stop_s * (spread * normal).exp())
            .collect();
        stops_s[..first_ahead].fill(0.0);
        let stopped_s: f64 = stops_s.iter().sum();
        let length = |piece, stop| draw.length(piece, stop);
        let until = how_much.until(first, piece_s, &drift, (&draw.stretch, &draw.stops), length);
        let whole_s = (finish_s - self.at_s).max(1.0);
        let ahead_s = if self.weighed.is_none() {
            let most = (0.9 * whole_s / stopped_s.max(1e-9)).min(1.0);
            stops_s.iter_mut().for_each(|stop_s| *stop_s *= most);
            whole_s - most * stopped_s
        } else {
            // a finish counts the stops as long as they are on average
            let planned_s = self.planned_ahead_s * self.figures.planned_mean();
            (whole_s - planned_s).max(0.05 * whole_s)
        };
        let before = passed(&until, moved[here]);
        let scale = ahead_s / (until[PIECES] - before).max(1e-9);
        let own_stop_s = if self.has_left { 0.0 } else { stops_s[here] };
        let mut now_s = self.delay_s + self.at_s + own_stop_s;
        for station in here + 1..row.len() {
            row[station] = now_s + scale * (passed(&until, moved[station]) - before);
            now_s += stops_s[station];
        }
    }
}

/// The finishes outside of which next to no weight lies.
fn plausible(spread: &Spread, nodes: &[Node]) -> (f64, f64) {
    const NOTHING: f64 = 12.0;
    let logs: Vec<f64> = (nodes.iter())
        .map(|node| spread.density(node.finish_s).max(1e-300).ln() + node.log_likelihood)
        .collect();
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let counts = |log: &f64| *log > most - NOTHING;
    let first = logs.iter().position(counts).unwrap_or(0);
    let last = logs.iter().rposition(counts).unwrap_or(0);
    let at = |index: usize| nodes[index.min(nodes.len() - 1)].finish_s;
    (at(first.saturating_sub(1)), at(last + 1))
}
