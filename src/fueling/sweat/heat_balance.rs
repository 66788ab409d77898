//! Sweat by heat balance: one steady-state step of ISO 7933 (predicted heat strain).

use super::{Body, Effort, HIGHEST_PREDICTED_L_PER_H};
use crate::time::S_PER_HOUR;

/// Rectal temperature of a runner at a steady effort, °C (our choice).
const CORE_C: f64 = 38.0;
/// Shorts and a T-shirt, clo (our choice).
const CLOTHING_CLO: f64 = 0.3;
/// Moisture permeability of ordinary clothing (ISO 7933).
const PERMEABILITY: f64 = 0.38;
/// The fastest air that the standard covers, m/s.
const FASTEST_AIR_MPS: f64 = 3.0;
/// Heat that a gram of sweat takes along on evaporating, J/g (Kerslake 1972).
const EVAPORATION_J_PER_G: f64 = 2430.0;
/// W/m² of a kcal per hour on a square metre.
const W_PER_KCAL_H: f64 = 1.1622;
/// Wettedness at which the standard's efficiency of sweating reaches zero.
const SOAKED: f64 = 1.7;

/// The result of a heat balance.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct HeatBalance {
    /// Evaporation that would keep the balance, W/m².
    pub required_w_per_m2: f64,
    /// The most that the air takes up, W/m².
    pub most_w_per_m2: f64,
    /// Mean skin temperature, °C.
    pub skin_c: f64,
    /// Temperature of the clothes' surface, °C.
    pub clothing_c: f64,
    /// Sweat, litres per hour.
    pub sweat_l_per_h: f64,
}

/// The steady heat balance of a runner in shorts and T-shirt, after ISO 7933:2004.
///
/// Air moves over the skin at [`Effort::air_mps`], held to 3 m/s; radiant temperature is
/// [`Effort::sun_k`] above air temperature; no work is done outside the body. Where more sweat
/// drips than evaporates the rate follows the standard's efficiency, and where the skin is soaked
/// it is the highest predicted at all. The standard's own ceiling for workers (400 to 500 W/m²)
/// is left out: runners are measured well above it.
///
/// Valid for 15 to 50 °C, 100 to 450 W/m² (from memory); extrapolated in the cold.
#[must_use]
pub fn heat_balance(body: Body, effort: Effort) -> HeatBalance {
    let area_m2 = body.area_m2();
    let metabolic = effort.energy_kcal_per_h * W_PER_KCAL_H / area_m2;
    let air_mps = effort.air_mps.clamp(0.0, FASTEST_AIR_MPS);
    let temp_c = effort.temp_c;
    let vapour_kpa = effort.humidity_pct / 100.0 * saturation_kpa(temp_c);

    let radiant_c = temp_c + effort.sun_k;
    let skin_c = skin_temperature_c((temp_c, radiant_c), vapour_kpa, air_mps, metabolic);
    let clothing = Clothing::in_moving_air(air_mps);
    let hc = convection(skin_c, temp_c, air_mps);
    let (clothing_c, hr) = clothing.surface(skin_c, (temp_c, radiant_c), hc);

    let expired_c = 28.56 + 0.115 * temp_c + 0.641 * vapour_kpa;
    let breath_dry = 0.001_516 * metabolic * (expired_c - temp_c);
    let breath_wet = 0.001_27 * metabolic * (59.34 + 0.53 * temp_c - 11.63 * vapour_kpa);
    let dry = clothing.area_factor * (hc * (clothing_c - temp_c) + hr * (clothing_c - radiant_c));

    let required = metabolic - breath_dry - breath_wet - dry;
    let most = (saturation_kpa(skin_c) - vapour_kpa) / clothing.vapour_resistance;
    HeatBalance {
        required_w_per_m2: required,
        most_w_per_m2: most,
        skin_c,
        clothing_c,
        sweat_l_per_h: sweat_l_per_h(required, most, area_m2),
    }
}

/// Sweat from required and greatest evaporation, W/m²: some of it drips once the skin is wet.
fn sweat_l_per_h(required: f64, most: f64, area_m2: f64) -> f64 {
    if required <= 0.0 {
        return 0.0;
    }
    let wettedness = required / most;
    if most <= 0.0 || wettedness >= SOAKED {
        return HIGHEST_PREDICTED_L_PER_H;
    }
    let efficiency = if wettedness <= 1.0 {
        1.0 - wettedness * wettedness / 2.0
    } else {
        (2.0 - wettedness).powi(2) / 2.0
    };
    let g_per_s = required / efficiency * area_m2 / EVAPORATION_J_PER_G;
    (g_per_s * S_PER_HOUR / 1000.0).min(HIGHEST_PREDICTED_L_PER_H)
}

