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

use crate::inputs::course_toml::HeightSource;

/// Points without heights between two that have one, farther apart than this, are bridged by a
/// straight line, metres: a smooth curve there would make up hills.
const LONGEST_CURVE_M: f64 = 125.0;
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
    let cells = Cells::over(&merged(known), nodes, spacing_m);
    let least_m = match source {
        HeightSource::Satellite => SATELLITE_WINDOW_M,
        HeightSource::Unknown | HeightSource::Barometer | HeightSource::TerrainModel => 0.0,
    };
    let (mut best, mut chosen) = (f64::INFINITY, None);
    for window_m in WINDOWS_M.into_iter().filter(|w| *w >= least_m) {
        let strength = (window_m / (WINDOW_PER_LENGTH * spacing_m)).powi(4);
        let (smooth_m, misfit) = cells.smooth(strength);
        if misfit < best || chosen.is_none() {
            best = misfit;
            chosen = Some((
                smooth_m,
                if window_m > WINDOWS_M[0] {
                    window_m
                } else {
                    0.0
                },
            ));
        }
    }
    chosen.unwrap_or((vec![0.0; nodes], 0.0))
}

/// Heights taken on one spot, averaged: a runner who stands still is no proof that the spot's
/// height is certain.
fn merged(known: &[(f64, f64)]) -> Vec<(f64, f64)> {
    const SAME_SPOT_M: f64 = 0.5;
    let mut merged: Vec<(f64, f64)> = Vec::with_capacity(known.len());
    let mut so_far = 0.0;
    for (along_m, height_m) in known {
        match merged.last_mut() {
            Some(last) if along_m - last.0 < SAME_SPOT_M => {
                so_far += 1.0;
                last.1 += (height_m - last.1) / so_far;
            }
            _ => {
                so_far = 1.0;
                merged.push((*along_m, *height_m));
            }
        }
    }
    merged
}

/// What the points say about each node: a height, and whether it was seen or merely bridged.
struct Cells {
    height_m: Vec<f64>,
    weight: Vec<f64>,
}

impl Cells {
    /// The mean of the line through the points over each cell where points are dense, the line
    /// itself where they are not. `known` rises in distance and is not empty.
    fn over(known: &[(f64, f64)], nodes: usize, spacing_m: f64) -> Cells {
        let line = Line::through(known);
        let mut cells = Cells {
            height_m: Vec::with_capacity(nodes),
            weight: Vec::with_capacity(nodes),
        };
        let end_m = spacing_m * nodes.saturating_sub(1) as f64;
        let (mut first, mut after) = (0, 0); // points of the cell, one past the last
        for node in 0..nodes {
            let at_m = node as f64 * spacing_m;
            let half_m = (spacing_m / 2.0).min(at_m).min(end_m - at_m).max(0.0);
            while first < known.len() && known[first].0 < at_m - spacing_m / 2.0 {
                first += 1;
            }
            after = after.max(first);
            while after < known.len() && known[after].0 < at_m + spacing_m / 2.0 {
                after += 1;
            }
            let height_m = if after - first >= 2 && half_m > 0.0 {
                line.mean_m(at_m - half_m, at_m + half_m)
            } else {
                line.at_m(at_m)
            };
            // `first` and `first - 1` are the points on both sides of an empty cell.
            let bridged_m = match (first.checked_sub(1), known.get(first)) {
                (Some(before), Some(next)) => next.0 - known[before].0,
                _ => f64::INFINITY,
            };
            let curve = after == first && bridged_m <= LONGEST_CURVE_M;
            cells.height_m.push(height_m);
            cells.weight.push(if curve { 0.0 } else { 1.0 });
        }
        cells
    }

