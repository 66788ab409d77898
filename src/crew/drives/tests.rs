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
    let drive_s = |from, to| roads.drive(from, to, &[]).map(|route| route.drive_s);
    assert_eq!(drive_s("Mill", "Pass"), Some(50.0));
    assert_eq!(drive_s("Pass", "Mill"), Some(50.0));
    assert_eq!(drive_s("mill", "Mill"), Some(0.0));
    assert_eq!(drive_s("Mill", "Chapel"), None);
}

/// Worked by hand.
#[test]
fn a_place_that_is_not_reached_is_driven_around_or_said() {
    let around = roads(&[
        ("Mill", "Pass", 90.0),
        ("Mill", "Bridge", 20.0),
        ("Pass", "Bridge", 30.0),
    ]);
    let route = around
        .drive("Mill", "Pass", &["bridge"])
        .expect("the direct road");
    assert_eq!((route.drive_s, route.passes("Bridge")), (90.0, false));
    let one_road = roads(&[("Mill", "Bridge", 20.0), ("Pass", "Bridge", 30.0)]);
    let route = one_road
        .drive("Mill", "Pass", &["Bridge"])
        .expect("the only road");
    assert_eq!((route.drive_s, route.passes("bridge")), (50.0, true));
    // both ends are no places passed
    let route = one_road
        .drive("Mill", "Bridge", &["Bridge"])
        .expect("there");
    assert_eq!((route.drive_s, route.passes("Bridge")), (20.0, false));
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
                let ours = roads.drive(&names[a], &names[b], &[]);
                let ours = ours.map_or(f64::INFINITY, |route| route.drive_s);
                assert!(ours == table[a][b], "{a} to {b}: {ours}, {}", table[a][b]);
            }
        }
    }
}
