//! Where and when it is dark.

use crate::conditions::Conditions;

/// No race meets more nights than this.
const MOST: usize = 80;

/// The dark hours at one spot, seconds after the start, cut to a span of time.
pub(super) fn at(conditions: &Conditions, distance_m: f64, to_s: f64) -> Vec<(f64, f64)> {
    let mut found = Vec::new();
    let (mut from_s, mut dark) = (0.0, conditions.is_dark(distance_m, 0.0));
    while from_s < to_s && found.len() < MOST {
        let next_s = conditions.next_dark_change_s(distance_m, from_s);
        if dark {
            found.push((from_s, next_s.min(to_s)));
        }
        (from_s, dark) = (next_s, !dark);
    }
    found
}

/// Stretches of a line on which something holds, from its values at even steps.
pub(super) fn runs(holds: &[bool]) -> Vec<(usize, usize)> {
    let mut found: Vec<(usize, usize)> = Vec::new();
    for (index, _) in holds.iter().enumerate().filter(|(_, held)| **held) {
        match found.last_mut() {
            Some((_, end)) if *end == index => *end = index + 1,
            _ => found.push((index, index + 1)),
        }
    }
    found
}
