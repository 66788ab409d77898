//! The limit from which a need counts as met.

use super::choose::{CARBS_BAND, SODIUM_BAND};

/// Missing less than this is rounding to whole servings on a short stretch, not a shortfall: half a
/// gel (26 g, Zhang and others 2015, doi 10.1123/ijsnem.2014-0215).
const CARBS_ROUNDING_G: f64 = 13.0;
/// The same for sodium: well below what a capsule or sachet of salt holds.
const SODIUM_ROUNDING_MG: f64 = 150.0;

/// True where a need for carbohydrate is met, or all but.
pub(super) fn carbs_met(have_g: f64, need_g: f64) -> bool {
    have_g >= need_g * (1.0 - CARBS_BAND) || need_g - have_g < CARBS_ROUNDING_G
}

/// True where a need for sodium is met, or all but.
pub(super) fn sodium_met(have_mg: f64, need_mg: f64) -> bool {
    have_mg >= need_mg * (1.0 - SODIUM_BAND) || need_mg - have_mg < SODIUM_ROUNDING_MG
}
