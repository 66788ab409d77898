//! Numbers of the body: sweat, drink, carry, salt, carbohydrate, energy and caffeine.

use crate::facts::Measure;
use crate::fueling::needs::drink_sodium_mg_per_l;

use super::What;
use super::question::{Question, Working};

pub(super) const TIME: What = What {
    name: "time",
    key: "time_s",
    meaning: "Time that the needs of the segment are for, the stop before it included.",
    formula: "planned stop at its first station and the moving time",
    build: |asked| {
        let (need, pace) = (asked.need()?, asked.pace()?);
        let before = &asked.planned.splits[asked.station - 1];
        let stop = before.stop.as_ref();
        let stop = stop.map_or_else(|| "none".to_owned(), |stop| stop.text.clone());
        asked
            .of_segment(&need.time.text)?
            .input("stop before it", stop, asked.row(asked.station - 1))
            .step("moving", &pace.moving.text)
            .into()
    },
};

pub(super) const TEMPERATURE: What = What {
    name: "temperature",
    key: "temp_c",
    meaning: "Air temperature on the segment when the runner passes.",
    formula: "the forecast between its hours, moved to the height of the ground by 6.5 °C a \
              kilometre, averaged over the time on the segment",
    build: |asked| {
        let temp = asked.need()?.temp.as_ref()?;
        let rows = asked.view.inputs.weather.len();
        let from = if rows == 0 {
            "one value of the plan".to_owned()
        } else {
            format!("{rows} rows of the forecast")
        };
        asked
            .of_segment(&temp.text)?
            .step("forecast", from)
            .source("lapse rate: ICAO standard atmosphere (Doc 7488)")
            .into()
    },
};

pub(super) const SWEAT: What = What {
    name: "sweat",
    key: "sweat_ml_per_h",
    meaning: "Likely sweat per hour on the segment.",
    formula: "predicted from body mass, effort and weather, as at 15 °C where it is colder, corrected \
              by the sweat that was measured on long runs",
    build: |asked| {
        let need = asked.need()?;
        let draft = rates(asked, asked.of_segment(&need.sweat.text)?)
            .step("rests on", &asked.planned.body.sweat_from)
            .step("low end", &need.sweat_low.text)
            .step("high end", &need.sweat_high.text);
        let measured = asked.view.inputs.runner.sweat.iter();
        let draft = measured.fold(draft, |draft, run| {
            let ml_per_h = run.rate_l_per_h.value * 1000.0;
            let rate = Measure::volume_rate(asked.view.units, ml_per_h).text;
            let day = run
                .date
                .map_or_else(|| "a run".to_owned(), |day| day.to_string());
            draft.input(
                format!("measured, {day}"),
                rate,
                asked.at(run.rate_l_per_h.span),
            )
        });
        Some(draft.source(SWEAT_SOURCE))
    },
};

pub(super) const DRINK: What = What {
    name: "drink",
    key: "fluid_ml",
    meaning: "Fluid you will likely want, the water in food included; drink less if you are not \
              thirsty.",
    formula: "sweat and urine less the water that a body spares over the race, or what the runner \
              usually drinks, never above sweat and never above a litre an hour; no more than was held \
              on a long run, but two thirds of sweat where that is more",
    build: |asked| {
        let need = asked.need()?;
        let draft = asked
            .of_segment(&need.fluid.text)?
            .step("likely sweat", &need.sweat.text)
            .step("time", &need.time.text)
            .step(
                "drink per hour",
                per_hour(asked, need.fluid.value, need.time.value),
            );
        Some(mass(asked, draft).source(
            "to thirst and never above sweat: Hew-Butler and others 2015 (Clin. J. Sport Med. \
                 25:303); mass balance: ACSM 2007",
        ))
    },
};

pub(super) const CARRY: What = What {
    name: "carry",
    key: "carry_ml",
    meaning: "Fluid to leave with, so that you can drink more if you are thirsty.",
    formula: "what would be drunk if sweat is at the high end of its band; or drink and the reserve \
              that the plan names",
    build: |asked| {
        let need = asked.need()?;
        let flasks = &asked.view.inputs.runner.flasks_ml;
        let draft = asked
            .of_segment(&need.carry.text)?
            .step("likely to drink", &need.fluid.text)
            .step("time", &need.time.text)
            .step("high end of sweat", &need.sweat_high.text);
        let draft = flasks.iter().fold(draft, |draft, flask| {
            let size = Measure::volume(asked.view.units, flask.value).text;
            draft.input("flask", size, asked.at(flask.span))
        });
        Some(draft.source("carrying for a day of heavy sweating is common practice, no source"))
    },
};

