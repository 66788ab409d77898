//! A debriefed run as data; keys carry their units.

use serde_json::{Value, json};

use crate::debrief::{Debrief, Pace, Proposal, Standing};
use crate::fit::Estimate;
use crate::reports::View;

use super::rates;

/// `sutler debrief --format json`; keys carry their units.
#[must_use]
pub fn json(view: &View<'_>, debrief: &Debrief, proposal: &Proposal) -> Value {
    let run = &debrief.run;
    let rates = view.plans.first().map(|plan| {
        let each = rates(run, plan).into_iter();
        each.map(|rate| json!({ "rate": rate.key, "run": rate.seen, "plan": rate.planned }))
            .collect::<Vec<_>>()
    });
    json!({
        "name": run.name.value,
        "date": run.date.to_string(),
        "fingerprint": run.fingerprint,
        "time_s": run.time.as_secs(),
        "stopped_s": run.stopped_s,
        "moving": debrief.moving.as_ref().map(moving),
        "rates": rates,
        "hours": debrief.hours.iter().map(|hour| json!({
            "from_h": hour.from_h,
            "length_h": hour.length_h,
            "drank_ml": hour.intake.drank_ml,
            "food_water_ml": hour.intake.food_water_ml,
            "carbs_g": hour.intake.carbs_g,
            "sodium_mg": hour.intake.sodium_mg,
        })).collect::<Vec<_>>(),
        "sweat": debrief.sweat.as_ref().ok().map(|sweat| json!({
            "rate_l_per_h": sweat.l_per_h,
            "uncertainty_l_per_h": sweat.uncertainty_l_per_h,
            "mass_lost_kg": sweat.lost_kg,
            "relied_on": sweat.doubts.is_empty(),
        })),
        "stomach": run.stomach,
        "hot_spots": run.hot_spots,
        "noted": debrief.remarks.iter().map(|(at, text)| json!({
            "elapsed_s": at.map(|at| at.as_secs()),
            "text": text,
        })).collect::<Vec<_>>(),
        "proposed": proposed(proposal),
        "cautions": view.plans.first().map(|plan| {
            plan.fueling.cautions.iter().map(|caution| caution.text).collect::<Vec<_>>()
        }),
    })
}

fn moving(moving: &crate::debrief::Moving) -> Value {
    let names = ["down", "level", "up"].into_iter().zip(moving.slopes);
    json!({
        "moving_s": moving.moving_s,
        "drift": moving.drift,
        "distance_m": moving.ground.distance_m,
        "climb_m": moving.ground.climb_m,
        "descent_m": moving.ground.descent_m,
        "slopes": names.map(|(name, slope)| json!({
            "ground": name,
            "length_m": slope.length_m,
            "pace_s_per_m": slope.pace_s_per_m(),
        })).collect::<Vec<_>>(),
        "stops": moving.stops.iter().map(|stop| json!({
            "from_s": stop.from_s,
            "length_s": stop.length_s,
            "distance_m": stop.distance_m,
        })).collect::<Vec<_>>(),
    })
}

fn proposed(proposal: &Proposal) -> Value {
    let rate = |held: Option<(f64, chrono::NaiveDate)>| {
        held.map(|(value, date)| json!({ "value": value, "date": date.to_string() }))
    };
    json!({
        "sweat_measured": proposal.sweat.iter().map(|run| json!({
            "date": run.date.to_string(),
            "rate_l_per_h": run.body.sweat_l_per_h,
            "uncertainty_l_per_h": run.body.sweat_uncertainty_l_per_h,
            "temp_c": run.sky.temp_c,
        })).collect::<Vec<_>>(),
        "sweat_over_prediction": proposal.sweat_times.as_ref().map(|times| json!({
            "value": times.combined.value,
            "uncertainty": times.combined.uncertainty,
            "runs": times.combined.runs,
            "of_runner_file_alone": times.written,
            "left_out": times.outliers.iter().map(|(date, _)| date.map(|d| d.to_string())).collect::<Vec<_>>(),
        })),
        "carbs_rehearsed_g_per_h": rate(proposal.carbs_g_per_h),
        "fluid_rehearsed_ml_per_h": rate(proposal.fluid_ml_per_h),
        "pacing": proposal.pace.as_ref().map(paced),
    })
}

fn paced(pace: &Pace) -> Value {
    let own = &pace.own;
    let figure = |of: Estimate| json!({ "value": of.value, "uncertainty": 0.5 * (of.high - of.low), "own_share": of.own_share });
    json!({
        "fade": figure(own.fade),
        "climb_multiplier": figure(own.climb_multiplier),
        "descent_multiplier": figure(own.descent_multiplier),
        "stop_multiplier": figure(own.stop_multiplier),
        "runs": own.runs,
        "last": own.last.to_string(),
        "far_off": own.outliers.iter().map(|(date, _)| date.to_string()).collect::<Vec<_>>(),
        "tried_on": own.tried_on,
        "standing": match pace.standing {
            Standing::Proposed(_) => "proposed",
            Standing::Same => "same",
            Standing::NoBetter => "no-better",
            Standing::Outnumbered(_) => "outnumbered",
        },
    })
}
