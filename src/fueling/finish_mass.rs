//! The mass at the finish of a runner who drinks and eats as planned.

use super::settled::RunnerRates;
use super::sweat::FUEL_AND_BREATH_KG_PER_KCAL;
use super::{FinishMass, SegmentNeed};

/// Half the width of the window, percent of body mass (our choice; between the ends of the range
/// for a runner in water balance lie 1.9 to 5.0 %, Hoffman, Goulet and Maughan 2018).
pub const WINDOW_PCT: f64 = 1.0;
/// A loss above this is looked at, percent.
pub const LARGE_LOSS_PCT: f64 = 5.0;

/// Mass that goes into the body over a race and out of it.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Turnover {
    /// Energy burned, kcal.
    pub energy_kcal: f64,
    /// Food eaten, without its water, kilograms.
    pub dry_food_kg: f64,
    /// Sweat, litres.
    pub sweat_l: f64,
    /// Urine, litres.
    pub urine_l: f64,
    /// Drunk, the water in food included, litres.
    pub fluid_l: f64,
}

impl Turnover {
    /// Mass lost, kilograms: burned fuel and breath, sweat and urine, less what was eaten and
    /// drunk.
    ///
    /// `0.00020 E - food + sweat + urine - fluid` after Cheuvront and Montain 2017 and Hoffman,
    /// Goulet and Maughan 2018 (10.1007/s40279-017-0782-3): in water balance only the water that
    /// glycogen sets free is sweated and not drunk again, and a runner of 68.8 kg loses 1.9 to 5.0
    /// % over 161 km. One who keeps the start mass has probably drunk too much.
    #[must_use]
    pub fn loss_kg(&self) -> f64 {
        FUEL_AND_BREATH_KG_PER_KCAL * self.energy_kcal - self.dry_food_kg
            + self.sweat_l
            + self.urine_l
            - self.fluid_l
    }
}

/// The mass at the finish by what is planned, and the window around it, whose low end is not below
/// no loss.
pub(super) fn expected(settled: &RunnerRates, segments: &[SegmentNeed]) -> FinishMass {
    let sum = |of: fn(&SegmentNeed) -> f64| -> f64 { segments.iter().map(of).sum() };
    let turnover = Turnover {
        energy_kcal: sum(|need| need.energy_kcal),
        dry_food_kg: sum(|need| need.carbs_g + need.protein_g) / 1000.0,
        sweat_l: sum(|need| need.sweat_l_per_h * need.hours),
        urine_l: settled.urine_l_per_h() * settled.race_h,
        fluid_l: sum(|need| need.fluid_ml) / 1000.0,
    };
    let (start_kg, expected_loss_kg) = (settled.body.mass_kg, turnover.loss_kg());
    let loss_pct = expected_loss_kg / start_kg * 100.0;
    FinishMass {
        start_kg,
        expected_loss_kg,
        loss_window_pct: (
            (loss_pct - WINDOW_PCT).max(0.0),
            (loss_pct + WINDOW_PCT).max(0.0),
        ),
    }
}
