//! Knowledge of a runner before the race, and the finish that it lets one expect.

use crate::inputs::Inputs;
use crate::inputs::plan_toml::Evidence;
use crate::pacing::PacingSettings;

use super::spread::Spread;

/// The basis of a target finish, the surest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// This number of past results.
    Results(usize),
    /// A race of much the same length and ground, as the plan says without naming its result.
    Race,
    /// Long runs, debriefed or fitted, or races of another length.
    LongRuns,
    /// Nothing that was run.
    Hope,
}

impl Basis {
    /// In words.
    #[must_use]
    pub fn words(self) -> String {
        match self {
            Basis::Results(1) => "one past result".to_owned(),
            Basis::Results(count) => format!("{count} past results"),
            Basis::Race => "a race like it".to_owned(),
            Basis::LongRuns => "long runs".to_owned(),
            Basis::Hope => "hope".to_owned(),
        }
    }
}

/// The basis of a plan's target, and the finish that past results point to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rests {
    /// The surest that there is.
    pub on: Basis,
    /// True where the user wrote or ran anything that says so.
    pub is_said: bool,
    /// The finish by past results; `None` without any.
    pub expected: Option<Spread>,
}

/// Widths as logarithms of true over expected finish.
///
/// A race like it: 9 to 10 % mean error, 10 % and 90 % quantiles -0.15 and +0.15, in public race
/// results. Long runs and hopes are assumptions: no less wide than one result (-0.20 to +0.20),
/// and later than said, as targets are mostly what a runner wishes for.
const RACE: (f64, f64, f64) = (0.0, 0.15, 0.15);
const LONG_RUNS: (f64, f64, f64) = (0.03, 0.17, 0.21);
const HOPE: (f64, f64, f64) = (0.07, 0.18, 0.24);

/// The cost of a day that a target was set without. The course is known with its slopes, its ground
/// and its night; long runs and hopes are had low, as past results are taken to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unaware {
    /// The forecast came later.
    OfHeat,
    /// That, and how high the course lies.
    OfHeatAndHeight,
}

impl Unaware {
    /// The settings by which the target was set.
    #[must_use]
    pub fn easier(self, settings: &PacingSettings) -> PacingSettings {
        PacingSettings {
            heat_per_c: 0.0,
            altitude_per_km: match self {
                Unaware::OfHeat => settings.altitude_per_km,
                Unaware::OfHeatAndHeight => 0.0,
            },
            ..*settings
        }
    }
}

impl Rests {
    /// The basis in the runner's files, past results left to be added.
    #[must_use]
    pub fn of(inputs: &Inputs) -> Rests {
        let runner = &inputs.runner.pacing;
        let has_run = !inputs.record.is_empty() || runner.fade.is_some();
        let (on, is_said) = match inputs.plan.windows.evidence {
            Some(Evidence::Race) => (Basis::Race, true),
            Some(Evidence::LongRuns) => (Basis::LongRuns, true),
            Some(Evidence::Hope) => (Basis::Hope, true),
            None if has_run => (Basis::LongRuns, true),
            None => (Basis::Hope, false),
        };
        Rests {
            on,
            is_said,
            expected: None,
        }
    }

    /// The finishes to expect of a runner who sets out for a target, seconds, which `on_the_day`
    /// makes later by what it was set without.
    ///
    /// Past results do not change with the wish: a target faster than they support leaves the
    /// likely finish where it is. One that is slower is a choice, and likely.
    #[must_use]
    pub fn finish(&self, target_s: f64, on_the_day: impl FnOnce(f64, Unaware) -> f64) -> Spread {
        if let Some(expected) = self.expected {
            return Spread {
                likely_s: expected.likely_s.max(target_s),
                ..expected
            };
        }
        let ((later, early, late), unaware) = match self.on {
            Basis::Results(_) | Basis::Race => (RACE, Unaware::OfHeat),
            Basis::LongRuns => (LONG_RUNS, Unaware::OfHeatAndHeight),
            Basis::Hope => (HOPE, Unaware::OfHeatAndHeight),
        };
        let slowed_s = on_the_day(target_s, unaware).max(target_s);
        Spread::between(slowed_s * f64::exp(later), early, late)
    }
}
