//! The runner's figures that the record proposes, all runs together.

use chrono::NaiveDate;

use crate::fit::{OwnPace, Recording};
use crate::fueling::sweat::{
    Body, Effort, HIGHEST_MEASURED_L_PER_H, LOWEST_L_PER_H, predicted, relative_air_mps,
};
use crate::inputs::runner_toml::SweatMeasured;
use crate::inputs::{RunRecord, RunnerFile};

use super::pace::{Pace, Standing};
use super::scale;

/// A rate is held when the run took this long, hours: as `carbs_rehearsed_g_per_h` asks.
const HELD_H: f64 = 3.0;
/// A stomach that was better than this all run long held what went in. Our choice.
const STOMACH_HELD: f64 = 7.0;
/// After so many days a run counts half. Our choice: fitness and heat habits pass in a season.
const HALF_AFTER_DAYS: f64 = 120.0;
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

/// What the record proposes for `runner.toml`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Proposal {
    /// Runs whose measured sweat the runner file does not have, in the order of the record.
    pub sweat: Vec<RunRecord>,
    /// Sweat over the prediction, all runs together.
    pub sweat_times: Option<SweatTimes>,
    /// A higher `carbs_rehearsed_g_per_h` than the runner file has, and the run that held it.
    pub carbs_g_per_h: Option<(f64, NaiveDate)>,
    /// A higher `fluid_rehearsed_ml_per_h`, and the run that held it.
    pub fluid_ml_per_h: Option<(f64, NaiveDate)>,
    /// Pacing, all runs together.
    pub pace: Option<Pace>,
}

/// Measured sweat as a multiple of the predicted.
#[derive(Clone, Debug, PartialEq)]
pub struct SweatTimes {
    /// The multiple.
    pub combined: Combined,
    /// How many of the runs stand in the runner file alone.
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

impl Proposal {
    /// Whether nothing is proposed.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.sweat.is_empty()
            && self.carbs_g_per_h.is_none()
            && self.fluid_ml_per_h.is_none()
            && self.new_pace().is_none()
    }

    /// The pacing figures to write, where they are proposed.
    #[must_use]
    pub fn new_pace(&self) -> Option<&OwnPace> {
        let pace = self.pace.as_ref()?;
        matches!(pace.standing, Standing::Proposed(_)).then_some(&pace.own)
    }
}

/// What a record proposes for a runner. `recordings` are those of its runs that are at hand, in its
/// order, to try pacing figures on; `race_kcal_per_h` stands in for the effort of runs that do
/// not say theirs.
#[must_use]
pub fn propose(
    record: &[RunRecord],
    recordings: &[Option<Recording>],
    runner: &RunnerFile,
    body: Body,
    race_kcal_per_h: f64,
) -> Proposal {
    let mut measured: Vec<Seen<'_>> = record
        .iter()
        .filter_map(|run| Seen::of(run, body, race_kcal_per_h))
        .collect();
    // the record is more exact about a run that is in both
    let is_recorded = |own: &SweatMeasured| measured.iter().any(|seen| seen.date == own.date);
    let written = runner.sweat.iter().filter(|own| !is_recorded(own));
    let written: Vec<Seen<'_>> = written
        .filter_map(|own| Seen::written(own, body, race_kcal_per_h))
        .collect();
    measured.extend(written);
    let (kept, outliers) = sorted_out(&measured);
    let has = |run: &RunRecord| runner.sweat.iter().any(|own| own.date == Some(run.date));
    let carbs = |run: &RunRecord| run.intake.carbs_g.map(|g| run.per_h(g));
    // who gained mass drank more than was lost: that is no rate to practise
    let fluid = |run: &RunRecord| {
        let gained = (run.body.before_kg.zip(run.body.after_kg)).is_some_and(|(b, a)| a >= b);
        run.fluid_ml_per_h().filter(|_| !gained)
    };
    let said = |number: Option<crate::diagnostics::Spanned<f64>>| number.map(|n| n.value);
    Proposal {
        sweat: kept
            .iter()
            .filter_map(|seen| seen.run.filter(|run| !has(run)).cloned())
            .collect(),
        sweat_times: combined(&kept).map(|combined| SweatTimes {
            combined,
            written: kept.iter().filter(|seen| seen.run.is_none()).count(),
            outliers: outliers
                .iter()
                .map(|seen| (seen.date, seen.times))
                .collect(),
        }),
        carbs_g_per_h: higher(record, carbs, said(runner.carbs_rehearsed_g_per_h), 150.0),
        fluid_ml_per_h: higher(record, fluid, said(runner.fluid_rehearsed_ml_per_h), 2500.0),
        pace: Pace::of(record, recordings, &runner.pacing),
    }
}

