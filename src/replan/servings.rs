//! Servings compared and added up.

use crate::packing::{Pickup, Serving};

/// Servings that come into the runner's hands at a supply point, for whichever stretch.
pub(crate) fn taken_up(pickup: &Pickup) -> Vec<Serving> {
    let here = |serving: &&Serving| serving.at == pickup.station;
    let all = pickup
        .take
        .iter()
        .filter(here)
        .chain(pickup.for_later.iter().filter(here))
        .chain(&pickup.here);
    sums(all.cloned())
}

/// Servings of the same food and source added up, in order of first mention.
pub(super) fn sums(servings: impl Iterator<Item = Serving>) -> Vec<Serving> {
    let mut sums: Vec<Serving> = Vec::new();
    for serving in servings {
        match sums.iter_mut().find(|sum| same(sum, &serving)) {
            Some(sum) => sum.count += serving.count,
            None => sums.push(serving),
        }
    }
    sums
}

/// Servings that one list has beyond another.
pub(crate) fn beyond(one: &[Serving], other: &[Serving]) -> Vec<Serving> {
    one.iter()
        .filter_map(|serving| {
            let there = other.iter().find(|s| same(s, serving));
            let count = serving.count.saturating_sub(there.map_or(0, |s| s.count));
            (count > 0).then(|| Serving {
                count,
                ..serving.clone()
            })
        })
        .collect()
}

/// True where two servings are of the same food from the same source.
pub(super) fn same(one: &Serving, other: &Serving) -> bool {
    (&one.food, one.source) == (&other.food, other.source)
}
