//! The needs of one segment: its stop and its way, each at its own sweat rate.

use crate::conditions::wind_chill_c;
use crate::exposure::{Exposure, Spell};

use super::caffeine::{DoseChance, Taken, kept, spread};
use super::energy::{moving_kcal, standing_kcal};
use super::heat::{heat_index_c, wbgt_shade_c, wbgt_sun_c};
use super::needs::MOST_FLUID_L_PER_H;
use super::settled::{RunnerRates, USUAL_WEATHER};
use super::sweat::{Effort, SweatRate, more_in_sun_l_per_h, relative_air_mps, sun_k};
use super::{SegmentNeed, SweatSource};

/// Facts that findings need beyond the needs themselves.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Detail {
    /// Fluid on the move as the formula has it, L/h.
    pub(super) wanted_l_per_h: f64,
    /// Fluid on the move after the ceiling, L/h.
    pub(super) planned_l_per_h: f64,
    /// Sodium by fluid before it was held to the loss, mg.
    pub(super) wanted_sodium_mg: f64,
    /// Highest heat index, °C.
    pub(super) heat_index_c: Option<f64>,
}

/// The loss of the body on a segment: sweat and energy of its stop and of its way.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Strain {
    stop_h: f64,
    moving_h: f64,
    stop: SweatRate,
    moving: SweatRate,
    energy_kcal: f64,
}

impl Strain {
    pub(super) fn of(exposure: &Exposure, settled: &RunnerRates) -> Strain {
        let mass_kg = settled.body.mass_kg;
        let (stop_h, moving_h) = (exposure.stop_h(), exposure.moving_h());
        let moving_kcal = moving_kcal(exposure.cost_j_per_kg, moving_h, mass_kg);
        let stop_kcal = standing_kcal(stop_h, mass_kg);
        Strain {
            stop_h,
            moving_h,
            stop: mean_sweat(&exposure.stop, settled, stop_kcal / stop_h, false),
            moving: mean_sweat(&exposure.moving, settled, moving_kcal / moving_h, true),
            energy_kcal: moving_kcal + stop_kcal,
        }
    }

    fn hours(&self) -> f64 {
        self.stop_h + self.moving_h
    }

    /// Sweat of both, averaged over the time.
    fn sweat(&self) -> SweatRate {
        let mean = |of: fn(&SweatRate) -> f64| {
            let total = of(&self.stop) * self.stop_h + of(&self.moving) * self.moving_h;
            if self.hours() > 0.0 {
                total / self.hours()
            } else {
                0.0
            }
        };
        SweatRate {
            l_per_h: mean(|rate| rate.l_per_h),
            either_way_l_per_h: mean(|rate| rate.either_way_l_per_h),
            in_sun_l_per_h: mean(|rate| rate.in_sun_l_per_h),
        }
    }

    /// Fluid at a multiple of what the formula has, litres: at the stop and on the way.
    fn fluid_l(&self, settled: &RunnerRates, times: f64) -> (f64, f64) {
        let rate = |sweat: SweatRate| {
            let wanted = times * settled.fluid_l_per_h(sweat.l_per_h);
            let most = MOST_FLUID_L_PER_H.min(settled.held_l_per_h(sweat.l_per_h));
            wanted.min(sweat.l_per_h).min(most)
        };
        (
            rate(self.stop) * self.stop_h,
            rate(self.moving) * self.moving_h,
        )
    }
}

/// The multiple of what the formula has at which the race comes to what the runner says to drink;
/// what sweat leaves out of reach stays out of reach.
pub(super) fn fluid_times(strains: &[Strain], settled: &RunnerRates) -> f64 {
    let Some(habit_l_per_h) = settled.fluid_habit_l_per_h else {
        return 1.0;
    };
    const ROUNDS: usize = 12;
    let habit_l = habit_l_per_h * settled.race_h;
    let mut times = 1.0;
    for _ in 0..ROUNDS {
        let both = strains.iter().map(|strain| strain.fluid_l(settled, times));
        let planned_l: f64 = both.map(|(stop_l, way_l)| stop_l + way_l).sum();
        if planned_l <= 0.0 {
            break;
        }
        times *= habit_l / planned_l;
    }
    times
}

/// Needs of one segment; caffeine is added later, for it depends on all of them.
pub(super) fn need(
    exposure: &Exposure,
    strain: &Strain,
    settled: &RunnerRates,
    times: f64,
) -> (SegmentNeed, Detail) {
    let (stop_l, way_l) = strain.fluid_l(settled, times);
    let hours = strain.hours();
    let rate = strain.sweat();
    let fluid_l = stop_l + way_l;
    let sodium_loss_mg = rate.l_per_h * hours * settled.sweat_sodium_mg_per_l;
    let wanted_sodium_mg = fluid_l * settled.drink_sodium_mg_per_l;
    let wanted_l_per_h = settled.fluid_l_per_h(strain.moving.l_per_h);
    let weather = Extremes::of(exposure);
    let need = SegmentNeed {
        hours,
        sweat_l_per_h: rate.l_per_h,
        sweat_band_l_per_h: rate.band_l_per_h(),
        fluid_ml: fluid_l * 1000.0,
        way_ml: way_l * 1000.0,
        carry_ml: carry_l(strain, settled, way_l) * 1000.0,
        sodium_mg: wanted_sodium_mg.min(sodium_loss_mg),
        sodium_loss_mg,
        carbs_g: settled.carbs_g_per_h.planned * hours,
        protein_g: settled.protein_g_per_h * hours,
        energy_kcal: strain.energy_kcal,
        caffeine_mg: 0.0,
        temp_c: weather.mean_temp_c,
        coldest_c: weather.coldest_c,
        wbgt_c: weather.wbgt_c,
        wind_chill_c: weather.wind_chill_c,
    };
    let detail = Detail {
        wanted_l_per_h,
        planned_l_per_h: if strain.moving_h > 0.0 {
            way_l / strain.moving_h
        } else {
            0.0
        },
        wanted_sodium_mg,
        heat_index_c: weather.heat_index_c,
    };
    (need, detail)
}

