//! The default: climbs by metabolic cost, descents by a floor and a steepness penalty that were
//! fitted to recorded runs, because the treadmill's savings downhill are never seen on a hill.

use super::{CostModel, RangeInclusiveGradient, no_saving, run_cost_j_per_kg_m};

/// Uphill energy, downhill as recorded.
pub(super) const MODEL: CostModel = CostModel {
    name: "measured",
    about: "climbs by measured energy cost, descents as recorded on real runs",
    source: "Minetti et al. 2002 (climbs); fit to 25 public recordings of 21-170 km (descents)",
    measured: RangeInclusiveGradient(-0.35, 0.45),
    ratio,
    knows_cap: true,
    // walking on climbs is inside what was recorded: taking it out again gained nothing
    walk_saving: no_saving,
};

/// Descents steeper than this take longer again: braking and footing.
const STEEP: f64 = -0.15;
/// Level metres more per metre, for each unit of gradient beyond [`STEEP`].
const STEEP_PENALTY: f64 = 8.0;

/// `Cr(i) / Cr(0)` of Minetti 2002, on descents not below `1 / downhill_cap`, and
/// `8 · (−i − 0.15)` more beyond -15 %.
///
/// The penalty agrees with race records, which are back to level speed at -18 % (Kay 2012), and
/// with the walkers' rule that descents over 12° cost time (Langmuir). Fits that left out one
/// source of recordings at a time gave 5.4 to 9.8.
fn ratio(gradient: f64, downhill_cap: f64) -> f64 {
    let energy = run_cost_j_per_kg_m(gradient) / run_cost_j_per_kg_m(0.0);
    if gradient >= 0.0 {
        return energy;
    }
    let steepness = (STEEP - gradient.max(-0.45)).max(0.0);
    energy.max(1.0 / downhill_cap) + STEEP_PENALTY * steepness
}
