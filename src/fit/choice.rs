//! Whether a runner's own figures are worth using: would they have predicted the runs they were
//! not fitted to?

use rayon::prelude::*;

use crate::pacing::PacingSettings;

use super::combine::{self, Combined};
use super::errors::{Errors, Summary};
use super::evidence::Evidence;
use super::recording::Recording;

/// A recording with what it says, and how far the defaults are off on it.
#[derive(Clone, Debug)]
pub(super) struct TriedRun<'a> {
    pub(super) recording: &'a Recording,
    pub(super) evidence: Evidence,
    pub(super) by_default: Errors,
}

/// One recording's errors, twice.
#[derive(Clone, Debug, PartialEq)]
pub struct FigureTrial {
    /// With the defaults.
    pub by_default: Errors,
    /// With what the other recordings gave; `None` where there is no other.
    pub by_others: Option<Errors>,
}

/// Figures, and whether they beat the defaults on runs they were not fitted to.
#[derive(Clone, Copy, Debug)]
pub(super) struct Choice {
    pub(super) combined: Combined,
    pub(super) verdict: Verdict,
}

/// What trying the figures on left-out recordings showed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Verdict {
    /// They predict left-out recordings better than the defaults.
    Better,
    /// They do not.
    NoBetter,
    /// There is but one recording: nothing is left to try them on.
    Untried,
}

/// Recordings are left out one at a time; beyond this many, as many groups of them.
const MOST_FOLDS: usize = 25;

impl<'a> TriedRun<'a> {
    /// What a recording says; `None` where nobody could have run it.
    pub(super) fn of(recording: &'a Recording) -> Option<TriedRun<'a>> {
        TriedRun::that_says(recording, Evidence::of(recording)?)
    }

    /// A recording of which it is known what it says.
    pub(super) fn that_says(recording: &'a Recording, evidence: Evidence) -> Option<TriedRun<'a>> {
        Some(TriedRun {
            recording,
            evidence,
            by_default: Errors::of(recording, &PacingSettings::default())?,
        })
    }
}

impl Choice {
    /// Fits some runs, and tries the fit on each of them in turn.
    fn of(runs: &[&TriedRun<'_>]) -> Choice {
        let combined = combine::combined(runs.iter().map(|run| &run.evidence));
        let verdict = if runs.len() < 2 {
            Verdict::Untried
        } else {
            let gained: f64 = folds(runs)
                .map(|(left_out, others)| {
                    let settings = combine::combined(others.iter().map(|run| &run.evidence))
                        .figures()
                        .settings();
                    left_out.iter().map(|run| gain(run, &settings)).sum::<f64>()
                })
                .sum();
            if gained > 0.0 {
                Verdict::Better
            } else {
                Verdict::NoBetter
            }
        };
        Choice { combined, verdict }
    }

    /// The settings to plan with: the defaults where the figures are no better.
    fn settings(&self) -> PacingSettings {
        match self.verdict {
            Verdict::Better | Verdict::Untried => self.combined.figures().settings(),
            Verdict::NoBetter => PacingSettings::default(),
        }
    }
}

/// The choice for some runs, and how each was predicted from the others.
pub(super) fn judged(runs: &[TriedRun<'_>]) -> (Choice, Vec<FigureTrial>) {
    let trials = tried(runs);
    let mut choice = Choice::of(&runs.iter().collect::<Vec<_>>());
    // a choice that does not hold when it is made without each recording in turn is chance
    if let (before, Some(after)) = summaries(trials.iter())
        && after.mean_pct >= before.mean_pct
    {
        choice.verdict = Verdict::NoBetter;
    }
    (choice, trials)
}

/// Errors of all trials: with the defaults, and each predicted from the others, where there are
/// others.
pub(super) fn summaries<'t>(
    trials: impl Iterator<Item = &'t FigureTrial> + Clone,
) -> (Summary, Option<Summary>) {
    let by_default = Summary::over(trials.clone().map(|trial| &trial.by_default));
    let by_others = trials.filter_map(|trial| trial.by_others.as_ref());
    let tried = by_others.clone().next().is_some();
    (by_default, tried.then(|| Summary::over(by_others)))
}

/// Each recording predicted from the others, the choice between their figures and the defaults
/// included: it too is made without the one that is predicted.
fn tried(runs: &[TriedRun<'_>]) -> Vec<FigureTrial> {
    let all: Vec<&TriedRun<'_>> = runs.iter().collect();
    let mut trials: Vec<FigureTrial> = runs
        .iter()
        .map(|run| FigureTrial {
            by_default: run.by_default.clone(),
            by_others: None,
        })
        .collect();
    if runs.len() < 2 {
        return trials;
    }
    let folds: Vec<_> = folds(&all).collect();
    let tried: Vec<Vec<Option<Errors>>> = folds
        .par_iter()
        .map(|(left_out, others)| {
            let settings = Choice::of(others).settings();
            left_out
                .iter()
                .map(|run| Errors::of(run.recording, &settings))
                .collect()
        })
        .collect();
    let count = tried.len();
    for (fold, errors) in tried.into_iter().enumerate() {
        for (trial, errors) in trials.iter_mut().skip(fold).step_by(count).zip(errors) {
            trial.by_others = errors;
        }
    }
    trials
}

/// How much smaller a run's mean error is than with the defaults.
fn gain(run: &TriedRun<'_>, settings: &PacingSettings) -> f64 {
    Errors::of(run.recording, settings)
        .map_or(0.0, |errors| run.by_default.mean_pct() - errors.mean_pct())
}

type Fold<'r, 'a> = (Vec<&'r TriedRun<'a>>, Vec<&'r TriedRun<'a>>);

/// What is left out and what remains, for every fold: each n-th run.
fn folds<'r, 'a>(runs: &[&'r TriedRun<'a>]) -> impl Iterator<Item = Fold<'r, 'a>> {
    let count = runs.len().min(MOST_FOLDS);
    (0..count).map(move |fold| {
        let mut split = (Vec::new(), Vec::new());
        for (i, run) in runs.iter().enumerate() {
            if i % count == fold {
                split.0.push(*run);
            } else {
                split.1.push(*run);
            }
        }
        split
    })
}
