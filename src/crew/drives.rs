//! How long the crew drives from one place to another.

use std::collections::{BTreeMap, BTreeSet};

use crate::inputs::crew_toml::Drive;

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
            let (from, to) = (key(&drive.from.value), key(&drive.to.value));
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
        let (from, to) = (key(from), key(to));
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

/// Places are the same but for case and outer spaces.
fn key(place: &str) -> String {
    place.trim().to_lowercase()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostics::Spanned;

    fn roads(drives: &[(&str, &str, f64)]) -> Roads {
        let drives: Vec<Drive> = drives
            .iter()
            .map(|(from, to, drive_s)| Drive {
                from: Spanned::unwritten((*from).to_owned()),
                to: Spanned::unwritten((*to).to_owned()),
                drive_s: *drive_s,
            })
            .collect();
        Roads::of(&drives)
    }

    #[test]
    fn a_detour_may_be_shorter_than_the_direct_road() {
        let roads = roads(&[
            ("Mill", "Pass", 90.0),
            ("Mill", "Bridge", 20.0),
            ("Pass", "bridge ", 30.0),
        ]);
        assert_eq!(roads.drive_s("Mill", "Pass"), Some(50.0));
        assert_eq!(roads.drive_s("Pass", "Mill"), Some(50.0));
        assert_eq!(roads.drive_s("mill", "Mill"), Some(0.0));
        assert_eq!(roads.drive_s("Mill", "Chapel"), None);
    }

    #[test]
    fn shortest_drives_are_those_of_every_path_tried() {
        use rand::{RngExt, SeedableRng};
        let mut rng = rand_chacha::ChaCha8Rng::seed_from_u64(7);
        for _ in 0..50 {
            // Floyd and Warshall's recurrence, written down anew, as the reference
            const N: usize = 6;
            let mut table = [[f64::INFINITY; N]; N];
            let mut drives = Vec::new();
            let names: Vec<String> = (0..N).map(|i| format!("place {i}")).collect();
            for (i, row) in table.iter_mut().enumerate() {
                row[i] = 0.0;
            }
            for _ in 0..7 {
                let (a, b) = (rng.random_range(0..N), rng.random_range(0..N));
                let minutes = f64::from(rng.random_range(5..90_u32));
                drives.push((names[a].as_str(), names[b].as_str(), minutes));
                table[a][b] = minutes.min(table[a][b]);
                table[b][a] = minutes.min(table[b][a]);
            }
            for via in 0..N {
                for a in 0..N {
                    for b in 0..N {
                        table[a][b] = table[a][b].min(table[a][via] + table[via][b]);
                    }
                }
            }
            let roads = roads(&drives);
            for a in 0..N {
                for b in 0..N {
                    let ours = roads.drive_s(&names[a], &names[b]).unwrap_or(f64::INFINITY);
                    assert!(ours == table[a][b], "{a} to {b}: {ours}, {}", table[a][b]);
                }
            }
        }
    }
}
