//! For those who walk all of it: the speed that the same power gives on each slope.

use super::{CostModel, RangeInclusiveGradient, no_saving};

/// Military graded walking at constant power.
pub(super) const MODEL: CostModel = CostModel {
    name: "walking",
    about: "walking at constant power on every slope",
    source: "Looney et al. 2019, Med Sci Sports Exerc 51(9), graded walking equation",
    measured: RangeInclusiveGradient(-0.3, 0.3),
    ratio,
    knows_cap: true,
    walk_saving: no_saving,
};

/// The most economical walking speed on the level by this equation, metres per second.
const LEVEL_MPS: f64 = 1.39;

/// Metabolic power of walking, W per kg of body mass, resting included.
///
/// Looney et al. 2019: `1.44 + 1.94 S^0.43 + 0.24 S⁴ + 0.34 S G (1 − 1.05^(1 − 1.1^(G + 32)))`
/// with speed S in m/s and signed grade G in percent.
#[must_use]
pub fn power_w_per_kg(speed_mps: f64, gradient: f64) -> f64 {
    let grade_pct = gradient * 100.0;
    1.44 + 1.94 * speed_mps.powf(0.43)
        + 0.24 * speed_mps.powi(4)
        + 0.34 * speed_mps * grade_pct * (1.0 - 1.05_f64.powf(1.0 - 1.1_f64.powf(grade_pct + 32.0)))
}

/// Solved for the slope's speed by halving: power rises with speed wherever it can reach the
/// level's, and the fastest such speed is the one a walker takes.
fn ratio(gradient: f64, downhill_cap: f64) -> f64 {
    let slope = gradient.clamp(-0.45, 0.45);
    let target_w_per_kg = power_w_per_kg(LEVEL_MPS, 0.0);
    let (mut slow, mut fast) = (0.05, 3.0);
    for _ in 0..40 {
        let middle = 0.5 * (slow + fast);
        if power_w_per_kg(middle, slope) < target_w_per_kg {
            slow = middle;
        } else {
            fast = middle;
        }
    }
    (LEVEL_MPS / slow).max(1.0 / downhill_cap)
}
