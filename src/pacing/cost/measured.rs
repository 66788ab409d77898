//! The default: climbs by metabolic cost and descents by a floor and a steepness penalty, fitted to
//! recorded runs, because the treadmill's savings downhill are never seen on a hill.

use super::{CostModel, RangeInclusiveGradient, no_saving, run_cost_j_per_kg_m};

/// Uphill energy, downhill as recorded.
pub(super) const MODEL: CostModel = CostModel {
    name: "measured",
    about: "climbs by measured energy cost, all slopes as recorded on real runs",
    source: "Minetti et al. 2002; fit to 25 public recordings of 21-170 km",
    measured: RangeInclusiveGradient(-0.35, 0.45),
    ratio,
    knows_cap: true,
    // walking on climbs is inside what was recorded: taking it out again gained nothing
    walk_saving: no_saving,
};

/// Share of the treadmill's extra cost that climbs are seen to take.
const CLIMB_SHARE: f64 = 0.9;
/// Descents steeper than this take longer again: braking and footing.
const STEEP: f64 = -0.15;
/// Level metres more per metre, for each unit of gradient beyond [`STEEP`].
const STEEP_PENALTY: f64 = 4.0;

/// On climbs 0.9 of what `Cr(i) / Cr(0)` of Minetti 2002 has above 1; on descents that ratio, not
/// below `1 / downhill_cap`, and `4 · (−i − 0.15)` more beyond -15 %.
///
/// Fitted to pieces of 200 m to 1 km within runs, their slowing and their stops taken out, one
/// source left out at a time (climbs 0.8 to 1.0, steep descents 2 to 8). Climbs are run at more
/// power than the level: at 100 % of the ventilatory threshold against 89 % (Townshend 2010, Med
/// Sci Sports Exerc 42:160). Steep descents are seen to be quicker than race records have them,
/// back to level speed at -18 % (Kay 2012), and slow as the walkers' rule says of those over 12°
/// (Langmuir).
fn ratio(gradient: f64, downhill_cap: f64) -> f64 {
    let energy = run_cost_j_per_kg_m(gradient) / run_cost_j_per_kg_m(0.0);
    if gradient >= 0.0 {
        return 1.0 + CLIMB_SHARE * (energy - 1.0);
    }
    let steepness = (STEEP - gradient.max(-0.45)).max(0.0);
    energy.max(1.0 / downhill_cap) + STEEP_PENALTY * steepness
}
