//! Lines on a map: the way beside itself, and heads of arrows.

/// A point of a picture, or race time and distance, or degrees.
pub(super) type Point = (f64, f64);

/// The way out and the way back over the same ground lie side by side, this far from the middle.
const ASIDE: f64 = 2.4;

/// The way aside of itself, to the right of its direction, so that out and back are two lines.
pub(super) fn aside(way: &[Point]) -> Vec<Point> {
    const REACH: usize = 3;
    let shifted = |index: usize| {
        let before = way[index.saturating_sub(REACH)];
        let after = way[(index + REACH).min(way.len() - 1)];
        let (dx, dy) = (after.0 - before.0, after.1 - before.1);
        let length = (dx * dx + dy * dy).sqrt();
        let (x, y) = way[index];
        if length < 1e-9 {
            return (x, y);
        }
        (x - dy / length * ASIDE, y + dx / length * ASIDE)
    };
    (0..way.len()).map(shifted).collect()
}

/// The head of an arrow at a point of a way; nothing where the way stands still.
pub(super) fn arrow(way: &[Point], at: usize, long: f64) -> Option<[Point; 3]> {
    let before = way.get(at.checked_sub(1)?)?;
    let tip = way.get(at + 1).or_else(|| way.get(at))?;
    let (dx, dy) = (tip.0 - before.0, tip.1 - before.1);
    let length = (dx * dx + dy * dy).sqrt();
    if length < 1e-6 {
        return None;
    }
    let (ux, uy) = (dx / length * long, dy / length * long);
    let foot = (tip.0 - ux, tip.1 - uy);
    Some([
        *tip,
        (foot.0 - 0.45 * uy, foot.1 + 0.45 * ux),
        (foot.0 + 0.45 * uy, foot.1 - 0.45 * ux),
    ])
}
