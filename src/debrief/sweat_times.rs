//! Measured sweat beside the prediction, to tell a slip of the scale from the runner.

use chrono::NaiveDate;

use crate::fueling::sweat::{Body, Effort, predicted, relative_air_mps, sun_k};
use crate::inputs::RunRecord;
use crate::inputs::runner_toml::SweatMeasured;

use super::scale;

/// Multiples of the prediction this near to each other bear each other out. Our choice.
const ALIKE: f64 = 0.25;
/// Air on a long run of which only temperature is known.
const RUN_MPS: f64 = 2.5;
const RUN_WIND_KMH: f64 = 5.0;
const RUN_HUMIDITY_PCT: f64 = 50.0;

/// The effort of a run, as its record has it; `None` where its temperature is not known.
pub(super) fn effort_of(run: &RunRecord, usual_kcal_per_h: f64) -> Option<Effort> {
    let sky = &run.sky;
    Some(effort(
        run.body.energy_kcal_per_h.unwrap_or(usual_kcal_per_h),
        sky.temp_c?,
        sky.humidity_pct,
        sky.wind_kmh,
    ))
}

fn effort(
    energy_kcal_per_h: f64,
    temp_c: f64,
    humidity_pct: Option<f64>,
    wind_kmh: Option<f64>,
) -> Effort {
    Effort {
        energy_kcal_per_h,
        temp_c,
        humidity_pct: humidity_pct.unwrap_or(RUN_HUMIDITY_PCT),
        air_mps: relative_air_mps(RUN_MPS, wind_kmh.unwrap_or(RUN_WIND_KMH)),
        sun_k: sun_k(temp_c),
    }
}

/// Sweat that is far from what is expected.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FarSweat {
    /// The day of the run.
    pub date: NaiveDate,
    /// As measured, litres per hour.
    pub l_per_h: f64,
    /// Low and high end of what is expected, litres per hour.
    pub expected_l_per_h: (f64, f64),
}

/// The runs of a record whose sweat can be relied on; and those that are beyond what is expected
/// and that no other run bears out, of the runner file neither.
pub(super) fn of<'r>(
    record: &'r [RunRecord],
    written: &[SweatMeasured],
    body: Body,
    race_kcal_per_h: f64,
) -> (Vec<&'r RunRecord>, Vec<FarSweat>) {
    let measured = record.iter().filter_map(|run| {
        let l_per_h = scale::relied_on(run)?.l_per_h;
        Some((
            run,
            l_per_h,
            predicted(body, effort_of(run, race_kcal_per_h)?),
        ))
    });
    let measured: Vec<_> = measured.collect();
    let others = written.iter().filter(|own| {
        // the record is more exact about a run that is in both
        record.iter().all(|run| Some(run.date) != own.date)
    });
    let others = others.map(|own| {
        let kcal_per_h = own.energy_kcal_per_h.unwrap_or(race_kcal_per_h);
        own.rate_l_per_h.value / predicted(body, effort(kcal_per_h, own.temp_c, None, None)).l_per_h
    });
    let own = measured
        .iter()
        .map(|(_, l_per_h, rate)| l_per_h / rate.l_per_h);
    let all: Vec<f64> = own.chain(others).collect();
    let (mut kept, mut far) = (Vec::new(), Vec::new());
    for (run, l_per_h, rate) in measured {
        let times = l_per_h / rate.l_per_h;
        let expected_l_per_h = rate.band_l_per_h();
        let (low, high) = expected_l_per_h;
        let alike = all
            .iter()
            .filter(|other| (*other / times - 1.0).abs() < ALIKE);
        // it is one of them itself
        if (low..=high).contains(&l_per_h) || alike.count() > 1 {
            kept.push(run);
        } else {
            far.push(FarSweat {
                date: run.date,
                l_per_h,
                expected_l_per_h,
            });
        }
    }
    (kept, far)
}
