//! Points far from all others: what a receiver writes before it knows where it is.

use crate::diagnostics::{Diagnostic, Notes};
use crate::inputs::Inputs;

use super::geodesy::Spot;
use super::words::km;

/// A point farther than this from those beside it is no part of a way on foot, metres: nobody
/// draws a leg of such a length.
const FAR_M: f64 = 50_000.0;
/// Straight down from where both coordinates are 0, metres.
const NOWHERE_M: f64 = 1.0;

/// Leaves out single points far from both neighbours, which are near each other, and all at 0, 0
/// where the others are far from it. `points` are the spots with their index in the file.
pub(super) fn leave_out(points: &mut Vec<(usize, Spot)>, inputs: &Inputs, notes: &mut Notes) {
    let nowhere = Spot::new((0.0, 0.0));
    let is_nowhere = |spot: &Spot| spot.chord_m(&nowhere) <= NOWHERE_M;
    let others_are_far = (points.iter().find(|(_, spot)| !is_nowhere(spot)))
        .is_some_and(|(_, spot)| spot.chord_m(&nowhere) > FAR_M);
    let far = |a: usize, b: usize| points[a].1.chord_m(&points[b].1) > FAR_M;
    let is_stray = |i: usize| {
        let inner = i > 0 && i + 1 < points.len();
        others_are_far && is_nowhere(&points[i].1)
            || inner && far(i - 1, i) && far(i, i + 1) && !far(i - 1, i + 1)
    };
    let strays: Vec<usize> = (0..points.len()).filter(|i| is_stray(*i)).collect();
    let left = points.len() - strays.len();
    let Some(first) = strays.first().filter(|_| left >= 2) else {
        return;
    };
    let (index, spot) = points[*first];
    let beside_m = (points.iter().enumerate())
        .filter(|(i, _)| strays.binary_search(i).is_err())
        .map(|(_, (_, other))| other.chord_m(&spot))
        .fold(f64::INFINITY, f64::min);
    let place = format!("point {} at {}, {}", index + 1, spot.deg.0, spot.deg.1);
    let what = match strays.len() {
        1 => format!(
            "{place} lies {} from all others and is left out",
            km(beside_m)
        ),
        many => format!("{many} points lie far from all others and are left out, first {place}"),
    };
    notes.push(
        Diagnostic::warning(what)
            .at(inputs.track.span, "expected points along the way")
            .hint("a receiver writes such points before it knows where it is: delete them"),
    );
    let mut at = 0;
    points.retain(|_| {
        at += 1;
        strays.binary_search(&(at - 1)).is_err()
    });
}
