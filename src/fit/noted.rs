//! What a record of runs says of a runner: each run holds the figures it showed by itself, and they
//! are put together as those of recordings are.
//!
//! A record keeps the deviation of each figure and not what two figures have in common, so the
//! figures are a little less sure here than where the recordings are fitted.

use chrono::NaiveDate;

use crate::inputs::RunRecord;
use crate::inputs::record_toml::Measured;
use crate::pacing::usual_stop_share;
use crate::time::S_PER_HOUR;

use super::choice::{self, TriedRun, Verdict};
use super::combine::{self, Estimate};
use super::evidence::{self, Evidence};
use super::figures::Figures;
use super::linear;
use super::recording::Recording;

/// One run of a record.
#[derive(Clone, Copy, Debug)]
pub struct NotedRun<'a> {
    /// What the record keeps.
    pub run: &'a RunRecord,
    /// Its recording, where it is at hand: figures are tried on these.
    pub recording: Option<&'a Recording>,
    /// As a share of a run of today, 0 to 1.
    pub counts: f64,
}

/// A runner's own pacing figures by their record.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct OwnPace {
    /// How much of the recorded slowing, while moving.
    pub fade: Estimate,
    /// Own time on climbs over the model's.
    pub climb_multiplier: Estimate,
    /// Own time on descents over the model's.
    pub descent_multiplier: Estimate,
    /// Own time stood still over the usual.
    pub stop_multiplier: Estimate,
    /// Whether figures of these runs predict left-out recordings better than the defaults, by the
    /// rule of [`Fit`](super::Fit).
    pub verdict: Verdict,
    /// How many recordings were at hand to try that on.
    pub tried_on: usize,
    /// How many runs say something.
    pub runs: usize,
    /// The day of the last of them.
    pub last: NaiveDate,
    /// Runs that are far from the others, with what each counts for beside a usual day.
    pub outliers: Vec<(NaiveDate, f64)>,
}

/// A run that counts for less than this of a usual day is named: of days that vary as they should,
/// one in fifty is (chi-squared of three degrees of freedom above 10).
const OUTLIER_BELOW: f64 = 0.5;
/// A figure that a run does not hold says nothing: its deviation is far beyond any runner's.
const NOTHING: f64 = 1e3;

impl OwnPace {
    /// What runs say together; `None` where none of them says anything.
    #[must_use]
    pub fn of(noted: &[NotedRun<'_>]) -> Option<OwnPace> {
        let said: Vec<(&NotedRun<'_>, Evidence)> = (noted.iter())
            .filter_map(|one| Some((one, Evidence::noted(one)?)))
            .collect();
        let last = said.iter().map(|(one, _)| one.run.date).max()?;
        let combined = combine::combined(said.iter().map(|(_, evidence)| evidence));
        let weights = combine::weights(said.iter().map(|(_, evidence)| evidence));
        let at_hand: Vec<TriedRun<'_>> = (said.iter())
            .filter_map(|(one, evidence)| TriedRun::that_says(one.recording?, evidence.clone()))
            .collect();
        let outliers = said.iter().zip(weights);
        Some(OwnPace {
            fade: combined.fade,
            climb_multiplier: combined.climb,
            descent_multiplier: combined.descent,
            stop_multiplier: combined.stop,
            verdict: match at_hand.len() {
                0 | 1 => Verdict::Untried,
                _ => choice::judged(&at_hand).0.verdict,
            },
            tried_on: at_hand.len(),
            runs: said.len(),
            last,
            outliers: outliers
                .filter(|(_, weight)| *weight < OUTLIER_BELOW)
                .map(|((one, _), weight)| (one.run.date, weight))
                .collect(),
        })
    }

    /// The best guess of every figure.
    #[must_use]
    pub fn figures(&self) -> Figures {
        Figures {
            fade: self.fade.value,
            climb_multiplier: self.climb_multiplier.value,
            descent_multiplier: self.descent_multiplier.value,
            stop_multiplier: self.stop_multiplier.value,
        }
    }
}

impl Evidence {
    /// What a run of a record says; `None` where it holds no figure.
    fn noted(one: &NotedRun<'_>) -> Option<Evidence> {
        let (run, seen) = (one.run, one.run.pacing);
        let hours = run.hours();
        let has_stops = run.stops.is_some() || seen.stop_multiplier.is_some();
        let moving = [seen.fade, seen.climb_multiplier, seen.descent_multiplier];
        if moving.iter().all(Option::is_none) && !has_stops {
            return None;
        }
        let usual_h = usual_stop_share(hours) * hours;
        let stood_h = match seen.stop_multiplier {
            Some(own) => own.value * usual_h,
            None => run.stopped_s / S_PER_HOUR,
        };
        // who wrote a figure without its deviation is as sure as days are alike
        let unsaid = combine::day_to_day(hours);
        let fade = move_of(moving[0], evidence::USUAL[0], unsaid[0], |fade| (fade, 1.0));
        let ln = |own: f64| (own.ln(), own);
        let climb = move_of(moving[1], evidence::USUAL[1], unsaid[1], ln);
        let descent = move_of(moving[2], evidence::USUAL[2], unsaid[2], ln);
        let all = [fade, climb, descent];
        let moves = all.map(|(value, _)| value);
        Some(Evidence {
            best: evidence::figures(moves),
            hours,
            stood_h: if has_stops { stood_h } else { 0.0 },
            usual_h: if has_stops { usual_h } else { 0.0 },
            moves,
            covariance: linear::diagonal(all.map(|(_, off)| off * off)),
            counts: one.counts,
        })
    }
}

/// A figure as a move with its deviation; `read` gives the move and what a move of 1 changes.
fn move_of(
    figure: Option<Measured>,
    usual: f64,
    unsaid: f64,
    read: impl Fn(f64) -> (f64, f64),
) -> (f64, f64) {
    figure.map_or((usual, NOTHING), |own| {
        let (value, per_move) = read(own.value);
        (value, own.uncertainty.map_or(unsaid, |off| off / per_move))
    })
}
