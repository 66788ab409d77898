//! The way between two stations: how far, how high, how steep.

use super::climb::ClimbSums;
use super::profile::Profile;
use super::{Segment, Station};

/// A pitch is judged over this length, metres.
const PITCH_M: f64 = 500.0;
/// A slope is steep beyond this (rise over run).
const STEEP: f64 = 0.10;

/// One segment fewer than stations; climb and descent add up to those of the course.
pub(super) fn segments(profile: &Profile, sums: &ClimbSums, stations: &[Station]) -> Vec<Segment> {
    (stations.windows(2).enumerate())
        .map(|(from, pair)| segment(profile, sums, from, &pair[0], &pair[1]))
        .collect()
}

fn segment(
    profile: &Profile,
    sums: &ClimbSums,
    from: usize,
    here: &Station,
    there: &Station,
) -> Segment {
    let (from_m, to_m) = (here.distance_m, there.distance_m);
    let up_to = |m: f64| sums.at(m / profile.spacing_m);
    let (start, end) = (up_to(from_m), up_to(to_m));
    let knots = knots(profile, from_m, to_m);
    let length_m = to_m - from_m;
    let share_of = |is_steep: &dyn Fn(f64) -> bool| {
        let steep_m: f64 = (knots.windows(2))
            .filter(|pair| is_steep((pair[1].1 - pair[0].1) / (pair[1].0 - pair[0].0)))
            .map(|pair| pair[1].0 - pair[0].0)
            .sum();
        steep_m / length_m
    };
    let (steepest_up, steepest_down) = steepest(profile, &knots, from_m, to_m);
    Segment {
        from,
        length_m,
        official_length_m: there.official_m - here.official_m,
        climb_m: end.0 - start.0,
        descent_m: end.1 - start.1,
        steepest_up,
        steepest_down,
        share_above_10: share_of(&|gradient| gradient > STEEP),
        share_below_10: share_of(&|gradient| gradient < -STEEP),
        highest_m: knots.iter().map(|k| k.1).fold(f64::NEG_INFINITY, f64::max),
    }
}

/// Both ends and the nodes between them: distance and height, metres.
fn knots(profile: &Profile, from_m: f64, to_m: f64) -> Vec<(f64, f64)> {
    let spacing_m = profile.spacing_m;
    let first = (from_m / spacing_m).floor() as usize + 1;
    let inner = (first..profile.elevation_m.len())
        .map(|node| (node as f64 * spacing_m, profile.elevation_m[node]))
        .take_while(|(m, _)| *m < to_m)
        // An end may fall on a node but for rounding.
        .filter(|(m, _)| *m > from_m);
    let end = |m: f64| (m, profile.elevation_at_m(m));
    let mut knots = vec![end(from_m)];
    knots.extend(inner);
    knots.push(end(to_m));
    knots
}

/// Gradients of the steepest climbing and falling pitch. Between knots height is linear, so a
/// steepest pitch begins or ends at one.
fn steepest(profile: &Profile, knots: &[(f64, f64)], from_m: f64, to_m: f64) -> (f64, f64) {
    let pitch_m = PITCH_M.min(to_m - from_m);
    let (mut up, mut down) = (0.0_f64, 0.0_f64);
    for (m, _) in knots {
        for begin_m in [*m, m - pitch_m] {
            // not clamp: on a segment of one pitch rounding can put its ends the wrong way round
            let begin_m = begin_m.min(to_m - pitch_m).max(from_m);
            let rise_m =
                profile.elevation_at_m(begin_m + pitch_m) - profile.elevation_at_m(begin_m);
            up = up.max(rise_m / pitch_m);
            down = down.min(rise_m / pitch_m);
        }
    }
    (up, down)
}
