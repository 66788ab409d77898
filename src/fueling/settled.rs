//! Settings of the whole race: the body, its own sweat, and the rates to plan with. Every default
//! that stands in for something the runner did not say is put into words here.

use super::SweatSource;
use super::caffeine::Caps;
use super::energy::{moving_kcal, standing_kcal};
use super::needs::{
    FREELY_DRUNK_SHARE, MOST_CARBS_G_PER_H, SWEAT_SODIUM_MG_PER_L, URINE_L_PER_KG_H,
    carbs_allowed_g_per_h, carbs_for_duration_g_per_h, carbs_for_gut_g_per_h,
    drink_sodium_mg_per_l, fluid_l_per_h, protein_g_per_h,
};
use super::sweat::{Body, OwnSweat};
use crate::conditions::Weather;
use crate::diagnostics::Spanned;
use crate::exposure::Exposure;
use crate::inputs::runner_toml::GutTraining;
use crate::inputs::{PlanFile, RunnerFile};
use crate::units::{Phrase, Quantity};

/// An adult of common size, where the runner file names none.
const USUAL_BODY: Body = Body {
    mass_kg: 70.0,
    height_m: 1.75,
};
/// Cool, dry and nearly calm, where there is no forecast.
pub(super) const USUAL_WEATHER: Weather = Weather {
    temp_c: 15.0,
    humidity_pct: 50.0,
    wind_kmh: 5.0,
    rain_mm_per_h: 0.0,
    thunder: false,
    rain_chance_pct: None,
};
/// Race time before which no caffeine is planned, hours.
#[must_use]
pub fn caffeine_from_h(plan: &PlanFile) -> f64 {
    let from = plan.fueling.caffeine_from.as_ref();
    from.map_or(0.0, |from| from.value.as_hours())
}

/// A rate asked for and the one planned, grams per hour.
#[derive(Clone, Copy, Debug)]
pub(super) struct CarbRate {
    pub(super) asked: f64,
    pub(super) planned: f64,
    /// The highest rate that training or practice speak for.
    pub(super) practised: f64,
}

/// Settings of the whole race.
pub(super) struct RunnerRates {
    pub(super) body: Body,
    pub(super) race_h: f64,
    pub(super) sweat: OwnSweat,
    pub(super) carbs_g_per_h: CarbRate,
    pub(super) protein_g_per_h: f64,
    pub(super) fluid_rehearsed_l_per_h: Option<f64>,
    /// The drinking that the runner wants.
    pub(super) fluid_habit_l_per_h: Option<f64>,
    pub(super) sweat_sodium_mg_per_l: f64,
    pub(super) drink_sodium_mg_per_l: f64,
    /// Share carried on top of what is planned to be drunk, where the plan names one.
    pub(super) reserve_share: Option<f64>,
    /// Caffeine asked for and the limits; `None` where the plan has none.
    pub(super) caffeine: Option<(Option<f64>, Caps)>,
    /// Race time before which none is planned, hours.
    pub(super) caffeine_from_h: f64,
    pub(super) assumed: Vec<Phrase>,
}

impl RunnerRates {
    pub(super) fn of(exposures: &[Exposure], runner: &RunnerFile, plan: &PlanFile) -> RunnerRates {
        let body = body_of(runner);
        let race_h: f64 = exposures.iter().map(Exposure::hours).sum();
        let sweat = OwnSweat::learn(body, &runner.sweat, usual_kcal_per_h(exposures, body));
        let own_sodium = said(runner.sweat_sodium_mg_per_l);
        let spent_kcal_per_h = spent_kcal_per_h(exposures, body, race_h);
        let carbs_g_per_h = carb_rate(runner, plan, race_h, spent_kcal_per_h);
        let caffeine = plan.fueling.caffeine.then(|| {
            let caps = Caps::of(runner, plan, body.mass_kg);
            (said(runner.caffeine_dose_mg), caps)
        });
        let mut settled = RunnerRates {
            body,
            race_h,
            sweat,
            carbs_g_per_h,
            protein_g_per_h: protein_g_per_h(race_h),
            fluid_rehearsed_l_per_h: said(runner.fluid_rehearsed_ml_per_h).map(|ml| ml / 1000.0),
            fluid_habit_l_per_h: said(runner.fluid_habit_ml_per_h).map(|ml| ml / 1000.0),
            sweat_sodium_mg_per_l: own_sodium.unwrap_or(SWEAT_SODIUM_MG_PER_L),
            drink_sodium_mg_per_l: drink_sodium_mg_per_l(own_sodium),
            reserve_share: said(plan.fueling.reserve_share),
            caffeine,
            caffeine_from_h: caffeine_from_h(plan),
            assumed: Vec::new(),
        };
        settled.assumed = settled.in_words(exposures, runner, plan);
        settled
    }

    /// Fluid to plan for at a sweat rate.
    pub(super) fn fluid_l_per_h(&self, sweat_l_per_h: f64) -> f64 {
        fluid_l_per_h(
            sweat_l_per_h,
            self.urine_l_per_h(),
            self.body.mass_kg,
            self.race_h,
        )
    }

