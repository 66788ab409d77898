//! The needs of one segment: its stop and its way, each at its own sweat rate.

use super::SegmentNeed;
use super::caffeine::{Dose, DoseChance, HALF_LIFE_H, Taken, left_mg, spread_of};
use super::energy::{moving_kcal, standing_kcal};
use super::exposure::{Exposure, Step};
use super::heat::{heat_index_c, wbgt_shade_c, wbgt_sun_c, wind_chill_c};
use super::needs::{MOST_FLUID_L_PER_H, fluid_l_per_h};
use super::settled::{RunnerRates, USUAL_WEATHER};
use super::sweat::{Effort, SweatRate, in_sun_l_per_h, relative_air_mps};

/// What findings need to know beyond the needs themselves.
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

/// Needs of one segment; caffeine is added later, for it depends on all of them.
pub(super) fn need(exposure: &Exposure, settled: &RunnerRates) -> (SegmentNeed, Detail) {
    let mass_kg = settled.body.mass_kg;
    let (stop_h, moving_h) = (exposure.stop_h(), exposure.moving_h());
    let hours = stop_h + moving_h;
    let burned_moving_kcal = moving_kcal(exposure.cost_j_per_kg, moving_h, mass_kg);
    let burned_stop_kcal = standing_kcal(stop_h, mass_kg);

    let moving = mean_sweat(
        &exposure.moving,
        settled,
        burned_moving_kcal / moving_h,
        true,
    );
    let stop = mean_sweat(&exposure.stop, settled, burned_stop_kcal / stop_h, false);
    let (moving_fluid, wanted) = fluid(moving, settled);
    let (stop_fluid, _) = fluid(stop, settled);

    let sweat_l = stop.l_per_h * stop_h + moving.l_per_h * moving_h;
    let moving_fluid_l = moving_fluid * moving_h;
    let fluid_l = stop_fluid * stop_h + moving_fluid_l;
    let sodium_loss_mg = sweat_l * settled.sweat_sodium_mg_per_l;
    let wanted_sodium_mg = fluid_l * settled.drink_sodium_mg_per_l;
    let either_way = stop.either_way_l_per_h * stop_h + moving.either_way_l_per_h * moving_h;
    let in_sun = stop.in_sun_l_per_h * stop_h + moving.in_sun_l_per_h * moving_h;
    let per_hour = |total: f64| if hours > 0.0 { total / hours } else { 0.0 };
    let rate = SweatRate {
        l_per_h: per_hour(sweat_l),
        either_way_l_per_h: per_hour(either_way),
        in_sun_l_per_h: per_hour(in_sun),
    };
    let weather = Extremes::of(exposure);
    let need = SegmentNeed {
        hours,
        sweat_l_per_h: rate.l_per_h,
        sweat_band_l_per_h: rate.band_l_per_h(),
        fluid_ml: fluid_l * 1000.0,
        carry_ml: moving_fluid_l * 1000.0 * (1.0 + settled.reserve_share),
        sodium_mg: wanted_sodium_mg.min(sodium_loss_mg),
        sodium_loss_mg,
        carbs_g: settled.carbs_g_per_h.planned * hours,
        protein_g: settled.protein_g_per_h * hours,
        energy_kcal: burned_moving_kcal + burned_stop_kcal,
        caffeine_mg: 0.0,
        temp_c: weather.mean_temp_c,
        wbgt_c: weather.wbgt_c,
        wind_chill_c: weather.wind_chill_c,
    };
    let detail = Detail {
        wanted_l_per_h: wanted,
        planned_l_per_h: moving_fluid,
        wanted_sodium_mg,
        heat_index_c: weather.heat_index_c,
    };
    (need, detail)
}

/// Fluid for a sweat rate, L/h: planned, and as the formula has it before the ceiling.
fn fluid(sweat: SweatRate, settled: &RunnerRates) -> (f64, f64) {
    let wanted = fluid_l_per_h(sweat.l_per_h, settled.body.mass_kg, settled.race_h);
    (wanted.min(MOST_FLUID_L_PER_H), wanted)
}

/// Sweat averaged over steps by their time; nothing where there is no time.
fn mean_sweat(steps: &[Step], settled: &RunnerRates, kcal_per_h: f64, moving: bool) -> SweatRate {
    let hours: f64 = steps.iter().map(|step| step.hours).sum();
    let mut sum = SweatRate::default();
    if hours <= 0.0 {
        return sum;
    }
    for step in steps {
        let weather = step.weather.unwrap_or(USUAL_WEATHER);
        let effort = Effort {
            energy_kcal_per_h: kcal_per_h,
            temp_c: weather.temp_c,
            humidity_pct: weather.humidity_pct,
            air_mps: relative_air_mps(step.speed_mps, weather.wind_kmh),
        };
        let rate = if moving {
            settled.sweat.moving(effort)
        } else {
            settled.sweat.standing(effort)
        };
        sum.l_per_h += rate.l_per_h * step.hours / hours;
        sum.either_way_l_per_h += rate.either_way_l_per_h * step.hours / hours;
        // own measurements were made in whatever sun there was
        if step.sun_up && weather.rain_mm_per_h <= 0.0 && !settled.is_measured() {
            let more = in_sun_l_per_h(settled.body, rate.l_per_h);
            sum.in_sun_l_per_h += more * step.hours / hours;
        }
    }
    sum
}

/// The weather of a segment at its worst.
#[derive(Default)]
struct Extremes {
    mean_temp_c: Option<f64>,
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
            if let Some(chill_c) = wind_chill_c(temp_c, weather.wind_kmh) {
                worst.wind_chill_c = Some(worst.wind_chill_c.map_or(chill_c, |c| c.min(chill_c)));
            }
        }
        worst.mean_temp_c = (hours > 0.0).then(|| degree_hours / hours);
        worst
    }
}

fn highest(so_far: Option<f64>, value: f64) -> Option<f64> {
    Some(so_far.map_or(value, |v| v.max(value)))
}

/// Assigns caffeine to segments where the plan asks for it; what is left of it at each segment's
/// end, milligrams.
pub(super) fn add_caffeine(
    segments: &mut [SegmentNeed],
    exposures: &[Exposure],
    settled: &RunnerRates,
    taken: &Taken,
) -> Vec<f64> {
    let Some((asked_mg, caps)) = settled.caffeine else {
        return vec![0.0; segments.len()];
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
    let given_mg = spread_of(&chances, settled.race_h, caps, &taken.by_segment_mg, |i| {
        if chances[i].at_h < settled.caffeine_from_h {
            return 0.0;
        }
        dose_mg
    });
    let doses: Vec<Dose> = chances
        .iter()
        .zip(&given_mg)
        .map(|(chance, mg)| Dose {
            at_h: chance.at_h,
            mg: *mg,
        })
        .collect();
    let mut end_h = 0.0;
    segments
        .iter_mut()
        .zip(given_mg)
        .enumerate()
        .map(|(i, (segment, mg))| {
            segment.caffeine_mg = mg;
            end_h += segment.hours;
            // the next dose is taken after the arrival that this segment ends with
            left_mg(&doses[..=i], end_h, HALF_LIFE_H)
        })
        .collect()
}