    /// The smooth heights that minimise `sum weight (height - smooth)² + strength sum (second
    /// difference)²`, and minus twice the restricted log-likelihood of that strength.
    ///
    /// The equations have five diagonals; they are solved by LDLᵀ, row by row.
    fn smooth(&self, strength: f64) -> (Vec<f64>, f64) {
        let n = self.height_m.len();
        if n < 3 {
            return (self.height_m.clone(), 0.0);
        }
        // Rows of L below the diagonal, and D.
        let (mut near, mut far, mut pivot) = (vec![0.0; n + 2], vec![0.0; n + 2], vec![0.0; n]);
        let mut smooth_m = vec![0.0; n];
        let mut log_det = 0.0;
        for i in 0..n {
            let from_end = i.min(n - 1 - i);
            let own = penalty_diagonal(from_end, n);
            let (pivot_1, smooth_1) = if i >= 1 {
                (pivot[i - 1], smooth_m[i - 1])
            } else {
                (1.0, 0.0)
            };
            let (pivot_2, smooth_2) = if i >= 2 {
                (pivot[i - 2], smooth_m[i - 2])
            } else {
                (1.0, 0.0)
            };
            far[i] = if i >= 2 { strength / pivot_2 } else { 0.0 };
            let beside = if i >= 1 {
                strength * penalty_beside(i, n)
            } else {
                0.0
            };
            near[i] = if i >= 2 {
                (beside - far[i] * pivot_2 * near[i - 1]) / pivot_1
            } else {
                beside / pivot_1
            };
            pivot[i] = self.weight[i] + strength * own
                - near[i] * near[i] * pivot_1
                - far[i] * far[i] * pivot_2;
            log_det += pivot[i].ln();
            smooth_m[i] =
                self.weight[i] * self.height_m[i] - near[i] * smooth_1 - far[i] * smooth_2;
        }
        for i in (0..n).rev() {
            let (next, next_but_one) = (
                if i + 1 < n { smooth_m[i + 1] } else { 0.0 },
                if i + 2 < n { smooth_m[i + 2] } else { 0.0 },
            );
            smooth_m[i] = smooth_m[i] / pivot[i] - near[i + 1] * next - far[i + 2] * next_but_one;
        }
        let seen: f64 = self.weight.iter().sum();
        let free = (seen - 2.0).max(1.0);
        let rest: f64 = (self.weight.iter().zip(&self.height_m).zip(&smooth_m))
            .map(|((w, h), s)| w * h * (h - s))
            .sum();
        let noise_sq = (rest / free).max(RESOLUTION_SQ);
        let misfit = free * noise_sq.ln() + log_det - (n - 2) as f64 * strength.ln();
        (smooth_m, misfit)
    }
}

/// The diagonal of the product of the second-difference matrix with itself.
fn penalty_diagonal(from_end: usize, n: usize) -> f64 {
    match (from_end, n) {
        (1, 3) => 4.0,
        (0, _) => 1.0,
        (1, _) => 5.0,
        _ => 6.0,
    }
}

/// The diagonal beside it, between row `i - 1` and row `i`.
fn penalty_beside(i: usize, n: usize) -> f64 {
    if i == 1 || i == n - 1 { -2.0 } else { -4.0 }
}

/// The line through points, with its integral from the first one.
struct Line<'a> {
    points: &'a [(f64, f64)],
    area: Vec<f64>,
}

impl<'a> Line<'a> {
    fn through(points: &'a [(f64, f64)]) -> Self {
        let mut area = Vec::with_capacity(points.len());
        let mut so_far = 0.0;
        area.push(0.0);
        for pair in points.windows(2) {
            so_far += (pair[1].0 - pair[0].0) * (pair[0].1 + pair[1].1) / 2.0;
            area.push(so_far);
        }
        Line { points, area }
    }

    /// Where a distance falls: the point before it, and the share of the way to the next.
    fn place(&self, along_m: f64) -> f64 {
        let after = self.points.partition_point(|p| p.0 <= along_m);
        match (after.checked_sub(1), self.points.get(after)) {
            (None, _) => 0.0,
            (Some(before), None) => before as f64,
            (Some(before), Some(next)) => {
                let from_m = self.points[before].0;
                before as f64 + (along_m - from_m) / (next.0 - from_m)
            }
        }
    }

    fn at_m(&self, along_m: f64) -> f64 {
        let place = self.place(along_m);
        let before = place as usize;
        let next = (before + 1).min(self.points.len() - 1);
        let (from, to) = (self.points[before].1, self.points[next].1);
        from + (to - from) * (place - before as f64)
    }

    fn mean_m(&self, from_m: f64, to_m: f64) -> f64 {
        (self.area_to(to_m) - self.area_to(from_m)) / (to_m - from_m)
    }

    /// Under the line from the first point to a distance; ends go on level.
    fn area_to(&self, along_m: f64) -> f64 {
        let before = self.place(along_m) as usize;
        let (from_m, height_m) = self.points[before];
        self.area[before] + (along_m - from_m) * (height_m + self.at_m(along_m)) / 2.0
    }
}
