//! What the scale should show at the finish of a runner who is in water balance.

use super::FinishMass;
use super::sweat::FUEL_AND_BREATH_KG_PER_KCAL;

/// Glycogen used up in a long race, kilograms, and the water it sets free, kilograms per kilogram:
/// the middle of 0.3 to 0.5 and of 1 to 3 (Hoffman, Goulet and Maughan 2018).
pub const GLYCOGEN_KG: f64 = 0.4;
/// See [`GLYCOGEN_KG`].
pub const WATER_PER_GLYCOGEN: f64 = 2.0;
/// Half the width of the window, percent of body mass (our choice; between the ends of the
/// published range lie 1.9 to 5.0 %).
pub const WINDOW_PCT: f64 = 1.0;
/// A loss above this is looked at, percent.
pub const LARGE_LOSS_PCT: f64 = 5.0;

/// Mass lost over a race although no water is missing, kilograms: burned fuel and breath, less
/// what was eaten dry, and the water that glycogen sets free.
///
/// `0.00020 E - food + glycogen * water per glycogen` after Hoffman, Goulet and Maughan 2018
/// (10.1007/s40279-017-0782-3) and Cheuvront and Montain 2017. A runner of 68.8 kg loses 1.9 to
/// 5.0 % over 161 km by it; one who keeps the start mass has probably drunk too much.
///
/// # Units
/// Energy in kcal, the rest in kilograms, food without its water.
#[must_use]
pub fn loss_at_water_balance_kg(
    energy_kcal: f64,
    dry_food_kg: f64,
    glycogen_kg: f64,
    water_per_glycogen: f64,
) -> f64 {
    FUEL_AND_BREATH_KG_PER_KCAL * energy_kcal - dry_food_kg + glycogen_kg * water_per_glycogen
}

/// Glycogen used, kilograms: [`GLYCOGEN_KG`], or less where the whole race burns less than it
/// holds (4 kcal/g).
#[must_use]
pub fn glycogen_used_kg(energy_kcal: f64) -> f64 {
    GLYCOGEN_KG.min(energy_kcal / 4000.0)
}

/// The expected mass at the finish and the window around it, whose low end is not below no loss.
pub(super) fn expected(start_kg: f64, energy_kcal: f64, dry_food_kg: f64) -> FinishMass {
    let expected_loss_kg = loss_at_water_balance_kg(
        energy_kcal,
        dry_food_kg,
        glycogen_used_kg(energy_kcal),
        WATER_PER_GLYCOGEN,
    );
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
