//! The jitter of a receiver: what it adds to the length of a track, and the length without it.
//!
//! Every fix is off by a few metres, so a track steps aside and back between points, and the sum
//! of its steps is longer than the way. A step of true length d whose ends differ by an error of
//! variance q across it is seen as d + q / (2 d) on average (the first terms of the root). What is
//! needed is q, apart from the bends of the path. Bends are smooth over a few points and vanish
//! from differences of a high order; jitter does not. It is taken as a first-order autoregression,
//! independent from axis to axis: the variance of a difference of any order follows from its
//! correlation ρ and its own variance (Box and Jenkins, *Time Series Analysis*, the
//! autocovariances σ²ρᵏ), so the sixth differences, with the second to tell ρ, give that of the
//! first.

use super::geodesy::{Spot, cross, dot, minus, norm};

/// Shares of the recorded step lengths that are way and not jitter.
pub(super) struct Jitter {
    /// Of each step, 1 where nothing is known against it.
    pub(super) shares: Vec<f64>,
    /// Deviation that jitter gives a step to each side, metres.
    pub(super) step_m: f64,
}

/// The share below which nothing is taken off: planned lines are rounded, and drawn by hand.
const NOTABLE: f64 = 0.01;
/// Steps longer than this say nothing about jitter, metres: between them a path may bend.
const LONGEST_STEP_M: f64 = 25.0;
/// Stretches of seven points that must be seen, and how many are looked at: enough for the
/// variances to be known to some 10 and 3 %.
const STRETCHES: std::ops::RangeInclusive<usize> = 500..=6000;
/// The variance of sixth differences over that of fifth ones: 3.6 to 3.67 for jitter, less for a
/// path that bends within a few points.
const RATIOS: std::ops::RangeInclusive<f64> = 3.4..=3.85;
/// The variance of sixth differences along the way over that across it: 1 for jitter, more for
/// points that are drawn unevenly, less for points set evenly on a bending line.
const ISOTROPIES: std::ops::RangeInclusive<f64> = 0.75..=1.33;
/// Steps to each side over which the true length of a step is judged.
const NEARBY: usize = 10;
/// No step loses more than this: a runner who stands has moved to get there.
const LEAST_SHARE: f64 = 0.5;

/// The jitter of a track, where it is there and adds something of note.
pub(super) fn of(spots: &[Spot], along_m: &[f64]) -> Option<Jitter> {
    let variance_m2 = step_variance_m2(spots, along_m)?;
    let shares = shares(along_m, variance_m2);
    let steps = along_m.windows(2).map(|pair| pair[1] - pair[0]);
    let way_m: f64 = steps
        .zip(&shares)
        .map(|(step_m, share)| step_m * share)
        .sum();
    (along_m.last()? / way_m - 1.0 >= NOTABLE).then(|| Jitter {
        shares,
        step_m: variance_m2.sqrt(),
    })
}

/// The variance of the error of a step across it, where that is jitter by all signs.
fn step_variance_m2(spots: &[Spot], along_m: &[f64]) -> Option<f64> {
    let stride = (spots.len() / STRETCHES.end()).max(1);
    let mut sixth = (Vec::new(), Vec::new());
    let (mut fifth_across, mut second_along) = (Vec::new(), Vec::new());
    for (stretch, along_m) in (spots.windows(7).zip(along_m.windows(7))).step_by(stride) {
        if along_m
            .windows(2)
            .any(|pair| pair[1] - pair[0] > LONGEST_STEP_M)
        {
            continue;
        }
        let Some((along, across)) = directions(stretch) else {
            continue;
        };
        let all = difference(stretch, &[1.0, -6.0, 15.0, -20.0, 15.0, -6.0, 1.0]);
        sixth.0.push(dot(all, along));
        sixth.1.push(dot(all, across));
        let most = difference(stretch, &[-1.0, 5.0, -10.0, 10.0, -5.0, 1.0, 0.0]);
        fifth_across.push(dot(most, across));
        let few = difference(stretch, &[0.0, 0.0, 1.0, -2.0, 1.0, 0.0, 0.0]);
        second_along.push(dot(few, along));
    }
    if sixth.0.len() < *STRETCHES.start() {
        return None;
    }
    let (along_m2, across_m2) = (variance(&mut sixth.0), variance(&mut sixth.1));
    let signs = RATIOS.contains(&(across_m2 / variance(&mut fifth_across)))
        && ISOTROPIES.contains(&(along_m2 / across_m2));
    let correlation = correlation(along_m2 / variance(&mut second_along));
    signs.then(|| across_m2 * of_difference(1, correlation) / of_difference(6, correlation))
}