/// Saturation vapour pressure, kPa (ISO 7933).
fn saturation_kpa(temp_c: f64) -> f64 {
    0.6105 * (17.27 * temp_c / (temp_c + 237.3)).exp()
}

/// Mean skin temperature, °C: between the standard's regressions for nude and clothed people.
fn skin_temperature_c(
    (temp_c, radiant_c): (f64, f64),
    vapour_kpa: f64,
    air_mps: f64,
    metabolic: f64,
) -> f64 {
    let nude = 7.191 + 0.064 * temp_c + 0.061 * radiant_c + 0.198 * vapour_kpa - 0.348 * air_mps
        + 0.616 * CORE_C;
    let clothed = 12.165 + 0.020_17 * temp_c + 0.043_61 * radiant_c + 0.193_54 * vapour_kpa
        - 0.253_15 * air_mps
        + 0.005_346 * metabolic
        + 0.512_74 * CORE_C;
    nude + 2.5 * (clothed - nude) * (CLOTHING_CLO - 0.2)
}

/// Convection, W/m²/K: free, or forced by moving air.
fn convection(skin_c: f64, temp_c: f64, air_mps: f64) -> f64 {
    let free = 2.38 * (skin_c - temp_c).abs().powf(0.25);
    let forced = if air_mps <= 1.0 {
        3.5 + 5.2 * air_mps
    } else {
        8.7 * air_mps.powf(0.6)
    };
    free.max(forced)
}

/// The effect of clothes on heat and vapour once air is pumped through them.
struct Clothing {
    /// Surface of the clothes over that of the skin.
    area_factor: f64,
    /// From the skin to the clothes' surface, m²K/W.
    insulation: f64,
    /// From the skin to the air, m²kPa/W.
    vapour_resistance: f64,
}

impl Clothing {
    /// Corrections of ISO 7933 for wind and walking; the runner's own speed is in the air speed,
    /// so it stands for both.
    fn in_moving_air(v: f64) -> Clothing {
        let area_factor = 1.0 + 0.3 * CLOTHING_CLO;
        let still_air = 0.111 / area_factor;
        let total = 0.155 * CLOTHING_CLO + still_air;
        let walk = v.min(1.5);
        let clothed =
            (1.044 * ((0.066 * v - 0.398) * v + (0.094 * walk - 0.378) * walk).exp()).min(1.0);
        let nude = (((0.047 * v - 0.472) * v + (0.117 * walk - 0.342) * walk).exp()).min(1.0);
        let both = ((0.6 - CLOTHING_CLO) * nude + CLOTHING_CLO * clothed) / 0.6;
        let moving = total * both;
        let permeability = (PERMEABILITY * ((2.6 * both - 6.5) * both + 4.9)).min(0.9);
        Clothing {
            area_factor,
            insulation: moving - nude * still_air,
            vapour_resistance: moving / permeability / 16.7,
        }
    }

    /// Temperature of the clothes' surface, °C, and radiation, W/m²/K, which depend on each other.
    fn surface(&self, skin_c: f64, (temp_c, radiant_c): (f64, f64), hc: f64) -> (f64, f64) {
        const KELVIN: f64 = 273.0;
        let radiant = radiant_c + KELVIN;
        let radiation = |clothing_c: f64| {
            // (a⁴ - b⁴) / (a - b), multiplied out so that a may equal b
            let surface = clothing_c + KELVIN;
            0.97 * 5.67e-8 * 0.77 * (surface + radiant) * (surface.powi(2) + radiant.powi(2))
        };
        let mut clothing_c = skin_c;
        let mut hr = radiation(clothing_c);
        // a contraction: radiation changes little with a degree, so this settles in a few rounds
        for _ in 0..50 {
            let (air, round) = (self.area_factor * hc, self.area_factor * hr);
            let within = 1.0 / self.insulation;
            let next =
                (air * temp_c + round * radiant_c + skin_c * within) / (air + round + within);
            let moved = (next - clothing_c).abs();
            clothing_c = next;
            hr = radiation(clothing_c);
            if moved < 1e-6 {
                break;
            }
        }
        (clothing_c, hr)
    }
}

#[cfg(test)]
#[path = "../tests/heat_balance.rs"]
mod tests;
