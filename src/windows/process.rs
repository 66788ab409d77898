//! One simulated race after another.

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, Gamma, LogNormal, Poisson, StandardNormal};
use rayon::prelude::*;

use crate::pacing::Pacing;
use crate::time::S_PER_HOUR;

use super::figures::{Figures, Form, early_per_exponent};
use super::hours::Hours;
use super::{Races, Trials};

/// The plan as chance sees it.
pub(super) struct Process {
    /// Index of the first segment that is simulated.
    first: usize,
    start_s: f64,
    finish_s: f64,
    segments: Vec<Segment>,
    fade: Fade,
    unplanned: Unplanned,
    /// Most of the time that may go into stops, seconds.
    most_stopped_s: f64,
    planned_spread: f64,
}

struct Segment {
    /// Where its planned moving time ends within that of all segments, 0 to 1.
    moved_share: f64,
    /// `ln(1 + t / 3 h)` on entering and on leaving.
    log_hours: (f64, f64),
    /// Slow and fast stretches, around 1; `None` is neither.
    noise: Option<Gamma<f64>>,
    /// The stop planned at its end, seconds.
    stop_s: f64,
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
        let log_hours = |at_s: f64| (at_s / BEND_S).ln_1p();
        let mut moved_s = 0.0;
        let segments = (first..stations - 1)
            .map(|s| {
                moved_s += moving_s(s);
                let shape = moving_s(s) / whole_s / (figures.bridge * figures.bridge);
                Segment {
                    moved_share: moved_s / ahead_s,
                    log_hours: (
                        log_hours(pacing.departure_s[s]),
                        log_hours(pacing.arrival_s[s + 1]),
                    ),
                    noise: Gamma::new(shape, 1.0 / shape).ok(),
                    stop_s: stop_s(s + 1),
                }
            })
            .collect();
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
            let mut times = vec![(0.0, 0.0); columns];
            for (index, row) in rows.chunks_exact_mut(stride).enumerate() {
                let race = block * BLOCK + index;
                let mut chance = ChaCha8Rng::seed_from_u64(trials.seed);
                chance.set_stream(1 + race as u64);
                let fade_share = (race as f64 + chance.random::<f64>()) / count as f64;
                self.draw(self.fade.exponent(fade_share), &mut chance, &mut times);
                let (on_target, formed) = row.split_at_mut(columns);
                self.walk(&times, None, on_target);
                if let Some((form, hours)) = form {
                    let form_share = (shift + race as f64 * GOLDEN).fract();
                    self.walk(&times, Some((day(form, form_share), hours)), formed);
                }
            }
        });
        Races {
            columns,
            stride,
            arrival_s,
        }
    }

    /// One race that finishes on target: per segment the seconds between two stations, and those
    /// stopped at the second.
    fn draw(&self, exponent: f64, chance: &mut ChaCha8Rng, times: &mut [(f64, f64)]) {
        let mut moving_s = 0.0;
        for (segment, (way_s, stop_s)) in self.segments.iter().zip(&mut *times) {
            let noise = segment.noise.map_or(1.0, |noise| noise.sample(chance));
            *way_s = segment.faded_s(exponent) * noise;
            *stop_s = 0.0;
            if segment.stop_s > 0.0 {
                let z: f64 = StandardNormal.sample(chance);
                *stop_s = segment.stop_s * (self.planned_spread * z).exp();
            }
            moving_s += *way_s;
        }
        let unplanned_s: Vec<(usize, f64)> = self.unplanned_stops(chance);
        let stopped_s: f64 = times.iter().map(|(_, stop_s)| stop_s).sum::<f64>()
            + unplanned_s.iter().map(|(_, s)| s).sum::<f64>();
        let stops = (self.most_stopped_s / stopped_s.max(1e-9)).min(1.0);
        let ways = (self.finish_s - self.start_s - stops * stopped_s) / moving_s;
        for (way_s, stop_s) in &mut *times {
            *way_s *= ways;
            *stop_s *= stops;
        }
        for (segment, stop_s) in unplanned_s {
            times[segment].0 += stops * stop_s;
        }
    }

    /// Anywhere on the way, as often per hour of moving early on as late.
    fn unplanned_stops(&self, chance: &mut ChaCha8Rng) -> Vec<(usize, f64)> {
        let (Some(number), Some(length_s)) = (self.unplanned.number, self.unplanned.length_s)
        else {
            return Vec::new();
        };
        (0..number.sample(chance) as usize)
            .map(|_| {
                let at: f64 = chance.random();
                let segment = self.segments.partition_point(|s| s.moved_share <= at);
                (
                    segment.min(self.segments.len() - 1),
                    length_s.sample(chance),
                )
            })
            .collect()
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

impl Segment {
    /// Its planned moving time when the race slows by this much more than planned, up to a factor
    /// that all segments share: the integral of `(1 + t / 3 h)^exponent`.
    fn faded_s(&self, exponent: f64) -> f64 {
        let (from, to) = self.log_hours;
        let power = 1.0 + exponent;
        if power.abs() < 1e-6 {
            return to - from;
        }
        ((power * to).exp() - (power * from).exp()) / power
    }
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