pub(super) const SODIUM: What = What {
    name: "sodium",
    key: "sodium_mg",
    meaning: "Sodium to take with what is drunk; salt does not make more drinking safe.",
    formula: "sodium per litre of planned fluid, never above what is lost in sweat",
    build: |asked| {
        let need = asked.need()?;
        let own = asked.view.inputs.runner.sweat_sodium_mg_per_l.as_ref();
        let per_l = drink_sodium_mg_per_l(own.map(|own| own.value));
        let shown = own.map_or_else(
            || "not measured".to_owned(),
            |own| format!("{:.0} mg/l", own.value),
        );
        asked
            .of_segment(&need.sodium.text)?
            .input("sodium in sweat", shown, asked.written(own))
            .step("sodium per litre of drink", format!("{per_l:.0} mg/l"))
            .step("drink", &need.fluid.text)
            .step("lost in sweat", &need.sodium_loss.text)
            .source("ACSM 2007; Tiller and others 2019 (J. Int. Soc. Sports Nutr. 16:50)")
            .into()
    },
};

pub(super) const CARBS: What = What {
    name: "carbs",
    key: "carbs_g",
    meaning: "Carbohydrate needed on the segment.",
    formula: "the rate that the gut is trained for or that long runs held, at most what the duration \
              is worth and 90 g an hour, never more than is spent",
    build: |asked| {
        let need = asked.need()?;
        let runner = &asked.view.inputs.runner;
        let draft = asked
            .of_segment(&need.carbs.text)?
            .step("time", &need.time.text)
            .step(
                "per hour",
                format!("{:.0} g/h", hourly(need.carbs.value, need.time.value)),
            );
        let draft = [
            ("tolerated on long runs", &runner.carbs_g_per_h),
            (
                "held on a recorded long run",
                &runner.carbs_rehearsed_g_per_h,
            ),
        ]
        .into_iter()
        .filter_map(|(name, rate)| Some((name, rate.as_ref()?)))
        .fold(draft, |draft, (name, rate)| {
            draft.input(name, format!("{:.0} g/h", rate.value), asked.at(rate.span))
        });
        Some(draft.source("Thomas, Erdman and Burke 2016; Jeukendrup 2014; Tiller and others 2019"))
    },
};

pub(super) const ENERGY: What = What {
    name: "energy",
    key: "energy_kcal",
    meaning: "Energy burned on the segment, the stop before it included.",
    formula: "energy cost of running or walking on the slope, times body mass and distance",
    build: |asked| {
        let (need, segment) = (asked.need()?, asked.segment()?);
        let draft = asked
            .of_segment(&need.energy.text)?
            .step("length", &segment.official_length.text)
            .step("climb", &segment.climb.text)
            .step("time", &need.time.text);
        Some(mass(asked, draft).source("Minetti and others 2002 (J. Appl. Physiol. 93:1039)"))
    },
};

pub(super) const CAFFEINE: What = What {
    name: "caffeine",
    key: "caffeine_mg",
    meaning: "Caffeine in what is packed for the segment.",
    formula: "doses that the plan asks for, spaced and capped over 24 h",
    build: |asked| {
        let need = asked.need()?;
        let dose = asked.view.inputs.runner.caffeine_dose_mg.as_ref();
        let shown = dose.map_or_else(
            || "none asked for".to_owned(),
            |dose| format!("{:.0} mg", dose.value),
        );
        asked
            .of_segment(&need.caffeine.text)?
            .input("dose", shown, asked.written(dose))
            .step("still active at its end", &need.caffeine_left.text)
            .source("EFSA 2015 (EFSA Journal 13:4102): 200 mg at once, 400 mg a day")
            .into()
    },
};

const SWEAT_SOURCE: &str = "regression on published sweat rates and the heat balance of ISO 7933; \
                            see `sutler help packing`";

/// Inputs of sweat.
fn rates(asked: &Question<'_>, draft: Working) -> Working {
    let temp = asked.need().and_then(|need| need.temp.as_ref());
    let temp = temp.map_or_else(|| "not known".to_owned(), |temp| temp.text.clone());
    mass(asked, draft.step("air temperature", temp))
}

/// The runner's mass and where it is written.
fn mass(asked: &Question<'_>, draft: Working) -> Working {
    let own = asked.view.inputs.runner.mass_kg.as_ref();
    let body = crate::fueling::body_of(&asked.view.inputs.runner);
    let shown = Measure::mass(asked.view.units, body.mass_kg).text;
    draft.input("body mass", shown, asked.written(own))
}

fn hourly(amount: f64, seconds: f64) -> f64 {
    amount / (seconds / 3600.0).max(1e-9)
}

fn per_hour(asked: &Question<'_>, ml: f64, seconds: f64) -> String {
    Measure::volume_rate(asked.view.units, hourly(ml, seconds)).text
}
