//! Sweat by energy, skin area and air temperature.

use super::{Body, HIGHEST_PREDICTED_L_PER_H};

/// Sweat rate, litres per hour, by a fit to the published predictions for runners of 50, 70 and
/// 90 kg at 8.5 to 15 km/h in 18 and 28 °C (Montain, Cheuvront and Sawka 2006, Br. J. Sports Med.
/// 40:98; the table also stands in Sawka and others 2007; its values are recalled from memory).
///
/// `0.001336 EE + A (-0.1357 + 0.00564 (T - 18))` with energy in kcal/h and skin area in m²; the
/// 24 values lie within 0.010 L/h of it. Energy by ACSM's equation for running, heights 1.62, 1.75
/// and 1.85 m. Extrapolated outside 18 to 28 °C and 477 to 1444 kcal/h; knows no humidity, sun or
/// wind. Held between 0 and the highest rate predicted at all.
///
/// ```
/// use sutler::fueling::sweat::{Body, table_fit_l_per_h};
/// let body = Body { mass_kg: 70.0, height_m: 1.75 };
/// assert!((table_fit_l_per_h(body, 480.0, 20.0) - 0.412).abs() < 0.002);
/// ```
#[must_use]
pub fn table_fit_l_per_h(body: Body, energy_kcal_per_h: f64, temp_c: f64) -> f64 {
    let per_m2 = -0.1357 + 0.005_64 * (temp_c - 18.0);
    (0.001_336 * energy_kcal_per_h + body.area_m2() * per_m2).clamp(0.0, HIGHEST_PREDICTED_L_PER_H)
}
