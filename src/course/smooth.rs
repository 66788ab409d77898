//! Heights on the even grid: averaged per cell, then smoothed by as much as their own roughness
//! calls for, so that the gradient of one grid step means something.
//!
//! # Source
//! A penalised least-squares smoother on second differences: Whittaker, "On a new method of
//! graduation", Proc. Edinburgh Math. Soc. 41 (1923) 63-75; Eilers, "A perfect smoother", Anal.
//! Chem. 75 (2003) 3631-3636, doi 10.1021/ac034173t. Its strength is the one of a few for which
//! the residual likelihood of the heights is greatest (restricted maximum likelihood: Patterson
//! and Thompson, Biometrika 58 (1971) 545-554), taking noise as independent from cell to cell and
//! the ground as a slope that changes at random. Noise that keeps its sign over more than two or
//! three cells looks like ground and stays; the threshold of the climb is for that.

use rayon::prelude::*;

use crate::inputs::course_toml::HeightSource;

use super::cells::Cells;

/// Windows that are tried, metres; the first one leaves grid cells as they are.
const WINDOWS_M: [f64; 8] = [20.0, 30.0, 40.0, 55.0, 75.0, 100.0, 125.0, 150.0];
/// Heights of satellite fixes alone are averaged over at least this, metres (common practice, no
/// source).
const SATELLITE_WINDOW_M: f64 = 50.0;
/// The smoother of strength s on cells of d metres damps independent noise as much as a plain
/// average over 3.771 d s^(1/4): its kernel has the transform 1 / (1 + w^4), whose square
/// integrates to 3π/(4√2).
const WINDOW_PER_LENGTH: f64 = 3.771;
/// Heights are written to a decimetre at best: a fit that is nearer says nothing, metres squared.
const RESOLUTION_SQ: f64 = 0.03 * 0.03;

/// Heights of a row of nodes, and the window that was chosen (0 where cells were left alone).
pub(super) fn heights_on_grid(
    known: &[(f64, f64)],
    nodes: usize,
    spacing_m: f64,
    source: HeightSource,
) -> (Vec<f64>, f64) {
    let cells = Cells::over(known, nodes, spacing_m);
    let least_m = match source {
        HeightSource::Satellite => SATELLITE_WINDOW_M,
        HeightSource::Unknown | HeightSource::Barometer | HeightSource::TerrainModel => 0.0,
    };
    let tried: Vec<(f64, Vec<f64>, f64)> = (WINDOWS_M.into_par_iter())
        .filter(|window_m| *window_m >= least_m)
        .map(|window_m| {
            let strength = (window_m / (WINDOW_PER_LENGTH * spacing_m)).powi(4);
            let (smooth_m, misfit) = smooth(&cells, strength);
            (misfit, smooth_m, window_m)
        })
        .collect();
    let best = tried.into_iter().min_by(|a, b| a.0.total_cmp(&b.0));
    let (_, smooth_m, window_m) = best.unwrap_or((0.0, vec![0.0; nodes], 0.0));
    let averaged = window_m > WINDOWS_M[0];
    (smooth_m, if averaged { window_m } else { 0.0 })
}

/// The smooth heights that minimise `sum weight (height - smooth)² + strength sum (second
/// difference)²`, and minus twice the restricted log-likelihood of that strength.
///
/// The equations have five diagonals; they are solved by LDLᵀ, row by row.
fn smooth(cells: &Cells, strength: f64) -> (Vec<f64>, f64) {
    let n = cells.height_m.len();
    if n < 3 {
        return (cells.height_m.clone(), 0.0);
    }
    let mut rows = Vec::with_capacity(n);
    let mut smooth_m = Vec::with_capacity(n);
    let (mut log_det, mut product) = (0.0, 1.0);
    let (mut before, mut before_2) = (BandRow::default(), BandRow::default());
    let (mut height_1, mut height_2) = (0.0, 0.0);
    for (i, (weight, height_m)) in cells.weight.iter().zip(&cells.height_m).enumerate() {
        let [own, beside, next_but_one] = penalty_row(i, n).map(|entry| entry * strength);
        let far = next_but_one * before_2.over_pivot;
        let rest = beside - next_but_one * before.near;
        let near = rest * before.over_pivot;
        let pivot = weight + own - near * rest - far * next_but_one;
        (before_2, before) = (
            before,
            BandRow {
                near,
                far,
                over_pivot: 1.0 / pivot,
            },
        );
        let reduced_m = weight * height_m - near * height_1 - far * height_2;
        (height_2, height_1) = (height_1, reduced_m);
        rows.push(before);
        smooth_m.push(reduced_m);
        // One logarithm for several pivots, whose product stays far from overflow.
        product *= pivot;
        if i % 8 == 7 {
            log_det += f64::ln(product);
            product = 1.0;
        }
    }
    log_det += product.ln();
    let (mut after, mut after_2) = (BandRow::default(), BandRow::default());
    let (mut height_1, mut height_2) = (0.0, 0.0);
    for (height_m, row) in smooth_m.iter_mut().zip(&rows).rev() {
        *height_m = *height_m * row.over_pivot - after.near * height_1 - after_2.far * height_2;
        (height_2, height_1) = (height_1, *height_m);
        (after_2, after) = (after, *row);
    }
    let seen: f64 = cells.weight.iter().sum();
    let free = (seen - 2.0).max(1.0);
    let rest: f64 = (cells.weight.iter().zip(&cells.height_m).zip(&smooth_m))
        .map(|((w, h), s)| w * h * (h - s))
        .sum();
    let noise_sq = (rest / free).max(RESOLUTION_SQ);
    let misfit = free * noise_sq.ln() + log_det - (n - 2) as f64 * strength.ln();
    (smooth_m, misfit)
}

/// A row of L below the diagonal, and the inverse of that of D.
#[derive(Clone, Copy, Default)]
struct BandRow {
    near: f64,
    far: f64,
    over_pivot: f64,
}

/// Row `i` of the product of the second-difference matrix with itself: its diagonal, and the two
/// entries left of it.
fn penalty_row(i: usize, n: usize) -> [f64; 3] {
    let own = match (i.min(n - 1 - i), n) {
        (1, 3) => 4.0,
        (0, _) => 1.0,
        (1, _) => 5.0,
        _ => 6.0,
    };
    let beside = match i {
        0 => 0.0,
        _ if i == 1 || i == n - 1 => -2.0,
        _ => -4.0,
    };
    [own, beside, if i < 2 { 0.0 } else { 1.0 }]
}
