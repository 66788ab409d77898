//! Energy burned: moving by the gradient cost, and standing all the time.

use crate::units::J_PER_KCAL;

/// Metabolism of a body that stands, kcal per kilogram and hour.
///
/// Between rest (3.5 ml/kg/min of oxygen in ACSM's metabolic equations, 1.05 kcal/kg/h at 5
/// kcal per litre) and standing quietly (1.3 times rest in the Compendium of Physical Activities,
/// from memory).
pub const STANDING_KCAL_PER_KG_H: f64 = 1.2;

/// Energy of standing, kcal.
#[must_use]
pub fn standing_kcal(hours: f64, mass_kg: f64) -> f64 {
    STANDING_KCAL_PER_KG_H * mass_kg * hours
}

/// Energy of moving, kcal: the cost of transport in joules per kilogram of body mass, and what the
/// body burns standing.
///
/// The cost of running by gradient (Minetti and others 2002, J. Appl. Physiol. 93:1039) is what
/// moving costs on top of standing (from memory), so the latter is added, as ACSM's equations add
/// rest. What a pack costs is left out.
///
/// ```
/// use sutler::fueling::energy::moving_kcal;
/// // an hour at 8 km/h on the level, 3.6 J/kg/m: 482 kcal and 84 for standing
/// assert!((moving_kcal(3.6 * 8000.0, 1.0, 70.0) - 565.8).abs() < 0.1);
/// ```
#[must_use]
pub fn moving_kcal(cost_j_per_kg: f64, hours: f64, mass_kg: f64) -> f64 {
    cost_j_per_kg * mass_kg / J_PER_KCAL + standing_kcal(hours, mass_kg)
}

/// Energy in carbohydrate or protein, kcal per gram (Atwater's general factors).
pub const KCAL_PER_G_CARB_OR_PROTEIN: f64 = 4.0;
