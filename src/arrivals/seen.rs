//! The population after passages were seen: what differs between races is weighted by how likely
//! it makes the passages, and the rest is simulated anew.
//!
//! Given the finish of a race, the logarithms of what its pieces take are a Gaussian vector, so
//! the drift is conditioned in closed form; the finish, of which nothing of the kind holds, is
//! weighted on a grid. Weighting whole simulated races instead would leave none after a few
//! passages.

use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use rayon::prelude::*;

use crate::ability::Spread;
use crate::conditions::Conditions;
use crate::pacing::Pacing;
use crate::time::Elapsed;

use super::cholesky::Cholesky;
use super::count::Races;
use super::figures::Straying;
use super::finishes::Finishes;
use super::linear::{Expected, dot, summed_from, weights};
use super::pieces::{Chance, PIECES, Pieces, draw_stops, passed};
use super::{Arrivals, Limit, Trials};

/// Passages seen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// The runner came to a station.
    Arrival,
    /// The runner left it.
    Departure,
}

/// An arrival or a departure that was seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Passage {
    /// Index of the station.
    pub station: usize,
    /// The kind of event seen.
    pub kind: Kind,
    /// Seconds after the start.
    pub at_s: f64,
}

impl Passage {
    /// Race time in whole seconds.
    #[must_use]
    pub fn at(&self) -> Elapsed {
        Elapsed::from_s(self.at_s)
    }
}

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
    /// Moving time for the rest over what each race would take by itself.
    pub time_ratio: f64,
}

/// The population as passages leave it.
#[derive(Clone, Debug)]
pub struct Seen {
    figures: Straying,
    /// The finish that it makes of any race.
    chance: Chance,
    finishes: Finishes,
    /// Finishes with their weight, ascending.
    nodes: Vec<Node>,
    /// Share of the weight up to each node.
    until: Vec<f64>,
    here: usize,
    at_s: f64,
    /// True where the last station was seen left.
    has_left: bool,
    /// Of the planned stops, those that nobody has seen the end of: how they stand in a finish.
    planned_ahead_s: f64,
    on_target: bool,
    /// Stops in all, as far as known, and else as planned, seconds.
    stops_s: f64,
    /// Delay at the start, seconds; all else counts from leaving it.
    delay_s: f64,
}

/// Between two passages that follow each other.
struct Interval {
    /// Stations that it leaves and reaches.
    from: usize,
    to: usize,
    /// Moving time, seconds, planned stops left out.
    moving_s: f64,
    /// Variance of the logarithm of that, for stops that nobody saw and times read to the minute.
    error: f64,
}

/// The population at one finish.
#[derive(Clone, Debug)]
struct Node {
    finish_s: f64,
    /// Logarithm of its weight.
    log_weight: f64,
    chance: Chance,
    /// Per piece, the variance of its logarithm but for the drift.
    own: Pieces,
    /// Per interval, how its logarithm follows each step of the drift, and each piece.
    steps: Vec<Pieces>,
    pieces: Vec<Pieces>,
    errors: Vec<f64>,
    solved: Cholesky,
    /// The drift to expect.
    drift: Pieces,
    /// Widening of what is left, where the passages are a surprise.
    widened: f64,
}

