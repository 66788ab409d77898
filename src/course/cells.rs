//! Heights of an even grid, from the points of a route.

/// Points without heights between two that have one, farther apart than this, are bridged by a
/// straight line, metres: a smooth curve there would make up hills.
const LONGEST_CURVE_M: f64 = 125.0;

/// Each node's height, and whether it was seen or merely bridged.
pub(super) struct Cells {
    pub(super) height_m: Vec<f64>,
    /// 1 where a height was seen or the way is bridged straight, 0 where the smoother decides.
    pub(super) weight: Vec<f64>,
}

impl Cells {
    /// The mean of the line through the points over each cell where points are dense, the line
    /// itself where they are not. `known` does not fall in distance
    /// and is not empty.
    pub(super) fn over(known: &[(f64, f64)], nodes: usize, spacing_m: f64) -> Cells {
        let known = &merged(known);
        let line = RouteLine::through(known);
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
            let from = first.saturating_sub(1);
            let height_m = if after - first >= 2 && half_m > 0.0 {
                line.mean_m(at_m - half_m, at_m + half_m, from)
            } else {
                line.at_m(at_m, from)
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

/// The line through points, with its integral from the first one.
struct RouteLine<'a> {
    points: &'a [(f64, f64)],
    area: Vec<f64>,
}

impl<'a> RouteLine<'a> {
    fn through(points: &'a [(f64, f64)]) -> Self {
        let mut area = Vec::with_capacity(points.len());
        let mut so_far = 0.0;
        area.push(0.0);
        for pair in points.windows(2) {
            so_far += (pair[1].0 - pair[0].0) * (pair[0].1 + pair[1].1) / 2.0;
            area.push(so_far);
        }
        RouteLine { points, area }
    }

    /// The last point that is not beyond a distance, looked for from a point on that is not far
    /// before it; the first point where all are beyond.
    fn before(&self, along_m: f64, from: usize) -> usize {
        let ahead = self.points.iter().skip(from + 1);
        from + ahead.take_while(|p| p.0 <= along_m).count()
    }

    /// Height of the line; its ends go on level.
    fn at_m(&self, along_m: f64, from: usize) -> f64 {
        let before = self.before(along_m, from);
        let here = self.points[before];
        match self.points.get(before + 1) {
            Some(next) if along_m > here.0 => {
                here.1 + (next.1 - here.1) * (along_m - here.0) / (next.0 - here.0)
            }
            _ => here.1,
        }
    }

    fn mean_m(&self, from_m: f64, to_m: f64, from: usize) -> f64 {
        (self.area_to(to_m, from) - self.area_to(from_m, from)) / (to_m - from_m)
    }

    /// Under the line from the first point to a distance.
    fn area_to(&self, along_m: f64, from: usize) -> f64 {
        let before = self.before(along_m, from);
        let here = self.points[before];
        let mean_m = (here.1 + self.at_m(along_m, before)) / 2.0;
        self.area[before] + (along_m - here.0) * mean_m
    }
}