/// Fluid to leave with, litres: what would be drunk at the upper end of the sweat band, no less
/// than is planned; or what the plan adds to that, where it names a reserve.
fn carry_l(strain: &Strain, settled: &RunnerRates, way_l: f64) -> f64 {
    if let Some(reserve_share) = settled.reserve_share {
        return way_l * (1.0 + reserve_share);
    }
    let (_, upper_l_per_h) = strain.moving.band_l_per_h();
    let most_l_per_h = settled.fluid_l_per_h(upper_l_per_h).min(MOST_FLUID_L_PER_H);
    (most_l_per_h * strain.moving_h).max(way_l)
}

/// Sweat averaged over steps by their time; nothing where there is no time.
fn mean_sweat(steps: &[Spell], settled: &RunnerRates, kcal_per_h: f64, moving: bool) -> SweatRate {
    let hours: f64 = steps.iter().map(|step| step.hours).sum();
    let mut sum = SweatRate::default();
    if hours <= 0.0 {
        return sum;
    }
    for step in steps {
        let weather = step.weather.unwrap_or(USUAL_WEATHER);
        let sunny = step.sun_up && weather.rain_mm_per_h <= 0.0;
        let effort = Effort {
            energy_kcal_per_h: kcal_per_h,
            temp_c: weather.temp_c,
            humidity_pct: weather.humidity_pct,
            air_mps: relative_air_mps(step.speed_mps, weather.wind_kmh),
            sun_k: if sunny { sun_k(weather.temp_c) } else { 0.0 },
        };
        let rate = if moving {
            settled.sweat.moving(effort)
        } else {
            settled.sweat.standing(effort)
        };
        sum.l_per_h += rate.l_per_h * step.hours / hours;
        sum.either_way_l_per_h += rate.either_way_l_per_h * step.hours / hours;
        // own measurements were made in whatever sun there was
        if sunny && settled.sweat.source() == SweatSource::Predicted {
            let more = more_in_sun_l_per_h(settled.body, weather.temp_c, rate.l_per_h);
            sum.in_sun_l_per_h += more * step.hours / hours;
        }
    }
    sum
}

/// The weather of a segment at its worst.
#[derive(Default)]
struct Extremes {
    mean_temp_c: Option<f64>,
    coldest_c: Option<f64>,
    wbgt_c: Option<f64>,
    wind_chill_c: Option<f64>,
    heat_index_c: Option<f64>,
}

impl Extremes {
    fn of(exposure: &Exposure) -> Extremes {
        let mut worst = Extremes::default();
        let (mut degree_hours, mut hours) = (0.0, 0.0);
        for step in exposure.steps() {
            let Some(weather) = step.weather else {
                continue;
            };
            let (temp_c, rh) = (weather.temp_c, weather.humidity_pct);
            degree_hours += temp_c * step.hours;
            hours += step.hours;
            let wbgt = if step.sun_up {
                wbgt_sun_c
            } else {
                wbgt_shade_c
            };
            worst.wbgt_c = highest(worst.wbgt_c, wbgt(temp_c, rh));
            worst.heat_index_c = highest(worst.heat_index_c, heat_index_c(temp_c, rh));
            worst.coldest_c = lowest(worst.coldest_c, temp_c);
            if let Some(chill_c) = wind_chill_c(temp_c, weather.wind_kmh) {
                worst.wind_chill_c = lowest(worst.wind_chill_c, chill_c);
            }
        }
        worst.mean_temp_c = (hours > 0.0).then(|| degree_hours / hours);
        worst
    }
}

fn highest(so_far: Option<f64>, value: f64) -> Option<f64> {
    Some(so_far.map_or(value, |v| v.max(value)))
}

fn lowest(so_far: Option<f64>, value: f64) -> Option<f64> {
    Some(so_far.map_or(value, |v| v.min(value)))
}

/// Assigns caffeine to segments where the plan asks for it.
pub(super) fn add_caffeine(
    segments: &mut [SegmentNeed],
    exposures: &[Exposure],
    settled: &RunnerRates,
    taken: &Taken,
) {
    let Some((asked_mg, caps)) = settled.caffeine else {
        return;
    };
    let mut at_h = 0.0;
    let chances: Vec<DoseChance> = exposures
        .iter()
        .map(|exposure| {
            let chance = DoseChance {
                at_h,
                dark_share: exposure.dark_share,
            };
            at_h += exposure.hours();
            chance
        })
        .collect();
    let dose_mg = caps.dose_mg(asked_mg, settled.body.mass_kg);
    let race_h = (settled.caffeine_from_h, settled.race_h);
    let given_mg = match taken.packed_mg.is_empty() {
        true => spread(&chances, race_h, dose_mg, caps),
        false => kept(&chances, settled.race_h, caps, taken),
    };
    for (segment, mg) in segments.iter_mut().zip(given_mg) {
        segment.caffeine_mg = mg;
    }
}
