//! From which climb on hiking is no slower than running.

use super::Pacing;
use super::factors::walk_weight;

/// Climbs looked at: no trail is steeper for long.
const STEEPEST_PCT: u32 = 45;

impl Pacing {
    /// The gentlest climb, in whole percent, from which hiking is no slower at this plan's effort;
    /// `None` where there is none.
    ///
    /// Where half of a step is walked, by [`super::factors`], the two are as quick.
    #[must_use]
    pub fn hike_from_pct(&self) -> Option<u32> {
        let model = self.settings.cost;
        (1..=STEEPEST_PCT).find(|percent| {
            let gradient = f64::from(*percent) / 100.0;
            let ratio = (model.ratio)(gradient, self.settings.downhill_cap);
            walk_weight(self.level_speed_mps / ratio, gradient) >= 0.5
        })
    }
}
