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

/// A drive.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct DriveRoute {
    /// Its duration, seconds.
    pub(super) drive_s: f64,
    /// The places it passes, as they are compared, the last one first.
    through: Vec<String>,
}

impl DriveRoute {
    /// True where it passes a place.
    pub(super) fn passes(&self, place: &str) -> bool {
        self.through.contains(&folded(place))
    }
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

    /// The shortest drive between two places that passes none the crew does not get to; where there
    /// is none, the shortest of all. `None` where no road is known.
    pub(super) fn drive(&self, from: &str, to: &str, blocked: &[&str]) -> Option<DriveRoute> {
        let blocked: Vec<String> = blocked.iter().map(|place| folded(place)).collect();
        let free = |place: &str| !blocked.iter().any(|other| other == place);
        self.shortest(from, to, free)
            .or_else(|| self.shortest(from, to, |_| true))
    }

    /// The shortest drive that passes only through places that are open.
    ///
    /// # Source
    /// Dijkstra 1959, Numerische Mathematik 1:269, over at most a few dozen places.
    fn shortest(&self, from: &str, to: &str, is_open: impl Fn(&str) -> bool) -> Option<DriveRoute> {
        let (from, to) = (folded(from), folded(to));
        let mut best: BTreeMap<&str, (f64, &str)> = BTreeMap::from([(from.as_str(), (0.0, ""))]);
        let mut settled: BTreeSet<&str> = BTreeSet::new();
        loop {
            let next = best
                .iter()
                .filter(|(place, _)| !settled.contains(*place))
                .min_by(|a, b| a.1.0.total_cmp(&b.1.0));
            let (&place, &(drive_s, before)) = next?;
            if place == to {
                let mut through = Vec::new();
                let mut at = before;
                while !at.is_empty() && at != from {
                    through.push(at.to_owned());
                    at = best[at].1;
                }
                return Some(DriveRoute { drive_s, through });
            }
            settled.insert(place);
            if place != from && !is_open(place) {
                continue;
            }
            for (neighbour, road_s) in self.roads.get(place).into_iter().flatten() {
                let there_s = drive_s + road_s;
                let known = best.entry(neighbour.as_str());
                let known = known.or_insert((f64::INFINITY, place));
                if there_s < known.0 {
                    *known = (there_s, place);
                }
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