/// Degrees of freedom of the surprise: passages that no race of these figures has must not rule
/// out everything.
///
/// The likeliest on the level race, where it is 9 to 11 with drift and stretches free.
const FREEDOM: f64 = 10.0;
/// Times are read to the minute: the standard deviation of the rounding, seconds.
const READ_S: f64 = 17.0;
/// Words of the stream of chance at which a race draws its stops, and what its pieces take: many
/// more than are drawn before, so that one passage more, or a stop that is over, moves no other
/// draw.
const STOPS_AT: u128 = 1 << 12;
const PIECES_AT: u128 = 1 << 14;
/// Finishes looked at, first over everything and then over what is left.
const GRID: usize = 64;
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
            seen.on_target = true;
            let held_s = (pacing.finish_s - seen.delay_s).max(seen.at_s + 1.0);
            let node = seen.node(held_s, 1.0, &intervals);
            seen.nodes.push(node);
            seen.until.push(1.0);
            return seen;
        };
        let (soonest_s, latest_s) = seen.range(pacing, spread);
        seen.finishes = over();
        let weighted = |(from_s, to_s): (f64, f64)| -> Vec<Node> {
            (0..GRID)
                .into_par_iter()
                .map(|index| {
                    let share = index as f64 / (GRID - 1) as f64;
                    let finish_s = from_s * (to_s / from_s).powf(share);
                    let prior = spread.density(finish_s);
                    seen.node(finish_s, prior, &intervals)
                })
                .collect()
        };
        let mut nodes = weighted((soonest_s, latest_s));
        for _ in 0..MOST_LOOKS {
            let between = plausible(&nodes);
            let had = (nodes[GRID - 1].finish_s / nodes[0].finish_s).ln();
            let is_fine = (between.1 / between.0).ln() > FINE * had;
            nodes = weighted(between);
            if is_fine {
                break;
            }
        }
        seen.weigh(nodes);
        seen
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
            on_target: false,
            stops_s: known_s.iter().sum(),
            delay_s,
            nodes: Vec::new(),
            until: Vec::new(),
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

    fn weigh(&mut self, nodes: Vec<Node>) {
        let most = nodes
            .iter()
            .map(|node| node.log_weight)
            .fold(f64::NEG_INFINITY, f64::max);
        let (mut sum, mut before) = (0.0, 0.0);
        self.until = nodes
            .iter()
            .enumerate()
            .map(|(index, node)| {
                let weight = (node.log_weight - most).exp();
                // what lies between two finishes weighs as much as they do on average
                if index > 0 {
                    sum += 0.5 * (before + weight);
                }
                before = weight;
                sum
            })
            .collect();
        self.until.iter_mut().for_each(|until| *until /= sum);
        self.nodes = nodes;
    }

    /// Likelihood of the passages in a race of this finish, and what they say of its drift.
    fn node(&self, finish_s: f64, prior: f64, intervals: &[Interval]) -> Node {
        let mut moved = Vec::new();
        self.finishes.moved(finish_s, &mut moved);
        let moving_s = (finish_s - self.finishes.start_s - self.stops_s).max(1.0);
        let chance = (self.chance).at(&self.figures, &self.finishes, finish_s);
        let piece_s = moving_s / PIECES as f64;
        let moving: Pieces = std::array::from_fn(|piece| chance.moving(piece, piece_s));
        let own: Pieces = std::array::from_fn(|piece| {
            (moving[piece] * chance.stretch).powi(2)
                + chance.stopped_s2[piece] / (piece_s * piece_s)
        });
        let pieces: Vec<Pieces> = intervals
            .iter()
            .map(|interval| weights(moved[interval.from], moved[interval.to]))
            .collect();
        let steps: Vec<Pieces> = pieces.iter().map(|by| summed_from(by, &moving)).collect();
        let expected = Expected::of(&chance.drift, &moving, &own);
        let off: Vec<f64> = intervals
            .iter()
            .zip(&pieces)
            .map(|(interval, weights)| {
                let planned = moving_s * (moved[interval.to] - moved[interval.from]).max(1e-9);
                (interval.moving_s / planned).ln() - expected.log(weights)
            })
            .collect();
        let covariance: Vec<Vec<f64>> = (0..intervals.len())
            .map(|i| {
                let with = |j: usize| {
                    let drift = dot(&chance.drift, &steps[i], &steps[j]);
                    let alone = dot(&own, &pieces[i], &pieces[j]);
                    drift + alone + if i == j { intervals[i].error } else { 0.0 }
                };
                (0..=i).map(with).collect()
            })
            .collect();
        let solved = Cholesky::of(&covariance);
        let count = off.len() as f64;
        let mut by = off.clone();
        let surprise = solved.solve(&mut by);
        let likelihood = log_likelihood(surprise, solved.log_determinant(), count);
        let mut now = 0.0;
        let drift = std::array::from_fn(|piece| {
            let along: f64 = steps.iter().zip(&by).map(|(w, b)| w[piece] * b).sum();
            now += chance.drift[piece] * (along - 0.5);
            now
        });
        Node {
            drift,
            finish_s,
            log_weight: prior.max(1e-300).ln() + likelihood,
            chance,
            own,
            steps,
            pieces,
            errors: intervals.iter().map(|interval| interval.error).collect(),
            solved,
            widened: ((FREEDOM + surprise) / (FREEDOM + count)).sqrt(),
        }
    }

    /// The rest of the day, simulated anew. Limits are one per station.
    #[must_use]
    pub fn rest(&self, limits: &[Option<Limit>], trials: &Trials, onward: &Onward) -> Arrivals {
        let races = Races::drawn(trials, self.finishes.stops_s.len(), |share, chance, row| {
            let mut moved = Vec::with_capacity(row.len());
            let between = self.finish(share);
            self.finishes.moved(between.finish_s, &mut moved);
            self.run(&between, &moved, onward, chance, row);
        });
        Arrivals::of(races.counted(limits), self.on_target)
    }

    /// The finish that a share of the weight is faster than.
    fn finish(&self, share: f64) -> Between<'_> {
        let next = self.until.partition_point(|until| *until < share);
        let next = next.min(self.nodes.len() - 1);
        let before = next.saturating_sub(1);
        let (from, to) = (self.until[before], self.until[next]);
        let part = ((share - from) / (to - from).max(1e-12)).clamp(0.0, 1.0);
        let (before, after) = (&self.nodes[before], &self.nodes[next]);
        Between {
            before,
            after,
            part,
            finish_s: before.finish_s * (after.finish_s / before.finish_s).powf(part),
        }
    }

    /// One race on from here.
    fn run(
        &self,
        between: &Between<'_>,
        moved: &[f64],
        onward: &Onward,
        chance: &mut ChaCha8Rng,
        row: &mut [f64],
    ) {
        let here = self.here;
        row[..=here].copy_from_slice(&onward.passed_s[..=here]);
        let drift = between.drift(chance);
        let finish_s = between.finish_s;
        let how_much = self.chance.at(&self.figures, &self.finishes, finish_s);
        let moving_s = (finish_s - self.finishes.planned_s()).max(1.0);
        let piece_s = moving_s / PIECES as f64;
        let first = ((moved[here] * PIECES as f64) as usize).min(PIECES - 1);
        let first_ahead = here + usize::from(self.has_left);
        let (spread, mut stops_s) = (self.figures.planned_spread, vec![0.0; row.len()]);
        chance.set_word_pos(STOPS_AT);
        draw_stops(spread, &onward.stops_s, 1, chance, &mut stops_s);
        stops_s[..first_ahead].fill(0.0);
        let stopped_s: f64 = stops_s.iter().sum();
        chance.set_word_pos(PIECES_AT);
        let until = how_much.until(first, piece_s, &drift, true, chance);
        let whole_s = (finish_s - self.at_s).max(1.0);
        let ahead_s = if self.on_target {
            let most = (0.9 * whole_s / stopped_s.max(1e-9)).min(1.0);
            stops_s.iter_mut().for_each(|stop_s| *stop_s *= most);
            whole_s - most * stopped_s
        } else {
            // a finish counts the stops as long as they are on average
            let planned_s = self.planned_ahead_s * self.figures.planned_mean();
            onward.time_ratio * (whole_s - planned_s).max(0.05 * whole_s)
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

/// A finish between two nodes.
struct Between<'a> {
    before: &'a Node,
    after: &'a Node,
    /// Its share of the way from one to the other.
    part: f64,
    finish_s: f64,
}

impl Between<'_> {
    /// A drift as the passages leave it: what both expect, and the straying of the nearer, which
    /// hardly differs.
    fn drift(&self, chance: &mut ChaCha8Rng) -> Pieces {
        let nearer = if self.part < 0.5 {
            self.before
        } else {
            self.after
        };
        let (before, after) = (&self.before.drift, &self.after.drift);
        let strayed = nearer.strayed(chance);
        std::array::from_fn(|piece| {
            before[piece] + self.part * (after[piece] - before[piece]) + strayed[piece]
        })
    }
}