/// Unit vectors along a stretch and across it, on the ground; `None` for a runner who stands.
fn directions(stretch: &[Spot]) -> Option<([f64; 3], [f64; 3])> {
    let unit = |v: [f64; 3]| {
        let length = norm(v);
        (length > 0.5).then(|| v.map(|part| part / length))
    };
    let (first, last) = (stretch.first()?, stretch.last()?);
    let along = unit(minus(last.xyz_m, first.xyz_m))?;
    let across = unit(cross(unit(first.xyz_m)?, along))?;
    Some((along, across))
}

fn difference(stretch: &[Spot], weights: &[f64; 7]) -> [f64; 3] {
    // from the first point on, for the centre of the earth is far away
    let origin = stretch[0].xyz_m;
    (stretch.iter().zip(weights)).fold([0.0; 3], |sum, (spot, weight)| {
        let here = minus(spot.xyz_m, origin);
        [0, 1, 2].map(|axis| sum[axis] + weight * here[axis])
    })
}

/// By the median, which a few bends and stray points do not move: that of the absolute value of a
/// normal deviate is 0.6745.
fn variance(values: &mut [f64]) -> f64 {
    values.iter_mut().for_each(|value| *value = value.abs());
    let middle = values.len() / 2;
    let (_, median, _) = values.select_nth_unstable_by(middle, f64::total_cmp);
    (*median / 0.6745).powi(2)
}

/// The variance of a difference of some order of jitter of variance 1: the binomial weights of the
/// order, against each other at every distance.
fn of_difference(order: i32, correlation: f64) -> f64 {
    let twice = 2 * order;
    let mut weight = 1.0;
    let mut sum = 0.0;
    for k in 0..=twice {
        // the weight is that of 2 m over k, the distance is that from the middle
        let apart = (k - order).abs();
        let sign = if apart % 2 == 0 { 1.0 } else { -1.0 };
        sum += sign * weight * correlation.powi(apart);
        weight *= f64::from(twice - k) / f64::from(k + 1);
    }
    sum
}

/// The correlation from point to point by the variance of sixth differences over that of second
/// ones, which is 154 for fresh errors and 127 to 126 from a correlation of 0.8 on. That is too
/// near for more than telling the two apart.
fn correlation(sixth_over_second: f64) -> f64 {
    if sixth_over_second > 142.0 { 0.0 } else { 0.9 }
}

/// Of each step, by the mean square of the steps around it.
fn shares(along_m: &[f64], variance_m2: f64) -> Vec<f64> {
    let steps = along_m.len().saturating_sub(1);
    let mut squares_m2 = Vec::with_capacity(along_m.len());
    let mut so_far_m2 = 0.0;
    squares_m2.push(0.0);
    for pair in along_m.windows(2) {
        so_far_m2 += (pair[1] - pair[0]).powi(2);
        squares_m2.push(so_far_m2);
    }
    (0..steps)
        .map(|step| {
            let (from, to) = (step.saturating_sub(NEARBY), (step + NEARBY + 1).min(steps));
            let mean_m2 = (squares_m2[to] - squares_m2[from]) / (to - from) as f64;
            let true_m2 = (mean_m2 - 2.0 * variance_m2).max(0.0);
            (2.0 * true_m2 / (2.0 * true_m2 + variance_m2)).max(LEAST_SHARE)
        })
        .collect()
}
