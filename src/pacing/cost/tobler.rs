//! The geographers' walking function, kept to compare with.

use super::{CostModel, RangeInclusiveGradient, no_saving};

/// Walking speed by an exponential of slope, fastest at -5 %.
pub(super) const MODEL: CostModel = CostModel {
    name: "tobler",
    about: "walking speed falls exponentially with slope, fastest at -5 %",
    source: "Tobler 1993, NCGIA Technical Report 93-1",
    measured: RangeInclusiveGradient(-0.5, 0.5),
    ratio,
    knows_cap: false,
    walk_saving: no_saving,
};

/// Walking speed on a path, km/h.
#[must_use]
pub fn speed_kmh(gradient: f64) -> f64 {
    6.0 * (-3.5 * (gradient + 0.05).abs()).exp()
}

fn ratio(gradient: f64, _downhill_cap: f64) -> f64 {
    speed_kmh(0.0) / speed_kmh(gradient.clamp(-0.5, 0.5))
}
