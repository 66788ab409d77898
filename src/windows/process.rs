//! One simulated race after another.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, Gamma, LogNormal, Poisson, StandardNormal};
use rayon::prelude::*;

use crate::pacing::Pacing;
use crate::time::S_PER_HOUR;

use super::Trials;
use super::figures::{Figures, Form, early_per_exponent};
use super::hours::Hours;
use super::races::Races;

/// The plan as chance sees it.
///
/// Chance falls on equal pieces of the planned moving time, not on segments, so that a station
/// more or less changes nothing elsewhere.
pub(super) struct Process {
    /// Index of the first segment that is simulated.
    first: usize,
    start_s: f64,
    finish_s: f64,
    segments: Vec<Segment>,
    /// `ln(1 + t / 3 h)` in the middle of each piece.
    log_hours: [f64; PIECES],
    /// Slow and fast pieces, around 1.
    noise: Option<Gamma<f64>>,
    fade: Fade,
    unplanned: Unplanned,
    /// Most of the time that may go into stops, seconds.
    most_stopped_s: f64,
    planned_spread: f64,
}

struct Segment {
    /// How much of the planned moving time has passed at its end, 0 to 1.
    moved_share: f64,
    /// The stop planned at its end, seconds.
    stop_s: f64,
}

/// Times of one race, kept for the next one of the thread.
struct Draft {
    /// Moving time until the end of each piece, in a unit of its own.
    moved: [f64; PIECES + 1],
    /// Per segment, seconds between two stations and those stopped at the second.
    times: Vec<(f64, f64)>,
    /// Unplanned stops: the segment and the length.
    unplanned_s: Vec<(usize, f64)>,
}

/// Exponent of slowing for each scale by which the race fades more or less than planned.
struct Fade {
    more: f64,
    less: f64,
}

struct Unplanned {
    number: Option<Poisson<f64>>,
    length_s: Option<LogNormal<f64>>,
}

/// Beyond so many scales a spread is cut: nobody crawls for ever.
const MOST: f64 = 8.0;
/// Hours after which slowing bends, as in [`crate::pacing::slowing`].
const BEND_S: f64 = 3.0 * S_PER_HOUR;
/// Pieces that the moving time is cut into: three quarters of an hour in a race of 30 h.
const PIECES: usize = 40;
/// Races drawn by one thread before it looks for more.
const BLOCK: usize = 32;
/// Steps of this part of 1 fill it most evenly, however many there are.
const GOLDEN: f64 = 0.618_033_988_749_894_9;

impl Process {
    pub(super) fn new(figures: &Figures, pacing: &Pacing, from: usize) -> Process {
        let stations = pacing.arrival_s.len();
        let first = from.min(stations.saturating_sub(1));
        let moving_s = |s: usize| pacing.arrival_s[s + 1] - pacing.departure_s[s];
        let stop_s = |s: usize| pacing.departure_s[s] - pacing.arrival_s[s];
        let whole_s: f64 = (0..stations - 1).map(moving_s).sum();
        let ahead_s: f64 = (first..stations - 1).map(moving_s).sum();
        let mut moved_s = 0.0;
        let segments: Vec<Segment> = (first..stations - 1)
            .map(|s| {
                moved_s += moving_s(s);
                Segment {
                    moved_share: moved_s / ahead_s,
                    stop_s: stop_s(s + 1),
                }
            })
            .collect();
        let log_hours = std::array::from_fn(|piece| {
            let share = (piece as f64 + 0.5) / PIECES as f64;
            let passed = segments.iter().filter(|s| s.moved_share <= share);
            let stopped_s: f64 = passed.map(|s| s.stop_s).sum();
            let at_s = pacing.departure_s[first] + ahead_s * share + stopped_s;
            (at_s / BEND_S).ln_1p()
        });
        let shape = ahead_s / whole_s / PIECES as f64 / (figures.bridge * figures.bridge);
        let finish_h = pacing.finish_s / S_PER_HOUR;
        let per_share = figures.steadiness(finish_h) / early_per_exponent(finish_h);
        let planned_s: f64 = (0..stations).map(stop_s).sum();
        let planned_ahead_s: f64 = (first + 1..stations).map(stop_s).sum();
        let unplanned_s = figures.unplanned_s(pacing.finish_s, planned_s) * ahead_s / whole_s;
        let start_s = pacing.departure_s[first];
        Process {
            first,
            start_s,
            finish_s: pacing.finish_s,
            segments,
            log_hours,
            noise: Gamma::new(shape, 1.0 / shape).ok(),
            fade: Fade {
                more: figures.fade_more * per_share,
                less: figures.fade_less * per_share,
            },
            unplanned: Unplanned {
                number: Poisson::new(unplanned_s / figures.mean_stop_s()).ok(),
                length_s: LogNormal::new(figures.stop_s.ln(), figures.stop_spread).ok(),
            },
            most_stopped_s: planned_ahead_s.max(0.5 * (pacing.finish_s - start_s)),
            planned_spread: figures.planned_spread,
        }
    }

