//! How a runner slows down as the work adds up.

use crate::time::S_PER_HOUR;

/// Share of the moving time spent when a share of the effort is done: `share^fade`.
///
/// 1 is even effort; above it the start is faster than the end. Moving time in the top ten of
/// 100-km races fits 1.058 (Knechtle 2015, doi 10.2147/OAJSM.S79568); open splits of a 98-km
/// mountain race, stops included, 1.13 to 1.15.
#[must_use]
pub fn share_of_time(share_of_effort: f64, fade: f64) -> f64 {
    share_of_effort.clamp(0.0, 1.0).powf(fade)
}

/// The exponent for a target when the runner says nothing: 1.03 up to 4 h, 1.08 from 8 h on.
///
/// Linear between, so slowly that a later target is later everywhere along the course.
///
/// ```
/// use sutler::pacing::default_fade;
/// assert_eq!(default_fade(3.0 * 3600.0), 1.03);
/// assert_eq!(default_fade(24.0 * 3600.0), 1.08);
/// ```
#[must_use]
pub fn default_fade(finish_s: f64) -> f64 {
    const SHORT: (f64, f64) = (4.0, 1.03);
    const LONG: (f64, f64) = (8.0, 1.08);
    let share = ((finish_s / S_PER_HOUR - SHORT.0) / (LONG.0 - SHORT.0)).clamp(0.0, 1.0);
    if share >= 1.0 {
        LONG.1
    } else {
        SHORT.1 + share * (LONG.1 - SHORT.1)
    }
}
