//! Sweat from the scale before and after.

use crate::fueling::sweat::{Doubt, FUEL_AND_BREATH_KG_PER_KCAL, MassBalance};
use crate::inputs::RunRecord;
use crate::inputs::runner_toml::most_sweat_l_per_h;

/// A scale's display where nobody says its step, kilograms.
const USUAL_STEP_KG: f64 = 0.1;
/// A volume read on a flask or guessed is off by up to a tenth either way, each error as likely as
/// the next. Our choice.
const VOLUMES_OFF: f64 = 0.1;
/// So is the energy burned, which is computed: our choice after the scatter of the cost of running
/// between people.
const ENERGY_OFF: f64 = 0.15;
/// The minutes between scale and start are not in the run's time: one standard deviation, hours.
const TIME_OFF_H: f64 = 2.0 / 60.0;

/// A sweat rate by mass balance.
#[derive(Clone, Debug, PartialEq)]
pub struct Sweat {
    /// Litres per hour.
    pub l_per_h: f64,
    /// One standard deviation, litres per hour.
    pub uncertainty_l_per_h: f64,
    /// Reasons not to use it.
    pub doubts: Vec<Doubt>,
    /// Body mass lost, kilograms; negative where it was gained.
    pub lost_kg: f64,
}

/// The reason that there is no sweat rate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoSweat {
    /// The mass before or after is missing.
    NoScale,
    /// Nobody wrote down what was drunk.
    NoLog,
}

impl Sweat {
    /// Low and high end of what holds the true rate in about 95 of 100 runs, litres per hour.
    #[must_use]
    pub fn band_l_per_h(&self) -> (f64, f64) {
        let off = 2.0 * self.uncertainty_l_per_h;
        ((self.l_per_h - off).max(0.0), self.l_per_h + off)
    }
}

/// The rate that a run's scale, log and energy give.
pub(super) fn sweat(run: &RunRecord) -> Result<Sweat, NoSweat> {
    let (body, intake) = (&run.body, &run.intake);
    let (before_kg, after_kg) = body.before_kg.zip(body.after_kg).ok_or(NoSweat::NoScale)?;
    let drank_l = intake.drank_ml.ok_or(NoSweat::NoLog)? / 1000.0;
    let hours = run.hours().max(f64::MIN_POSITIVE);
    let balance = MassBalance {
        before_kg,
        after_kg,
        drunk_l: drank_l,
        eaten_kg: intake.eaten_g.unwrap_or(0.0) / 1000.0,
        urine_l: body.urine_ml.unwrap_or(0.0) / 1000.0,
        stool_kg: 0.0,
        energy_kcal: body.energy_kcal_per_h.unwrap_or(0.0) * hours,
        hours,
    };
    // a rectangle of half-width a has a standard deviation of a over √3
    let volume_l = |litres: f64| litres * VOLUMES_OFF / 3.0_f64.sqrt();
    let fuel_kg = FUEL_AND_BREATH_KG_PER_KCAL * balance.energy_kcal * ENERGY_OFF;
    let volumes_l = volume_l(drank_l)
        .hypot(volume_l(balance.urine_l))
        .hypot(fuel_kg);
    let step_kg = body.scale_resolution_kg.unwrap_or(USUAL_STEP_KG);
    let mut doubts = balance.doubts();
    // more than anyone sweats in that weather, as the runner file has it
    let most = run.sky.temp_c.map(most_sweat_l_per_h);
    let is_beyond = most.is_some_and(|most| balance.sweat_l_per_h() > most);
    if is_beyond && !doubts.contains(&Doubt::OutOfRange) {
        doubts.push(Doubt::OutOfRange);
    }
    Ok(Sweat {
        l_per_h: balance.sweat_l_per_h(),
        uncertainty_l_per_h: balance.uncertainty_l_per_h(step_kg, volumes_l, TIME_OFF_H),
        doubts,
        lost_kg: before_kg - after_kg,
    })
}

/// True where a run's sweat may be relied on: measured, and nothing speaks against it.
pub(super) fn relied_on(run: &RunRecord) -> Option<Sweat> {
    sweat(run).ok().filter(|sweat| sweat.doubts.is_empty())
}
