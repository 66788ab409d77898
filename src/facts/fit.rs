//! Facts of a fit: a runner's own figures, what they rest on and what they are worth.

use chrono::Datelike;

use crate::diagnostics::Diagnostic;
use crate::fit::{Bin, Estimate, Figures, Fit, FittedRun, StopGroup, Summary, Verdict};
use crate::pacing::usual_stop_share;
use crate::time::{Elapsed, S_PER_HOUR};
use crate::units::Units;

use super::value::{Measure, record};

record! {
    /// A runner's own pacing from recordings.
    pub struct FitFacts {
        /// The figures.
        pub figures: Vec<OwnFigureFacts>,
        /// Whether they predict left-out recordings better than the defaults; nothing where there
        /// is no second recording to try.
        pub better_than_default: Option<bool>,
        /// What that means, in words.
        pub worth: String,
        /// Errors of splits with the defaults.
        pub default_error: ErrorFacts,
        /// Errors of splits with the figures, each recording predicted from the others.
        pub fitted_error: Option<ErrorFacts>,
        /// The recordings.
        pub recordings: Vec<RecordingFacts>,
        /// Recordings that were left out, and why.
        pub left_out: Vec<String>,
        /// Moving pace by gradient, steepest descent first.
        pub gradients: Vec<GradientFacts>,
        /// Stops by the length of the run.
        pub stops: Vec<StopGroupFacts>,
        /// Time to plan for standing.
        pub standing: Vec<StandingFacts>,
        /// What the recordings cannot tell.
        pub cannot_tell: Vec<String>,
        /// The lines for `runner.toml`.
        pub runner_toml: Vec<String>,
    }
}

record! {
    /// One of the runner's own figures.
    pub struct OwnFigureFacts {
        /// Its key in `runner.toml`.
        pub key: &'static str,
        /// What it is.
        pub words: &'static str,
        /// What runners usually show.
        pub usual: Measure,
        /// The runner's.
        pub value: Measure,
        /// Low end of a range that holds two cases of three.
        pub low: Measure,
        /// High end of that range.
        pub high: Measure,
        /// How far it rests on the recordings rather than on the usual.
        pub own_share: Measure,
    }
}

record! {
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
        /// Of the time of a piece.
        pub pieces: Measure,
    }
}

record! {
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
        /// Time on climbs by itself.
        pub climb_multiplier_alone: f64,
        /// Time on descents by itself.
        pub descent_multiplier_alone: f64,
        /// Mean error of its splits with the defaults.
        pub default_error: Measure,
        /// Mean error of its splits, predicted from the others.
        pub fitted_error: Option<Measure>,
        /// Whether that is better.
        pub is_better: bool,
    }
}

record! {
    /// Moving pace on ground of about one gradient.
    pub struct GradientFacts {
        /// The gradient in words.
        pub words: String,
        /// The middle of its range, percent.
        pub gradient_pct: f64,
        /// Length of it in the recordings.
        pub length: Measure,
        /// Moving pace; nothing where there is too little of it.
        pub pace: Option<Measure>,
        /// Own time over the model's at the same effort.
        pub over_model: Option<Measure>,
    }
}

record! {
    /// Stops in runs of about one length.
    pub struct StopGroupFacts {
        /// The length in words.
        pub words: String,
        /// Runs.
        pub runs: usize,
        /// Share of the time stood still.
        pub stood: Measure,
        /// The usual share.
        pub usual: Measure,
        /// Stops on ten kilometres or miles.
        pub per_ten: Measure,
        /// Half are shorter.
        pub median: Option<Measure>,
        /// Nine in ten are shorter.
        pub p90: Option<Measure>,
    }
}

record! {
    /// Time to plan for standing at one finish time.
    pub struct StandingFacts {
        /// The finish time, hours.
        pub finish_h: f64,
        /// Standing in all.
        pub standing: Measure,
        /// At each of 5 stations.
        pub each_of_5: Measure,
        /// At each of 15 stations.
        pub each_of_15: Measure,
    }
}

/// Finish times for which the runner's standing is worked out, hours.
const ADVISED_H: [f64; 4] = [6.0, 12.0, 24.0, 36.0];

/// With less of a gradient than this its pace says nothing, metres.
const LEAST_PACED_M: f64 = 500.0;

impl FitFacts {
    /// The facts of a fit, with what says why recordings were left out.
    #[must_use]
    pub fn of(fit: &Fit, left_out: &[Diagnostic], units: Units, lines: Vec<String>) -> FitFacts {
        let (by_default, by_others) = fit.summaries();
        FitFacts {
            figures: own_figures(fit),
            better_than_default: match fit.verdict {
                Verdict::Better => Some(true),
                Verdict::NoBetter => Some(false),
                Verdict::Untried => None,
            },
            worth: super::fit_words::worth(fit),
            default_error: ErrorFacts::of("default", &by_default),
            fitted_error: by_others.map(|errors| ErrorFacts::of("yours", &errors)),
            recordings: (fit.runs.iter())
                .map(|run| RecordingFacts::of(run, units))
                .collect(),
            left_out: left_out.iter().map(|d| d.message.clone()).collect(),
            gradients: gradients(&fit.bins, units),
            stops: (fit.stop_groups.iter())
                .map(|group| StopGroupFacts::of(group, units))
                .collect(),
            standing: ADVISED_H.map(|hours| standing(fit, hours)).to_vec(),
            cannot_tell: super::fit_words::cannot_tell(fit, units),
            runner_toml: lines,
        }
    }
}