    /// The most that was held on a long run, and no less than people drink freely; a runner who says
    /// what they usually drink is taken at their word.
    pub(super) fn held_l_per_h(&self, sweat_l_per_h: f64) -> f64 {
        match (self.fluid_rehearsed_l_per_h, self.fluid_habit_l_per_h) {
            (Some(held), None) => held.max(FREELY_DRUNK_SHARE * sweat_l_per_h),
            _ => f64::INFINITY,
        }
    }

    pub(super) fn urine_l_per_h(&self) -> f64 {
        URINE_L_PER_KG_H * self.body.mass_kg
    }

    fn in_words(
        &self,
        exposures: &[Exposure],
        runner: &RunnerFile,
        plan: &PlanFile,
    ) -> Vec<Phrase> {
        let mut words = Vec::new();
        if runner.mass_kg.is_none() {
            let kg = self.body.mass_kg;
            words.push(Phrase::new("body mass ").and(Quantity::Mass { kg }));
        }
        if runner.height_cm.is_none() {
            let cm = self.body.height_m * 100.0;
            words.push(Phrase::new(format!("body height {cm:.0} cm")));
        }
        let without_forecast = exposures
            .iter()
            .flat_map(Exposure::steps)
            .any(|step| step.weather.is_none());
        if without_forecast {
            words.push(weather_in_words(USUAL_WEATHER));
        }
        if self.sweat.source() == SweatSource::Predicted {
            words.push(Phrase::new("sweat rate by prediction, not measured"));
        } else if runner
            .sweat
            .iter()
            .any(|run| run.energy_kcal_per_h.is_none())
        {
            words.push(Phrase::new(
                "race effort on the sweat runs that do not say theirs",
            ));
        }
        if runner.sweat_sodium_mg_per_l.is_none() {
            let mg = self.sweat_sodium_mg_per_l;
            words.push(Phrase::new(format!(
                "{mg:.0} mg of sodium per litre of sweat"
            )));
        }
        if runner.carbs_g_per_h.is_none() && plan.fueling.carbs_g_per_h.is_none() {
            let gut = match runner.gut {
                GutTraining::Untrained => "an untrained gut",
                GutTraining::Some => "a gut with some training",
                GutTraining::Trained => "a trained gut",
            };
            let g = self.carbs_g_per_h.planned;
            words.push(Phrase::new(format!("carbohydrate {g:.0} g/h for {gut}")));
        }
        words
    }
}

/// The runner's body; an adult of common size where the runner file does not say.
#[must_use]
pub fn body_of(runner: &RunnerFile) -> Body {
    Body {
        mass_kg: said(runner.mass_kg).unwrap_or(USUAL_BODY.mass_kg),
        height_m: said(runner.height_cm).map_or(USUAL_BODY.height_m, |cm| cm / 100.0),
    }
}

/// The carbohydrate rate: the plan's own, else the runner's, else by gut training and duration.
fn carb_rate(runner: &RunnerFile, plan: &PlanFile, race_h: f64, spent_kcal_per_h: f64) -> CarbRate {
    let (by_gut, most_for_gut) = carbs_for_gut_g_per_h(runner.gut);
    let own = said(runner.carbs_g_per_h);
    let rehearsed = said(runner.carbs_rehearsed_g_per_h);
    let asked = said(plan.fueling.carbs_g_per_h)
        .or(own)
        .unwrap_or_else(|| by_gut.min(carbs_for_duration_g_per_h(race_h)));
    CarbRate {
        asked,
        planned: carbs_allowed_g_per_h(asked, protein_g_per_h(race_h), spent_kcal_per_h),
        practised: most_for_gut
            .max(own.unwrap_or(0.0).min(MOST_CARBS_G_PER_H))
            .max(rehearsed.unwrap_or(0.0)),
    }
}

/// Energy of an hour of the race, stops included.
fn spent_kcal_per_h(exposures: &[Exposure], body: Body, race_h: f64) -> f64 {
    let spent = |exposure: &Exposure| {
        moving_kcal(exposure.cost_j_per_kg, exposure.moving_h(), body.mass_kg)
            + standing_kcal(exposure.stop_h(), body.mass_kg)
    };
    let all_kcal: f64 = exposures.iter().map(spent).sum();
    if race_h > 0.0 { all_kcal / race_h } else { 0.0 }
}

/// Energy of an hour on the move, averaged over the race.
fn usual_kcal_per_h(exposures: &[Exposure], body: Body) -> f64 {
    let hours: f64 = exposures.iter().map(Exposure::moving_h).sum();
    let cost_j_per_kg: f64 = exposures.iter().map(|e| e.cost_j_per_kg).sum();
    if hours > 0.0 {
        moving_kcal(cost_j_per_kg, hours, body.mass_kg) / hours
    } else {
        0.0
    }
}

fn weather_in_words(weather: Weather) -> Phrase {
    Phrase::new("weather ")
        .and(Quantity::Temperature { c: weather.temp_c })
        .and(format!(", {:.0} % humidity, wind ", weather.humidity_pct))
        .and(Quantity::WindSpeed {
            kmh: weather.wind_kmh,
        })
}

fn said(value: Option<Spanned<f64>>) -> Option<f64> {
    value.map(|v| v.value)
}
