//! Measured sweat over the prediction, all long runs together: those of the record, and those that
//! stand in the runner file alone.

use chrono::NaiveDate;

use crate::fueling::sweat::{
    Body, Effort, HIGHEST_MEASURED_L_PER_H, LOWEST_L_PER_H, predicted, relative_air_mps, sun_k,
};
use crate::inputs::RunRecord;
use crate::inputs::runner_toml::SweatMeasured;

use super::fresh::fresh;
use super::scale;

/// Days of one runner scatter by this share of the prediction besides the weighing: 0.15 L/h, as
/// around a runner's own line, at 1 L/h.
const DAY_SCATTER: f64 = 0.15;
/// A rate in the runner file does not say how unsure it is: as a scale to 0.1 kg and flasks over 3 h
/// are, one standard deviation, L/h. Our choice.
const WRITTEN_OFF_L_PER_H: f64 = 0.05;
/// Farther from the median than so many deviations is an outlier (Iglewicz and Hoaglin 1993, How to
/// detect and handle outliers, from memory) ...
const OUTLIER: f64 = 3.5;
/// ... where there are at least so many runs.
const RUNS_FOR_OUTLIERS: usize = 4;
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

/// Measured sweat as a multiple of the predicted.
#[derive(Clone, Debug, PartialEq)]
pub struct SweatTimes {
    /// The multiple.
    pub combined: Combined,
    /// Number of the runs that stand in the runner file alone.
    pub written: usize,
    /// Runs that were left out, as too far from the others.
    pub outliers: Vec<(Option<NaiveDate>, f64)>,
}

/// A figure of several runs together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Combined {
    /// The weighted mean.
    pub value: f64,
    /// One standard deviation of it.
    pub uncertainty: f64,
    /// Of so many runs.
    pub runs: usize,
}

/// The runs of a record whose sweat can be relied on and agrees, and what all runs say together:
/// `None` of none.
pub(super) fn of<'r>(
    record: &'r [RunRecord],
    written: &[SweatMeasured],
    body: Body,
    race_kcal_per_h: f64,
) -> (Vec<&'r RunRecord>, Option<SweatTimes>) {
    let mut measured: Vec<SweatSeen<'_>> = record
        .iter()
        .filter_map(|run| SweatSeen::of(run, body, race_kcal_per_h))
        .collect();
    // the record is more exact about a run that is in both
    let is_recorded = |own: &SweatMeasured| measured.iter().any(|seen| seen.date == own.date);
    let written = written.iter().filter(|own| !is_recorded(own));
    let written: Vec<SweatSeen<'_>> = written
        .filter_map(|own| SweatSeen::written(own, body, race_kcal_per_h))
        .collect();
    measured.extend(written);
    let (kept, outliers) = sorted_out(&measured);
    let times = combined(&kept).map(|combined| SweatTimes {
        combined,
        written: kept.iter().filter(|seen| seen.run.is_none()).count(),
        outliers: outliers
            .iter()
            .map(|seen| (seen.date, seen.times))
            .collect(),
    });
    (kept.iter().filter_map(|seen| seen.run).collect(), times)
}
/// A run whose sweat can be relied on.
struct SweatSeen<'r> {
    /// `None` where it stands in the runner file alone.
    run: Option<&'r RunRecord>,
    date: Option<NaiveDate>,
    /// Measured over predicted.
    times: f64,
    /// One standard deviation of it, by the weighing.
    off: f64,
}

impl<'r> SweatSeen<'r> {
    fn of(run: &'r RunRecord, body: Body, race_kcal_per_h: f64) -> Option<Self> {
        let sweat = scale::relied_on(run)?;
        let predicted = predicted(body, effort_of(run, race_kcal_per_h)?).l_per_h;
        Some(SweatSeen {
            run: Some(run),
            date: Some(run.date),
            times: sweat.l_per_h / predicted,
            off: sweat.uncertainty_l_per_h / predicted,
        })
    }

    /// A rate of the runner file; the plan passes over the same ones.
    fn written(own: &SweatMeasured, body: Body, race_kcal_per_h: f64) -> Option<Self> {
        let l_per_h = own.rate_l_per_h.value;
        let energy_kcal_per_h = own.energy_kcal_per_h.unwrap_or(race_kcal_per_h);
        let predicted = predicted(body, effort(energy_kcal_per_h, own.temp_c, None, None)).l_per_h;
        (LOWEST_L_PER_H..=HIGHEST_MEASURED_L_PER_H)
            .contains(&l_per_h)
            .then(|| SweatSeen {
                run: None,
                date: own.date,
                times: l_per_h / predicted,
                off: WRITTEN_OFF_L_PER_H / predicted,
            })
    }
}

/// What a run counts for by its day; one without a day as if it were that long ago.
fn fresh_or_half(date: Option<NaiveDate>, last: Option<NaiveDate>) -> f64 {
    date.zip(last).map_or(0.5, |(date, last)| fresh(date, last))
}

/// Runs that agree, and outliers.
fn sorted_out<'s, 'r>(
    all: &'s [SweatSeen<'r>],
) -> (Vec<&'s SweatSeen<'r>>, Vec<&'s SweatSeen<'r>>) {
    if all.len() < RUNS_FOR_OUTLIERS {
        return (all.iter().collect(), Vec::new());
    }
    let middle = median(all.iter().map(|seen| seen.times));
    // 0.6745 turns the median deviation of a normal distribution into its standard deviation
    let spread = median(all.iter().map(|seen| (seen.times - middle).abs())) / 0.6745;
    all.iter().partition(|seen| {
        (seen.times - middle).abs() <= OUTLIER * spread.max(seen.off.hypot(DAY_SCATTER))
    })
}

fn median(values: impl Iterator<Item = f64>) -> f64 {
    let mut values: Vec<f64> = values.collect();
    values.sort_by(f64::total_cmp);
    let half = values.len() / 2;
    match values.len() {
        0 => 0.0,
        n if n % 2 == 1 => values[half],
        _ => f64::midpoint(values[half - 1], values[half]),
    }
}

/// The mean, each run weighted by how sure it is and how recent; `None` of no runs.
fn combined(kept: &[&SweatSeen<'_>]) -> Option<Combined> {
    let last = kept.iter().filter_map(|seen| seen.date).max();
    let weighted: Vec<(f64, f64, f64)> = kept
        .iter()
        .map(|seen| {
            let variance = seen.off.powi(2) + DAY_SCATTER.powi(2);
            (
                fresh_or_half(seen.date, last) / variance,
                variance,
                seen.times,
            )
        })
        .collect();
    if weighted.is_empty() {
        return None;
    }
    let sum: f64 = weighted.iter().map(|(weight, ..)| weight).sum();
    let value = weighted.iter().map(|(w, _, times)| w * times).sum::<f64>() / sum;
    let variance = weighted.iter().map(|(w, v, _)| w * w * v).sum::<f64>() / (sum * sum);
    Some(Combined {
        value,
        uncertainty: variance.sqrt(),
        runs: kept.len(),
    })
}
