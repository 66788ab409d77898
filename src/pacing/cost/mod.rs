//! Cost of slopes: the time of a metre there over that on the level; one file per model, one line each
//! in [`BUILT_IN`].

mod graded;
mod measured;
mod minetti;
mod naismith;
mod tobler;
mod walking;

use std::ops::RangeInclusive;

pub use graded::{downhill_ratio, walk_saving};
pub use minetti::{run_cost_j_per_kg_m, walk_cost_j_per_kg_m};
pub use naismith::hours as naismith_hours;
pub use tobler::speed_kmh as tobler_kmh;
pub use walking::power_w_per_kg as walking_power_w_per_kg;

/// A published rule for time against slope.
#[derive(Clone, Copy, Debug)]
pub struct CostModel {
    /// As written in a plan's `cost_model`.
    pub name: &'static str,
    /// One line for help and reports.
    pub about: &'static str,
    /// The source of the formula.
    pub source: &'static str,
    /// Gradients (rise over run) it was measured on; it is held constant in speed beyond them.
    pub measured: RangeInclusiveGradient,
    /// Time per metre over time per level metre at a gradient, for a cap on how much a descent
    /// speeds one up. 1 on the level, positive and continuous everywhere.
    pub ratio: fn(gradient: f64, downhill_cap: f64) -> f64,
    /// True where it heeds that cap.
    pub knows_cap: bool,
    /// Share of that time saved by walking where the climb is slow enough to walk.
    pub walk_saving: fn(gradient: f64) -> f64,
}

/// A range of gradients that can stand in a constant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RangeInclusiveGradient(pub f64, pub f64);

impl RangeInclusiveGradient {
    /// As a range.
    #[must_use]
    pub fn range(self) -> RangeInclusive<f64> {
        self.0..=self.1
    }
}

/// Every model a plan can name; the first is the default.
pub const BUILT_IN: &[CostModel] = &[
    measured::MODEL,
    graded::MODEL,
    walking::MODEL,
    naismith::MODEL,
    tobler::MODEL,
];

/// The model of a name.
#[must_use]
pub fn by_name(name: &str) -> Option<&'static CostModel> {
    BUILT_IN.iter().find(|model| model.name == name)
}

/// For models that know one gait only.
fn no_saving(_gradient: f64) -> f64 {
    0.0
}