fn own_figures(fit: &Fit) -> Vec<OwnFigureFacts> {
    let usual = Figures::USUAL;
    let figure = |words, key, usual: f64, own: Estimate| OwnFigureFacts {
        key,
        words,
        usual: Measure::ratio(usual),
        value: Measure::ratio(own.value),
        low: Measure::ratio(own.low),
        high: Measure::ratio(own.high),
        own_share: Measure::share(own.own_share),
    };
    vec![
        figure("slowing down", "fade", usual.fade, fit.fade),
        figure(
            "time on climbs",
            "climb_multiplier",
            usual.climb_multiplier,
            fit.climb_multiplier,
        ),
        figure(
            "time on descents",
            "descent_multiplier",
            usual.descent_multiplier,
            fit.descent_multiplier,
        ),
        figure(
            "time stood still",
            "stop_multiplier",
            usual.stop_multiplier,
            fit.stop_multiplier,
        ),
    ]
}

impl ErrorFacts {
    fn of(of: &'static str, errors: &Summary) -> ErrorFacts {
        ErrorFacts {
            of,
            mean: Measure::percent(errors.mean_pct, 2),
            median: Measure::percent(errors.median_pct, 2),
            p90: Measure::percent(errors.p90_pct, 2),
            pieces: Measure::percent(errors.pieces_pct, 1),
        }
    }
}

impl RecordingFacts {
    fn of(run: &FittedRun, units: Units) -> RecordingFacts {
        let recording = &run.recording;
        let (climb_m, descent_m) = recording.course.climb_and_descent_m();
        let time = |s: f64| Measure::time(Elapsed::from_s(s));
        let by_default = run.trial.by_default.mean_pct();
        let by_others = run.trial.by_others.as_ref().map(|errors| errors.mean_pct());
        // a recorder whose clock was never set starts in the past
        let start = recording.start().filter(|start| start.year() > 2000);
        let alone = &run.evidence.best;
        RecordingFacts {
            recording: recording.name.clone(),
            date: start.map(|start| start.format("%Y-%m-%d").to_string()),
            length: Measure::distance(units, recording.course.profile.length_m()),
            climb: Measure::height(units, climb_m),
            descent: Measure::height(units, descent_m),
            finish: time(recording.finish_s),
            stood: time(recording.stopped_s()),
            stops: recording.stops.len(),
            fade_alone: alone.fade,
            climb_multiplier_alone: alone.climb_multiplier,
            descent_multiplier_alone: alone.descent_multiplier,
            default_error: Measure::percent(by_default, 2),
            fitted_error: by_others.map(|own| Measure::percent(own, 2)),
            is_better: by_others.is_some_and(|own| own < by_default),
        }
    }
}

fn gradients(bins: &[Bin], units: Units) -> Vec<GradientFacts> {
    let last = bins.len().saturating_sub(1);
    let gradient = |(index, bin): (usize, &Bin)| {
        let middle_pct = (50.0 * (bin.from + bin.to)).round() + 0.0;
        let words = match index {
            0 => format!("{middle_pct:+.0} % and below"),
            _ if index == last => format!("{middle_pct:+.0} % and above"),
            _ if middle_pct.abs() < 0.5 => "level".to_owned(),
            _ => format!("{middle_pct:+.0} %"),
        };
        // a single stretch says nothing, and its pace would be read all the same
        let paced = bin.length_m >= LEAST_PACED_M;
        GradientFacts {
            words,
            gradient_pct: middle_pct,
            length: Measure::distance(units, bin.length_m),
            pace: paced.then(|| Measure::pace(units, bin.moving_s / bin.length_m)),
            over_model: bin.over_model.map(Measure::ratio),
        }
    };
    bins.iter().enumerate().map(gradient).collect()
}

impl StopGroupFacts {
    fn of(group: &StopGroup, units: Units) -> StopGroupFacts {
        let words = if group.to_h.is_finite() {
            format!("{:.0} to {:.0} h", group.from_h, group.to_h)
        } else {
            format!("{:.0} h and more", group.from_h)
        };
        let per_ten = group.per_10_km * units.distance_unit_m() / 1000.0;
        StopGroupFacts {
            words,
            runs: group.runs,
            stood: Measure::percent(100.0 * group.share, 1),
            usual: Measure::percent(100.0 * group.usual_share, 1),
            per_ten: Measure::decimal(per_ten, 1),
            median: group.median_s.map(Measure::minutes),
            p90: group.p90_s.map(Measure::minutes),
        }
    }
}

fn standing(fit: &Fit, hours: f64) -> StandingFacts {
    let share = fit.stop_multiplier.value * usual_stop_share(hours);
    let stood_s = share * hours * S_PER_HOUR;
    StandingFacts {
        finish_h: hours,
        standing: Measure::time(Elapsed::from_s(stood_s)),
        each_of_5: Measure::minutes(stood_s / 5.0),
        each_of_15: Measure::minutes(stood_s / 15.0),
    }
}
