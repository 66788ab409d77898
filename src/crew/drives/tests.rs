use super::*;
use crate::diagnostics::Spanned;

fn roads(drives: &[(&str, &str, f64)]) -> Roads {
    let drives: Vec<Drive> = drives
        .iter()
        .map(|(from, to, drive_s)| Drive {
            from: Spanned::unwritten((*from).to_owned()),
            to: Spanned::unwritten((*to).to_owned()),
            drive_s: *drive_s,
            who: None,
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