    /// Draws every race from a stream of its own, so that threads cannot change the draws; once as
    /// it would be on target, and with a form of the day and its hours once more as that makes it.
    ///
    /// What decides most, fade and form, is spread evenly over all races instead of left to chance
    /// (a lattice of two dimensions, shifted by the seed): a thousand races then do for many.
    pub(super) fn races(&self, trials: &Trials, form: Option<(Form, &Hours)>) -> Races {
        let columns = self.segments.len();
        let stride = if form.is_some() { 2 * columns } else { columns };
        let count = trials.races.max(10);
        let shift: f64 = ChaCha8Rng::seed_from_u64(trials.seed).random();
        let mut arrival_s = vec![0.0; stride * count];
        let blocks = arrival_s.par_chunks_mut((stride * BLOCK).max(1));
        blocks.enumerate().for_each(|(block, rows)| {
            let mut draft = Draft {
                moved: [0.0; PIECES + 1],
                times: vec![(0.0, 0.0); columns],
                unplanned_s: Vec::new(),
            };
            for (index, row) in rows.chunks_exact_mut(stride).enumerate() {
                let race = block * BLOCK + index;
                let mut chance = ChaCha8Rng::seed_from_u64(trials.seed);
                chance.set_stream(1 + race as u64);
                let fade_share = (race as f64 + chance.random::<f64>()) / count as f64;
                self.draw(self.fade.exponent(fade_share), &mut chance, &mut draft);
                let (on_target, formed) = row.split_at_mut(columns);
                self.walk(&draft.times, None, on_target);
                if let Some((form, hours)) = form {
                    let form_share = (shift + race as f64 * GOLDEN).fract();
                    self.walk(&draft.times, Some((day(form, form_share), hours)), formed);
                }
            }
        });
        Races {
            columns,
            stride,
            arrival_s,
        }
    }

    /// The times of one race that finishes on target.
    fn draw(&self, exponent: f64, chance: &mut ChaCha8Rng, draft: &mut Draft) {
        for (piece, log_hours) in self.log_hours.iter().enumerate() {
            let noise = self.noise.map_or(1.0, |noise| noise.sample(chance));
            draft.moved[piece + 1] = draft.moved[piece] + (exponent * log_hours).exp() * noise;
        }
        let mut stopped_s = 0.0;
        for (segment, (_, stop_s)) in self.segments.iter().zip(&mut draft.times) {
            *stop_s = 0.0;
            if segment.stop_s > 0.0 {
                let z: f64 = StandardNormal.sample(chance);
                *stop_s = segment.stop_s * (self.planned_spread * z).exp();
                stopped_s += *stop_s;
            }
        }
        self.draw_unplanned(chance, &mut draft.unplanned_s);
        stopped_s += draft.unplanned_s.iter().map(|(_, s)| s).sum::<f64>();
        let stops = (self.most_stopped_s / stopped_s.max(1e-9)).min(1.0);
        let moving_s = self.finish_s - self.start_s - stops * stopped_s;
        let (mut before, all) = (0.0, draft.moved[PIECES]);
        for (segment, (way_s, stop_s)) in self.segments.iter().zip(&mut draft.times) {
            let moved = moved_at(&draft.moved, segment.moved_share);
            *way_s = moving_s * (moved - before) / all;
            *stop_s *= stops;
            before = moved;
        }
        for (segment, stop_s) in &draft.unplanned_s {
            draft.times[*segment].0 += stops * stop_s;
        }
    }

    /// Anywhere on the way, as often per hour of moving early on as late.
    fn draw_unplanned(&self, chance: &mut ChaCha8Rng, stops_s: &mut Vec<(usize, f64)>) {
        stops_s.clear();
        let (Some(number), Some(length_s)) = (self.unplanned.number, self.unplanned.length_s)
        else {
            return;
        };
        for _ in 0..number.sample(chance) as usize {
            let at: f64 = chance.random();
            let segment = self.segments.partition_point(|s| s.moved_share <= at);
            stops_s.push((
                segment.min(self.segments.len() - 1),
                length_s.sample(chance),
            ));
        }
    }

    /// Arrivals of a race, with the form of the day and what the hours then do.
    fn walk(&self, times: &[(f64, f64)], day: Option<(f64, &Hours)>, arrival_s: &mut [f64]) {
        let mut now_s = self.start_s;
        for (index, ((way_s, stop_s), arrival_s)) in times.iter().zip(arrival_s).enumerate() {
            let (form, hour) = day.map_or((1.0, 1.0), |(form, hours)| {
                (form, hours.ratio(self.first + index, now_s))
            });
            now_s += way_s * form * hour;
            *arrival_s = now_s;
            now_s += stop_s * form;
        }
    }
}

/// Moving time until a share of the planned one has passed, within a piece linear.
fn moved_at(moved: &[f64; PIECES + 1], share: f64) -> f64 {
    let at = (share * PIECES as f64).clamp(0.0, PIECES as f64);
    let piece = (at as usize).min(PIECES - 1);
    moved[piece] + (moved[piece + 1] - moved[piece]) * (at - piece as f64)
}

impl Fade {
    fn exponent(&self, share: f64) -> f64 {
        let t = spread(share);
        t * if t > 0.0 { self.more } else { self.less }
    }
}

/// The finish over the target for the share of races that finish before: a bell with two halves
/// of unequal width.
fn day(form: Form, share: f64) -> f64 {
    let early = form.early / (form.early + form.late);
    if share < early {
        (form.early * spread(0.5 * share / early)).exp()
    } else {
        (form.late * spread(0.5 + 0.5 * (share - early) / (1.0 - early))).exp()
    }
}

/// Student's t with 4 degrees of freedom, the value that a share lies below: bad days are very
/// bad. Closed form by Shaw 2006 (J Comput Finance 9(4):37-73).
fn spread(share: f64) -> f64 {
    let alpha = (4.0 * share * (1.0 - share)).clamp(1e-12, 1.0).sqrt();
    let t = 2.0 * ((alpha.acos() / 3.0).cos() / alpha - 1.0).max(0.0).sqrt();
    t.min(MOST).copysign(share - 0.5)
}