impl Node {
    /// Straying from the drift to expect: one drawn as before the passages were seen, moved by how
    /// far it is off them (Matheron's rule; Doucet 2010, "A note on efficient conditional
    /// simulation of Gaussian distributions").
    fn strayed(&self, chance: &mut ChaCha8Rng) -> Pieces {
        let normal = |chance: &mut ChaCha8Rng| -> f64 { StandardNormal.sample(chance) };
        let steps: Pieces = self.chance.drift.map(|v| v.sqrt() * normal(chance));
        let alone = self.own.map(|variance| variance.sqrt() * normal(chance));
        let sum = |one: &Pieces, other: &Pieces| -> f64 {
            one.iter().zip(other).map(|(a, b)| a * b).sum()
        };
        let intervals = self.steps.iter().zip(&self.pieces).zip(&self.errors);
        let mut drawn: Vec<f64> = intervals
            .map(|((along, weights), error)| {
                sum(along, &steps) + sum(weights, &alone) + error.sqrt() * normal(chance)
            })
            .collect();
        self.solved.solve(&mut drawn);
        let mut now = 0.0;
        std::array::from_fn(|piece| {
            let along = self.steps.iter().zip(&drawn).map(|(w, b)| w[piece] * b);
            let gain = self.chance.drift[piece] * along.sum::<f64>();
            now += self.widened * (steps[piece] - gain);
            now
        })
    }
}

