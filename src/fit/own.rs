//! A runner's own pacing from all of their runs together, recorded or noted, drawn towards what
//! other runners show; and whether it would have predicted the runs it was not fitted to.
//!
//! A runner is one of many, and each of their days one of theirs: the fade differs between runners
//! by [`BETWEEN`] and between one runner's days by [`day_to_day`]. What a run is worth follows from
//! both and from how sure it is by itself: normal theory with two guards. A day that is far off
//! counts for less (Student's t with [`DEGREES`] degrees of freedom), and the days' spread is
//! learned from the runner's own once there are several.
//!
//! On 22 public recordings of three runners, each predicted from that runner's others, this takes
//! the mean error of splits from 2.10 % of the finish time to 1.98 %, and 15 of them are predicted
//! better. Time stood still, multipliers of climbs and descents and a line that far pieces
//! hardly bend were tried on them too, and took it no lower.

use chrono::NaiveDate;
use rayon::prelude::*;

use super::errors::{SplitErrors, Summary};
use super::evidence::{RunEvidence, day_to_day};
use super::figures::{USUAL_FADE, own_settings};
use super::recording::Recording;

/// A figure and how sure it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FittedFigure {
    /// The best guess.
    pub value: f64,
    /// Ends of the range that holds it in two of three cases.
    pub low: f64,
    /// The other end.
    pub high: f64,
    /// Share of the way from the usual to what the runs show by themselves, 0 to 1.
    pub own_share: f64,
}

/// One run of a runner.
#[derive(Clone, Copy, Debug)]
pub struct SaidRun<'a> {
    /// Its day, where that is known.
    pub date: Option<NaiveDate>,
    /// Its evidence.
    pub evidence: RunEvidence,
    /// Its recording, where it is at hand: figures are tried on these.
    pub recording: Option<&'a Recording>,
}

/// A runner's own pacing figures.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct OwnPace {
    /// Share of the recorded slowing, while moving.
    pub fade: FittedFigure,
    /// True where this predicts left-out recordings better than the defaults.
    pub verdict: FitVerdict,
    /// Errors of all recordings at hand with the defaults.
    pub default_error: Summary,
    /// The same, each predicted from the others, where there are others.
    pub own_error: Option<Summary>,
    /// Each run's errors, `None` where its recording is not at hand.
    pub trials: Vec<Option<FigureTrial>>,
    /// Number of runs that say something.
    pub runs: usize,
    /// The day of the last of them.
    pub last: Option<NaiveDate>,
    /// Runs that are far from the others, with what each counts for beside a usual day.
    pub outliers: Vec<(NaiveDate, f64)>,
}

/// One recording's errors, twice.
#[derive(Clone, Debug, PartialEq)]
pub struct FigureTrial {
    /// With the defaults.
    pub by_default: SplitErrors,
    /// With what the other runs gave; `None` where there is no other.
    pub by_others: Option<SplitErrors>,
}

/// The result of trying the figures on left-out recordings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FitVerdict {
    /// They predict left-out recordings better than the defaults.
    Better,
    /// They do not.
    NoBetter,
    /// There are not two recordings: nothing is left to try them on.
    Untried,
}

/// After so many days a run counts half. Our choice: fitness and heat habits pass in a season.
pub const HALF_AFTER_DAYS: f64 = 120.0;

/// Standard deviation of the fade between runners. Two thirds or four thirds of it change the error
/// of left-out public recordings by less than a hundredth of a percent of the finish time.
const BETWEEN: f64 = 0.15;
/// Of the t distribution that days are drawn from.
const DEGREES: f64 = 4.0;
/// As many days' worth of belief in the spread of [`day_to_day`].
const DAYS_KNOWN: f64 = 3.0;
/// Figures that leave more than this share of the error are not worth having: that little is chance.
const WORTH: f64 = 0.98;
/// A run that counts for less than this of a usual day is named.
const OUTLIER_BELOW: f64 = 0.5;

/// The weight of a run beside one of the last day; one without a day counts as half as much.
#[must_use]
pub fn fresh(date: Option<NaiveDate>, last: Option<NaiveDate>) -> f64 {
    match (date, last) {
        (Some(date), Some(last)) => 0.5_f64.powf((last - date).num_days() as f64 / HALF_AFTER_DAYS),
        (None, Some(_)) => 0.5,
        (_, None) => 1.0,
    }
}

