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
        pub figure: OwnFigureFacts = OwnFigureFacts {
            key: "fade",
            words: "slowing down",
            usual: Measure::ratio(USUAL_FADE),
            value: Measure::ratio(own.fade.value),
            low: Measure::ratio(own.fade.low),
            high: Measure::ratio(own.fade.high),
            own_share: Measure::share(own.fade.own_share),
        },
        /// True where it predicts left-out recordings better than the defaults; nothing where
        /// there is no second recording to try.
        pub better_than_default: Option<bool> = match fit.own.verdict {
            FitVerdict::Better => Some(true),
            FitVerdict::NoBetter => Some(false),
            FitVerdict::Untried => None,
        },
        /// The meaning of that, in words.
        pub worth: String = super::fit_words::worth(fit),
        /// Errors of splits with the defaults.
        pub default_error: ErrorFacts = ErrorFacts::of("default", &own.default_error),
        /// Errors of splits with the figures, each recording predicted from the others.
        pub fitted_error: Option<ErrorFacts> =
            own.own_error.map(|errors| ErrorFacts::of("yours", &errors)),
        /// The recordings.
        pub recordings: Vec<RecordingFacts> = (fit.runs.iter().zip(&fit.own.trials))
            .map(|(run, trial)| RecordingFacts::of(run, trial.as_ref(), units))
            .collect(),
        /// Recordings that were left out, and why.
        pub left_out: Vec<String> = left_out.iter().map(|d| d.message.clone()).collect(),
        /// The limits of the recordings.
        pub cannot_tell: Vec<String> = super::fit_words::cannot_tell(fit),
        /// The lines for `runner.toml`.
        pub runner_toml: Vec<String> = lines,
    } from pub fn of(fit: &Fit, left_out: &[Diagnostic], units: Units, lines: Vec<String>) {
        let own = &fit.own;
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
        pub of: &'static str = of,
        /// Mean.
        pub mean: Measure = Measure::percent(errors.mean_pct, 2),
        /// Half are below.
        pub median: Measure = Measure::percent(errors.median_pct, 2),
        /// Nine in ten are below.
        pub p90: Measure = Measure::percent(errors.p90_pct, 2),
    } from fn of(of: &'static str, errors: &Summary) {}

    /// A recording of the fit.
    pub struct RecordingFacts {
        /// Its name.
        pub recording: String = recording.name.clone(),
        /// The day, where its clock was set.
        pub date: Option<String> = recording.day().map(|day| day.to_string()),
        /// Length.
        pub length: Measure = Measure::distance(units, recording.course.profile.length_m()),
        /// Climb.
        pub climb: Measure = Measure::height(units, climb_m),
        /// Descent.
        pub descent: Measure = Measure::height(units, descent_m),
        /// Finish time.
        pub finish: Measure = time(recording.finish_s),
        /// Time stood still.
        pub stood: Measure = time(recording.stopped_s()),
        /// Number of stops.
        pub stops: usize = recording.stops.len(),
        /// Fade by itself.
        pub fade_alone: f64 = run.evidence.fade,
        /// Mean error of its splits with the defaults.
        pub default_error: Measure = Measure::percent(by_default, 2),
        /// Mean error of its splits, predicted from the others.
        pub fitted_error: Option<Measure> = by_others.map(|own| Measure::percent(own, 2)),
        /// True where that is better.
        pub is_better: bool = by_others.is_some_and(|own| own < by_default),
    } from fn of(run: &FittedRun, trial: Option<&FigureTrial>, units: Units) {
        let recording = &run.recording;
        let (climb_m, descent_m) = recording.course.climb_and_descent_m();
        let time = |s: f64| Measure::time(Elapsed::from_s(s));
        let by_default = trial.map_or(0.0, |trial| trial.by_default.mean_pct());
        let by_others = trial.and_then(|trial| Some(trial.by_others.as_ref()?.mean_pct()));
    }
}
