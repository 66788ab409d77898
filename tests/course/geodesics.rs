//! Distances on the ellipsoid against published worked examples and other libraries.

use geo::{Distance, Geodesic, Point};
use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

use sutler::course::distance_m;

use crate::support::reference::{self, Row};

fn ours_m(row: &Row) -> f64 {
    distance_m(
        (row.number("lat1"), row.number("lon1")),
        (row.number("lat2"), row.number("lon2")),
    )
}

#[test]
fn published_examples() {
    let rows = reference::rows("geodesic_published.csv");
    assert!(rows.len() >= 6);
    for row in rows {
        row.assert_near("distance_m", ours_m(&row), row.number("tolerance_m"));
    }
}

/// A chord for an arc of up to 1 km is short by (1 km / 6357 km)² / 24 = 1.03e-9 of it; the table
/// prints 0.1 micrometre, and earth-centred coordinates resolve a few nanometres.
#[test]
fn another_library_from_centimetres_to_kilometres_and_at_the_poles() {
    let rows = reference::rows("geodesic_library.csv");
    assert!(rows.len() >= 100);
    for row in rows {
        let tolerance_m = 1.1e-9 * row.number("distance_m") + 2e-7;
        row.assert_near("distance_m", ours_m(&row), tolerance_m);
    }
}

/// The way for short steps against the exact one, everywhere on earth.
#[test]
fn short_steps_agree_with_the_exact_geodesic() {
    const RELATIVE: f64 = 1e-6; // a tenth of a metre on 100 km
    let mut rng = ChaCha8Rng::seed_from_u64(3);
    let mut uniform =
        |from: f64, to: f64| from + (to - from) * (f64::from(rng.next_u32()) / f64::from(u32::MAX));
    let mut compared = 0;
    for _ in 0..3000 {
        let from = (uniform(-89.9, 89.9), uniform(-180.0, 180.0));
        let reach_deg = 0.006;
        let to = (
            from.0 + uniform(-reach_deg, reach_deg),
            from.1 + uniform(-reach_deg, reach_deg),
        );
        let exact_m = Geodesic.distance(Point::new(from.1, from.0), Point::new(to.1, to.0));
        if (1.0..1000.0).contains(&exact_m) {
            compared += 1;
            let ours_m = distance_m(from, to);
            assert!(
                (ours_m - exact_m).abs() <= RELATIVE * exact_m,
                "{from:?} {to:?}: {ours_m} {exact_m}"
            );
        }
    }
    assert!(compared > 2000);
}

/// The distance does not jump where the method changes.
#[test]
fn no_jump_at_a_kilometre() {
    let north = |m: f64| (46.0 + m / 111_150.0, 8.0);
    let (below, above) = (
        distance_m(north(0.0), north(999.999)),
        distance_m(north(0.0), north(1001.0)),
    );
    let per_degree = (above - below) / (1001.0 - 999.999);
    let mean = below / 999.999;
    assert!(
        (per_degree / mean - 1.0).abs() < 1e-5,
        "{per_degree} {mean}"
    );
}