impl OwnPace {
    /// The figures of all runs together; `None` where there are none.
    #[must_use]
    pub fn of(said: &[SaidRun<'_>]) -> Option<OwnPace> {
        let together: Vec<&SaidRun<'_>> = said.iter().collect();
        let (fade, weights) = faded(&together);
        let trials: Vec<Option<FigureTrial>> = (0..said.len())
            .into_par_iter()
            .map(|left_out| tried(said, left_out))
            .collect();
        let all = || trials.iter().flatten();
        let default_error = Summary::over(all().map(|trial| &trial.by_default));
        let by_others = all().filter_map(|trial| trial.by_others.as_ref());
        let own_error = (all().count() > 1).then(|| Summary::over(by_others));
        let outliers = said.iter().zip(weights);
        (!said.is_empty()).then(|| OwnPace {
            fade,
            verdict: match own_error {
                Some(own) if own.mean_pct < WORTH * default_error.mean_pct => FitVerdict::Better,
                Some(_) => FitVerdict::NoBetter,
                None => FitVerdict::Untried,
            },
            default_error,
            own_error,
            trials,
            runs: said.len(),
            last: said.iter().filter_map(|one| one.date).max(),
            outliers: outliers
                .filter(|(_, weight)| *weight < OUTLIER_BELOW)
                .filter_map(|(one, weight)| Some((one.date?, weight)))
                .collect(),
        })
    }

    /// Number of recordings that the figures were tried on.
    #[must_use]
    pub fn tried_on(&self) -> usize {
        self.trials.iter().flatten().count()
    }
}

/// A recording predicted by the defaults and from all other runs.
fn tried(said: &[SaidRun<'_>], left_out: usize) -> Option<FigureTrial> {
    let recording = said[left_out].recording?;
    let others = said.iter().enumerate().filter(|(i, _)| *i != left_out);
    let others: Vec<&SaidRun<'_>> = others.map(|(_, one)| one).collect();
    let by_others = (!others.is_empty()).then(|| faded(&others).0.value);
    Some(FigureTrial {
        by_default: SplitErrors::of(recording, &crate::pacing::PacingSettings::default())?,
        by_others: by_others.and_then(|fade| SplitErrors::of(recording, &own_settings(fade))),
    })
}

/// The runner's fade and the days' weights, after as many rounds as it takes for weights and spread
/// to settle.
fn faded(said: &[&SaidRun<'_>]) -> (FittedFigure, Vec<f64>) {
    let last = said.iter().filter_map(|one| one.date).max();
    // fade, its variance by itself, the days' variance, what it counts for
    let days: Vec<(f64, f64, f64, f64)> = (said.iter())
        .map(|one| {
            let own = &one.evidence;
            let variances = (own.uncertainty.powi(2), day_to_day(own.hours).powi(2));
            (own.fade, variances.0, variances.1, fresh(one.date, last))
        })
        .collect();
    let known = 1.0 / (BETWEEN * BETWEEN);
    let others = (days.iter().map(|day| day.3).sum::<f64>() - 1.0).max(0.0);
    let (mut scale, mut weights) = (1.0, vec![1.0; days.len()]);
    let (mut value, mut precision) = (USUAL_FADE, known);
    for _ in 0..50 {
        let (before, mut pull) = (value, 0.0);
        precision = known;
        for ((fade, own, days, counts), weight) in days.iter().zip(&weights) {
            let information = weight * counts / (own + scale * days);
            precision += information;
            pull += information * (fade - USUAL_FADE);
        }
        value = USUAL_FADE + pull / precision;
        let mut squares = 0.0;
        for ((fade, own, days, counts), weight) in days.iter().zip(&mut weights) {
            let squared = (fade - value).powi(2);
            *weight = (DEGREES + 1.0) / (DEGREES + squared / (own + scale * days));
            squares += counts * *weight * squared / (own + days);
        }
        scale = (DAYS_KNOWN + squares.min(4.0 * others)) / (DAYS_KNOWN + others);
        if (value - before).abs() < 1e-6 {
            break;
        }
    }
    let spread = precision.sqrt().recip();
    let kept = |value: f64| value.clamp(0.0, 4.0);
    let fade = FittedFigure {
        value: kept(value),
        low: kept(value - spread),
        high: kept(value + spread),
        own_share: (1.0 - known / precision).clamp(0.0, 1.0),
    };
    (fade, weights)
}
