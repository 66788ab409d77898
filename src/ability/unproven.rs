//! The finish of a runner of whom nothing is known: what the course alone, or its former field, says.

use crate::course::Course;

use super::field::Field;
use super::spread::Spread;

/// Naismith's rule for a day on the hills (Scottish Mountaineering Club Journal 2:136, 1892): an hour
/// for every three miles, as usually rounded, and another for every 2000 feet of ascent.
const LEVEL_M_PER_H: f64 = 5000.0;
const CLIMB_M_PER_H: f64 = 600.0;

/// Finishes as shares of Naismith's time: one in ten is faster, half are, one in ten is slower.
///
/// Of 15,148 finishes of 42 km and more in public race results; who does not finish is not in them.
/// The middle is 0.56 to 0.72 for any length up to 180 km, level or steep.
const SHARES: [f64; 3] = [0.47, 0.63, 0.84];

/// The hours that Naismith's rule gives, in seconds.
///
/// ```
/// // 20 km with 1600 m of climb take 6 h 40 min
/// let taken_s = sutler::ability::naismith_s(20_000.0, 1600.0);
/// assert!((taken_s - (6.0 * 60.0 + 40.0) * 60.0).abs() < 1.0);
/// ```
#[must_use]
pub fn naismith_s(length_m: f64, climb_m: f64) -> f64 {
    3600.0 * (length_m / LEVEL_M_PER_H + climb_m / CLIMB_M_PER_H)
}

/// The finish of anybody who finishes: of the former field where it is known, else of any race so
/// long and steep.
#[must_use]
pub fn unproven(course: &Course, field: Option<&Field>) -> Spread {
    let [early_s, likely_s, late_s] = match field {
        Some(field) => [0.1, 0.5, 0.9].map(|share| field.at_share(share)),
        None => {
            let segments = course.segments.iter();
            let (length_m, climb_m) = segments.fold((0.0, 0.0), |(length_m, climb_m), segment| {
                (
                    length_m + segment.official_length_m,
                    climb_m + segment.climb_m,
                )
            });
            SHARES.map(|share| share * naismith_s(length_m, climb_m))
        }
    };
    Spread::between(
        likely_s,
        (likely_s / early_s).ln().max(0.0),
        (late_s / likely_s).ln().max(0.0),
    )
}
