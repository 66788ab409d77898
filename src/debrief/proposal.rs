//! The runner's figures that the record proposes, all runs together.

use chrono::NaiveDate;

use crate::fit::{OwnPace, Recording};
use crate::fueling::sweat::Body;
use crate::inputs::limits;
use crate::inputs::{RunRecord, RunnerFile};

use super::pace::{Pace, Standing};
use super::sweat_times::{self, FarSweat};

/// A rate is held when the run took this long, hours: as `carbs_rehearsed_g_per_h` asks.
const HELD_H: f64 = 3.0;
/// A stomach that was better than this all run long held what went in. Our choice.
pub(super) const STOMACH_HELD: f64 = 7.0;
/// The figures that the record proposes for `runner.toml`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Proposal {
    /// Runs whose measured sweat the runner file does not have, in the order of the record.
    pub sweat: Vec<RunRecord>,
    /// Runs whose sweat is far from what is expected.
    pub sweat_outliers: Vec<FarSweat>,
    /// A higher `carbs_rehearsed_g_per_h` than the runner file has, and the run that held it.
    pub carbs_g_per_h: Option<(f64, NaiveDate)>,
    /// A higher `fluid_rehearsed_ml_per_h`, and the run that held it.
    pub fluid_ml_per_h: Option<(f64, NaiveDate)>,
    /// Pacing, all runs together.
    pub pace: Option<Pace>,
}

impl Proposal {
    /// True where nothing is proposed.
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
        (pace.standing == Standing::Proposed).then_some(&pace.own)
    }
}

/// The figures that a record proposes for a runner. `recordings` are those of its runs that are at hand, in its
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
    let (runs, sweat_outliers) = sweat_times::of(record, &runner.sweat, body, race_kcal_per_h);
    let has = |run: &RunRecord| runner.sweat.iter().any(|own| own.date == Some(run.date));
    let carbs = |run: &RunRecord| run.intake.carbs_g.map(|g| run.per_h(g));
    // who gained mass drank more than was lost: that is no rate to practise
    let fluid = |run: &RunRecord| {
        let gained = (run.body.before_kg.zip(run.body.after_kg)).is_some_and(|(b, a)| a >= b);
        run.fluid_ml_per_h().filter(|_| !gained)
    };
    let said = |number: Option<crate::diagnostics::Spanned<f64>>| number.map(|n| n.value);
    Proposal {
        sweat: runs.into_iter().filter(|run| !has(run)).cloned().collect(),
        sweat_outliers,
        carbs_g_per_h: higher(record, carbs, said(runner.carbs_rehearsed_g_per_h), 150.0),
        fluid_ml_per_h: higher(
            record,
            fluid,
            said(runner.fluid_rehearsed_ml_per_h),
            limits::FLUID_REHEARSED.high,
        ),
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
