//! Heights of the points of a route: which can be believed, and which are missing or wrong.

use crate::diagnostics::{Diagnostic, Notes};
use crate::inputs::Inputs;
use crate::words::count;

use super::route::Route;
use super::words::km;

/// Mends made to the heights of a route, so that reports can say them.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct HeightRepair {
    /// Points without a height, or zero-filled, that were interpolated.
    pub filled: usize,
    /// Points that jumped and were replaced.
    pub spikes: usize,
    /// True where there were no usable heights at all and the course is taken as flat.
    pub flat: bool,
    /// Turning points closer than this in height do not count as climb, metres.
    pub threshold_m: f64,
    /// Window over which heights were averaged, metres; 0 where they were not. For the penalised
    /// smoother that is used, the length of the plain average that damps noise as much.
    pub window_m: f64,
    /// By how much heights were stretched to meet the organiser's climb, where they were.
    pub stretch: Option<f64>,
}

/// Heights of dry land lie within these, metres, with room for the error of a receiver.
const LAND_M: std::ops::RangeInclusive<f64> = -500.0..=9000.0;
/// Nobody lives above this, metres, and no race stays above it all the way: such heights are feet.
/// The highest town, from memory, is at 5100 m.
const INHABITED_M: f64 = 5500.0;
/// A course whose other heights all lie farther than this from sea level does not touch it, so a
/// height of exactly 0 stands for none.
const CLEAR_OF_SEA_M: f64 = 30.0;
/// Near sea level, zeros stand for no height if the ground would fall to them
/// more steeply than this (rise over run) ...
const CLIFF: f64 = 0.3;
/// ... from more than this height, metres.
const CLIFF_TOP_M: f64 = 10.0;
/// No path that is run or hiked is steeper than this for long (rise over run, 45 degrees).
const STEEPEST: f64 = 1.0;
/// Two heights may differ by this in addition, metres: twice the error of a poor receiver.
const JITTER_M: f64 = 10.0;
/// A height is judged by its neighbours within this distance, metres ...
const NEIGHBOUR_M: f64 = 100.0;
/// ... of which at least and at most so many on each side.
const NEIGHBOURS: (usize, usize) = (5, 40);

/// Blanks every height that cannot be believed and says how many; `false` where none is left.
pub(super) fn repair(
    route: &mut Route,
    inputs: &Inputs,
    notes: &mut Notes,
) -> (HeightRepair, bool) {
    let points = route.height_m.len();
    for height in &mut route.height_m {
        *height = height.filter(|h| LAND_M.contains(h));
    }
    blank_zero_fill(&route.along_m, &mut route.height_m);
    let filled = route.height_m.iter().filter(|h| h.is_none()).count();
    let spikes = blank_spikes(&route.along_m, &mut route.height_m);
    let usable = points - filled - spikes.len();
    let at = inputs.track.span;
    if usable < 2 {
        notes.push(
            Diagnostic::warning("the route has no heights, so the course is taken as flat")
                .at(at, "expected a height for each point")
                .hint("export the route with heights, or add them from a terrain model"),
        );
        let repair = HeightRepair {
            filled: points,
            flat: true,
            ..HeightRepair::default()
        };
        return (repair, false);
    }
    let lowest_m = route.height_m.iter().flatten().copied().reduce(f64::min);
    if let Some(low_m) = lowest_m.filter(|m| *m > INHABITED_M) {
        notes.push(
            Diagnostic::warning(format!(
                "the lowest point of the route is {low_m:.0} m high: its heights are likely feet"
            ))
            .at(
                at,
                format!("expected metres, and a point below {INHABITED_M:.0} m"),
            )
            .hint("GPX holds metres: export it again with metric units, or divide by 3.281"),
        );
    }
    if filled > 0 {
        notes.push(
            Diagnostic::warning(format!(
                "{filled} of {} have no height or a 0 for none; heights between the others are used",
                count(points, "point")
            ))
            .at(at, "expected a height for each point"),
        );
    }
    if let Some(first) = spikes.first() {
        notes.push(
            Diagnostic::warning(format!(
                "{} jump where no path can, first at {}; heights between the others are used",
                count(spikes.len(), "height"),
                km(route.along_m.get(*first).copied().unwrap_or(0.0))
            ))
            .at(
                at,
                format!("expected slopes up to {:.0} %", 100.0 * STEEPEST),
            ),
        );
    }
    let repair = HeightRepair {
        filled,
        spikes: spikes.len(),
        ..HeightRepair::default()
    };
    (repair, true)
}