/// Lays passages between each other, and writes stops that were seen whole into the known ones.
fn intervals(stops_s: &mut [f64], start: Passage, passages: &[Passage]) -> Vec<Interval> {
    let planned_s = stops_s.to_vec();
    let mut found = Vec::new();
    let mut last = start;
    for passage in passages {
        if passage.station > last.station {
            let first = last.station + usize::from(last.kind == Kind::Departure);
            let end = passage.station + usize::from(passage.kind == Kind::Departure);
            found.push(interval(&planned_s[first..end], last, *passage));
        } else if passage.kind == Kind::Departure && last.kind == Kind::Arrival {
            stops_s[passage.station] = passage.at_s - last.at_s;
        }
        last = *passage;
    }
    found
}

/// The interval between two passages, with the planned stops there.
fn interval(stops_s: &[f64], from: Passage, to: Passage) -> Interval {
    /// The share of the time that stops leave below which they were not made.
    const LEAST_MOVING: f64 = 0.5;
    let took_s = (to.at_s - from.at_s).max(1.0);
    let planned_s: f64 = stops_s.iter().sum();
    let moving_s = (took_s - planned_s).max(LEAST_MOVING * took_s);
    let of_stops_s2: f64 = stops_s.iter().map(|stop_s| (0.45 * stop_s).powi(2)).sum();
    Interval {
        from: from.station,
        to: to.station,
        moving_s,
        error: (of_stops_s2 + 2.0 * READ_S * READ_S) / (moving_s * moving_s),
    }
}

/// The logarithm of the density of Student's t with [`FREEDOM`], up to what is the same everywhere: of
/// so many numbers with this square over their covariance, of which this is the logarithm of the
/// determinant.
fn log_likelihood(square: f64, log_determinant: f64, count: f64) -> f64 {
    -0.5 * (FREEDOM + count) * (square / FREEDOM).ln_1p() - 0.5 * log_determinant
}

/// The finishes outside of which next to no weight lies.
fn plausible(nodes: &[Node]) -> (f64, f64) {
    const NOTHING: f64 = 12.0;
    let most = nodes
        .iter()
        .map(|node| node.log_weight)
        .fold(f64::NEG_INFINITY, f64::max);
    let counts = |node: &&Node| node.log_weight > most - NOTHING;
    let first = nodes.iter().position(|node| counts(&node)).unwrap_or(0);
    let last = nodes.iter().rposition(|node| counts(&node)).unwrap_or(0);
    let at = |index: usize| nodes[index.min(nodes.len() - 1)].finish_s;
    (at(first.saturating_sub(1)), at(last + 1))
}
