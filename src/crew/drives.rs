//! Driving times of the crew from one place to another.

use std::collections::{BTreeMap, BTreeSet};

use crate::inputs::crew_toml::Drive;
use crate::words::{folded, same_name};

/// The roads the crew knows, good in both directions.
#[derive(Clone, Debug, Default)]
pub(super) struct Roads {
    /// Seconds to each neighbour, by place.
    roads: BTreeMap<String, Vec<(String, f64)>>,
}

impl Roads {
    /// The roads of a list of drives; a drive that takes no time or less is none.
    pub(super) fn of(drives: &[Drive]) -> Roads {
        let mut roads: BTreeMap<String, Vec<(String, f64)>> = BTreeMap::new();
        for drive in drives.iter().filter(|drive| drive.drive_s >= 0.0) {
            let (from, to) = (folded(&drive.from.value), folded(&drive.to.value));
            let there = (to.clone(), drive.drive_s);
            let back = (from.clone(), drive.drive_s);
            roads.entry(from).or_default().push(there);
            roads.entry(to).or_default().push(back);
        }
        Roads { roads }
    }

    /// The shortest drive between two places, seconds; `None` where no road is known.
    ///
    /// # Source
    /// Dijkstra 1959, Numerische Mathematik 1:269, over at most a few dozen places.
    pub(super) fn drive_s(&self, from: &str, to: &str) -> Option<f64> {
        let (from, to) = (folded(from), folded(to));
        let mut best: BTreeMap<&str, f64> = BTreeMap::from([(from.as_str(), 0.0)]);
        let mut settled: BTreeSet<&str> = BTreeSet::new();
        loop {
            let next = best
                .iter()
                .filter(|(place, _)| !settled.contains(*place))
                .min_by(|a, b| a.1.total_cmp(b.1));
            let (&place, &so_far_s) = next?;
            if place == to {
                return Some(so_far_s);
            }
            settled.insert(place);
            for (neighbour, drive_s) in self.roads.get(place).into_iter().flatten() {
                let there_s = so_far_s + drive_s;
                let known = best.entry(neighbour.as_str()).or_insert(f64::INFINITY);
                *known = known.min(there_s);
            }
        }
    }
}

/// The one at the wheel between two places, where the list of drives has that road and says it.
pub(super) fn driver(drives: &[Drive], from: &str, to: &str) -> Option<String> {
    let joins = |drive: &&Drive| {
        let ends = [&drive.from.value, &drive.to.value];
        let is = |a: &str, b: &str| same_name(ends[0], a) && same_name(ends[1], b);
        is(from, to) || is(to, from)
    };
    drives.iter().find(joins)?.who.clone()
}

#[cfg(test)]
mod tests;