/// Some devices and planners write 0 where they know no height.
fn blank_zero_fill(along_m: &[f64], height_m: &mut [Option<f64>]) {
    let is_zero = |h: &Option<f64>| *h == Some(0.0);
    let nearest_sea = (height_m.iter().flatten().filter(|h| **h != 0.0))
        .map(|h| h.abs())
        .fold(f64::INFINITY, f64::min);
    let clear_of_sea = nearest_sea > CLEAR_OF_SEA_M; // also where all are zero
    let mut i = 0;
    while i < height_m.len() {
        if !is_zero(&height_m[i]) {
            i += 1;
            continue;
        }
        let end = i + height_m[i..].iter().take_while(|h| is_zero(h)).count();
        let cliff = |edge: usize, beside: Option<usize>| {
            let beside = beside.filter(|b| *b < height_m.len());
            beside
                .and_then(|b| height_m[b].map(|h| (b, h)))
                .is_some_and(|(b, h)| {
                    let run_m = (along_m[b] - along_m[edge]).abs();
                    h.abs() > CLIFF_TOP_M && h.abs() > CLIFF * run_m
                })
        };
        if clear_of_sea || cliff(i, i.checked_sub(1)) || cliff(end - 1, Some(end)) {
            height_m[i..end].fill(None);
        }
        i = end;
    }
}

/// A height that cannot be reached from most of its neighbours is a spike; returns which they are.
///
/// The vote lets a run of several wrong heights be seen as one excursion, and leaves both sides of
/// a lasting jump alone, where nothing tells which of them is right.
fn blank_spikes(along_m: &[f64], height_m: &mut [Option<f64>]) -> Vec<usize> {
    let known: Vec<(usize, f64, f64)> = (height_m.iter().enumerate())
        .filter_map(|(i, h)| h.map(|h| (i, along_m[i], h)))
        .collect();
    let spikes: Vec<usize> = (known.iter().enumerate())
        .filter(|(k, _)| is_spike(&known, *k))
        .map(|(_, (i, _, _))| *i)
        .collect();
    for i in &spikes {
        height_m[*i] = None;
    }
    spikes
}

fn is_spike(known: &[(usize, f64, f64)], k: usize) -> bool {
    let (_, here_m, height_m) = known[k];
    let in_reach = |near: usize, distance_m: f64| {
        near <= NEIGHBOURS.0 || near <= NEIGHBOURS.1 && distance_m <= NEIGHBOUR_M
    };
    let (mut asked, mut against) = (0, 0);
    let mut ask = |near: usize, along_m: f64, other_m: f64| {
        let distance_m = (along_m - here_m).abs();
        let in_reach = in_reach(near, distance_m);
        if in_reach {
            asked += 1;
            against += usize::from((other_m - height_m).abs() > JITTER_M + STEEPEST * distance_m);
        }
        in_reach
    };
    for (near, (_, along_m, other_m)) in known[..k].iter().rev().enumerate() {
        if !ask(near + 1, *along_m, *other_m) {
            break;
        }
    }
    for (near, (_, along_m, other_m)) in known[k + 1..].iter().enumerate() {
        if !ask(near + 1, *along_m, *other_m) {
            break;
        }
    }
    against * 2 > asked
}
