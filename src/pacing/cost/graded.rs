//! From the literature alone: uphill by metabolic cost, downhill by race records, walking where it
//! is cheaper.

use super::{CostModel, RangeInclusiveGradient, run_cost_j_per_kg_m};

/// Uphill energy, downhill race records with a cap, walking where it is cheaper.
pub(super) const MODEL: CostModel = CostModel {
    name: "graded",
    about: "climbs by measured energy cost, descents by race records, walking where cheaper",
    source: "Minetti et al. 2002 (climbs); Kay 2012 (descents); Giovanelli et al. 2016 (walking)",
    measured: RangeInclusiveGradient(-0.35, 0.45),
    ratio,
    knows_cap: true,
    walk_saving,
};

fn ratio(gradient: f64, downhill_cap: f64) -> f64 {
    if gradient >= 0.0 {
        run_cost_j_per_kg_m(gradient) / run_cost_j_per_kg_m(0.0)
    } else {
        downhill_ratio(gradient).max(1.0 / downhill_cap)
    }
}

/// Pace on a descent over pace on the level, from records of hill races.
///
/// Kay 2012, "Pace and critical gradient for hill runners: an analysis of race records", J Quant
/// Anal Sports: `1707 + 5656m + 32209m² − 3211m³ − 43635m⁴`, over its value on the level. The
/// quartic bends over below -0.35, so it is continued along its tangent there, down to -0.45.
#[must_use]
pub fn downhill_ratio(gradient: f64) -> f64 {
    const END: f64 = -0.35;
    const SLOPE_AT_END: f64 = -6.2021;
    let m = gradient.clamp(-0.45, 0.0);
    let inside = m.max(END);
    let quartic =
        1707.0 + inside * (5656.0 + inside * (32209.0 + inside * (-3211.0 - inside * 43635.0)));
    quartic / 1707.0 + (m - inside) * SLOPE_AT_END
}

/// Share of the time that walking saves over running on a climb at the same power.
///
/// Giovanelli, Ortiz, Henninger, Kram 2016, J Appl Physiol 120:370-375: at a fixed climb rate
/// walking is cheaper by 8.45 % at every angle steeper than 9.4° that they tried; taken up
/// linearly to 15.8°, above which they advise to walk.
#[must_use]
pub fn walk_saving(gradient: f64) -> f64 {
    let angle_deg = gradient.atan().to_degrees();
    0.0845 * ((angle_deg - 9.4) / 6.4).clamp(0.0, 1.0)
}