/// The highest rate that was held, where it is higher than the one before. Rounded down: what was
/// written down on a run is no more exact.
fn higher(
    record: &[RunRecord],
    rate: impl Fn(&RunRecord) -> Option<f64>,
    before: Option<f64>,
    most: f64,
) -> Option<(f64, NaiveDate)> {
    let held = record.iter().filter(|run| {
        run.hours() >= HELD_H
            && run.stomach.is_some_and(|score| score >= STOMACH_HELD)
            && run.foods.iter().all(|food| !food.refused)
    });
    held.filter_map(|run| Some((rate(run)?.floor(), run.date)))
        .filter(|(rate, _)| *rate <= most && *rate > before.unwrap_or(0.0))
        .max_by(|a, b| a.0.total_cmp(&b.0))
}

/// What a run counts for beside one of the last day: half after [`HALF_AFTER_DAYS`].
pub(super) fn fresh(date: NaiveDate, last: NaiveDate) -> f64 {
    0.5_f64.powf((last - date).num_days() as f64 / HALF_AFTER_DAYS)
}

/// A run whose sweat can be relied on.
struct Seen<'r> {
    /// `None` where it stands in the runner file alone.
    run: Option<&'r RunRecord>,
    date: Option<NaiveDate>,
    /// Measured over predicted.
    times: f64,
    /// One standard deviation of it, by the weighing.
    off: f64,
}

impl<'r> Seen<'r> {
    fn of(run: &'r RunRecord, body: Body, race_kcal_per_h: f64) -> Option<Self> {
        let sweat = scale::relied_on(run)?;
        let effort = Effort {
            energy_kcal_per_h: run.body.energy_kcal_per_h.unwrap_or(race_kcal_per_h),
            temp_c: run.sky.temp_c?,
            humidity_pct: run.sky.humidity_pct.unwrap_or(RUN_HUMIDITY_PCT),
            air_mps: relative_air_mps(RUN_MPS, run.sky.wind_kmh.unwrap_or(RUN_WIND_KMH)),
        };
        let predicted = predicted(body, effort).l_per_h;
        Some(Seen {
            run: Some(run),
            date: Some(run.date),
            times: sweat.l_per_h / predicted,
            off: sweat.uncertainty_l_per_h / predicted,
        })
    }

    /// A rate of the runner file; the plan passes over the same ones.
    fn written(own: &SweatMeasured, body: Body, race_kcal_per_h: f64) -> Option<Self> {
        let l_per_h = own.rate_l_per_h.value;
        let effort = Effort {
            energy_kcal_per_h: own.energy_kcal_per_h.unwrap_or(race_kcal_per_h),
            temp_c: own.temp_c,
            humidity_pct: RUN_HUMIDITY_PCT,
            air_mps: relative_air_mps(RUN_MPS, RUN_WIND_KMH),
        };
        let predicted = predicted(body, effort).l_per_h;
        (LOWEST_L_PER_H..=HIGHEST_MEASURED_L_PER_H)
            .contains(&l_per_h)
            .then(|| Seen {
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
fn sorted_out<'s, 'r>(all: &'s [Seen<'r>]) -> (Vec<&'s Seen<'r>>, Vec<&'s Seen<'r>>) {
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
fn combined(kept: &[&Seen<'_>]) -> Option<Combined> {
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
