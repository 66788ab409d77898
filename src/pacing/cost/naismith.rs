//! The walkers' rule of 1892, kept to compare with.

use super::{CostModel, RangeInclusiveGradient, no_saving};

/// An hour for every 5 km and for every 600 m of climb.
pub(super) const MODEL: CostModel = CostModel {
    name: "naismith",
    about: "an hour for 5 km and an hour for 600 m of climb; descents as the level",
    source: "Naismith 1892, Scottish Mountaineering Club Journal 2:136",
    measured: RangeInclusiveGradient(0.0, 0.3),
    ratio,
    knows_cap: false,
    walk_saving: no_saving,
};

/// Hours for a distance and a climb.
#[must_use]
pub fn hours(distance_m: f64, climb_m: f64) -> f64 {
    distance_m / 5000.0 + climb_m / 600.0
}

fn ratio(gradient: f64, _downhill_cap: f64) -> f64 {
    let climb_m_per_m = gradient.clamp(0.0, 0.45);
    hours(1.0, climb_m_per_m) / hours(1.0, 0.0)
}
