//! Facts of a fit: a runner's own figures, what they rest on and what they are worth.

use crate::diagnostics::Diagnostic;
use crate::fit::{FigureTrial, Fit, FitVerdict, FittedRun, Summary, USUAL_FADE};
use crate::time::Elapsed;
use crate::units::Units;

use super::value::{Measure, record};

record! {
    /// A runner's own pacing from recordings.
    pub struct FitFacts {
        /// The figure.
        pub figure: OwnFigureFacts,
        /// True where it predicts left-out recordings better than the defaults; nothing where
        /// there is no second recording to try.
        pub better_than_default: Option<bool>,
        /// The meaning of that, in words.
        pub worth: String,
        /// Errors of splits with the defaults.
        pub default_error: ErrorFacts,
        /// Errors of splits with the figures, each recording predicted from the others.
        pub fitted_error: Option<ErrorFacts>,
        /// The recordings.
        pub recordings: Vec<RecordingFacts>,
        /// Recordings that were left out, and why.
        pub left_out: Vec<String>,
        /// The limits of the recordings.
        pub cannot_tell: Vec<String>,
        /// The lines for `runner.toml`.
        pub runner_toml: Vec<String>,
    }

    /// The runner's own figure.
    pub struct OwnFigureFacts {
        /// Its key in `runner.toml`.
        pub key: &'static str,
        /// Its name.
        pub words: &'static str,
        /// The usual figure of runners.
        pub usual: Measure,
        /// The runner's.
        pub value: Measure,
        /// Low end of a range that holds two cases of three.
        pub low: Measure,
        /// High end of that range.
        pub high: Measure,
        /// The share of it that rests on the recordings rather than on the usual.
        pub own_share: Measure,
    }

    /// Errors of predicted splits, percent of the finish time.
    pub struct ErrorFacts {
        /// Whose figures.
        pub of: &'static str,
        /// Mean.
        pub mean: Measure,
        /// Half are below.
        pub median: Measure,
        /// Nine in ten are below.
        pub p90: Measure,
    }

    /// A recording of the fit.
    pub struct RecordingFacts {
        /// Its name.
        pub recording: String,
        /// The day, where its clock was set.
        pub date: Option<String>,
        /// Length.
        pub length: Measure,
        /// Climb.
        pub climb: Measure,
        /// Descent.
        pub descent: Measure,
        /// Finish time.
        pub finish: Measure,
        /// Time stood still.
        pub stood: Measure,
        /// Number of stops.
        pub stops: usize,
        /// Fade by itself.
        pub fade_alone: f64,
        /// Mean error of its splits with the defaults.
        pub default_error: Measure,
        /// Mean error of its splits, predicted from the others.
        pub fitted_error: Option<Measure>,
        /// True where that is better.
        pub is_better: bool,
    }
}

impl FitFacts {
    /// The facts of a fit, with what says why recordings were left out.
    #[must_use]
    pub fn of(fit: &Fit, left_out: &[Diagnostic], units: Units, lines: Vec<String>) -> FitFacts {
        let own = &fit.own;
        FitFacts {
            figure: OwnFigureFacts {
                key: "fade",
                words: "slowing down",
                usual: Measure::ratio(USUAL_FADE),
                value: Measure::ratio(own.fade.value),
                low: Measure::ratio(own.fade.low),
                high: Measure::ratio(own.fade.high),
                own_share: Measure::share(own.fade.own_share),
            },
            better_than_default: match fit.own.verdict {
                FitVerdict::Better => Some(true),
                FitVerdict::NoBetter => Some(false),
                FitVerdict::Untried => None,
            },
            worth: super::fit_words::worth(fit),
            default_error: ErrorFacts::of("default", &own.default_error),
            fitted_error: own.own_error.map(|errors| ErrorFacts::of("yours", &errors)),
            recordings: (fit.runs.iter().zip(&fit.own.trials))
                .map(|(run, trial)| RecordingFacts::of(run, trial.as_ref(), units))
                .collect(),
            left_out: left_out.iter().map(|d| d.message.clone()).collect(),
            cannot_tell: super::fit_words::cannot_tell(fit),
            runner_toml: lines,
        }
    }
}

impl ErrorFacts {
    fn of(of: &'static str, errors: &Summary) -> ErrorFacts {
        ErrorFacts {
            of,
            mean: Measure::percent(errors.mean_pct, 2),
            median: Measure::percent(errors.median_pct, 2),
            p90: Measure::percent(errors.p90_pct, 2),
        }
    }
}

impl RecordingFacts {
    fn of(run: &FittedRun, trial: Option<&FigureTrial>, units: Units) -> RecordingFacts {
        let recording = &run.recording;
        let (climb_m, descent_m) = recording.course.climb_and_descent_m();
        let time = |s: f64| Measure::time(Elapsed::from_s(s));
        let by_default = trial.map_or(0.0, |trial| trial.by_default.mean_pct());
        let by_others = trial.and_then(|trial| Some(trial.by_others.as_ref()?.mean_pct()));
        RecordingFacts {
            recording: recording.name.clone(),
            date: recording.day().map(|day| day.to_string()),
            length: Measure::distance(units, recording.course.profile.length_m()),
            climb: Measure::height(units, climb_m),
            descent: Measure::height(units, descent_m),
            finish: time(recording.finish_s),
            stood: time(recording.stopped_s()),
            stops: recording.stops.len(),
            fade_alone: run.evidence.fade,
            default_error: Measure::percent(by_default, 2),
            fitted_error: by_others.map(|own| Measure::percent(own, 2)),
            is_better: by_others.is_some_and(|own| own < by_default),
        }
    }
}
