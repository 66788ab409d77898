//! A runner's own pacing from runs they recorded: how they slow down, climb, descend and stand
//! about, drawn towards the usual as far as the recordings leave room for doubt.
//!
//! Three steps. A track becomes a [`Recording`]: a course, the times at which its metres were
//! passed, and the stops. Each recording by itself gives [`Evidence`]: figures that would make the
//! solver's times its own, and how sure they are. All evidence together, with what is known of
//! other runners, gives the runner's figures ([`Fit`]). Each recording is then predicted from the
//! others, to see whether the figures are worth using.

mod choice;
mod combine;
mod errors;
mod evidence;
mod figures;
mod gradients;
mod linear;
mod noted;
mod on_foot;
mod points;
mod recording;
mod refusal;
mod seen;
mod stopping;
mod stops;

use rayon::prelude::*;

use crate::diagnostics::Diagnostic;

pub use choice::{FigureTrial, Verdict};
pub use combine::Estimate;
pub use errors::{Errors, Summary};
pub use evidence::Evidence;
pub use figures::Figures;
pub use gradients::Bin;
pub use noted::{NotedRun, OwnPace};
pub use recording::Recording;
pub use seen::Seen;
pub use stopping::StopGroup;
pub use stops::Halt;

use choice::TriedRun;
use refusal::Refusal;

/// The pacing figures of a runner from recordings, and their worth.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Fit {
    /// Share of the recorded slowing, while moving.
    pub fade: Estimate,
    /// Own time on climbs over the model's.
    pub climb_multiplier: Estimate,
    /// Own time on descents over the model's.
    pub descent_multiplier: Estimate,
    /// Own time stood still over the usual.
    pub stop_multiplier: Estimate,
    /// Whether these predict left-out recordings better than the defaults.
    pub verdict: Verdict,
    /// The recordings, by when they were run, with what each says and how it was predicted.
    pub runs: Vec<FittedRun>,
    /// Moving pace by gradient, steepest descent first.
    pub bins: Vec<Bin>,
    /// Stops by the length of the run; groups without a run are left out.
    pub stop_groups: Vec<StopGroup>,
    /// Reach of the recordings.
    pub seen: Seen,
}

/// One recording of a [`Fit`].
#[derive(Clone, Debug)]
pub struct FittedRun {
    /// The recording.
    pub recording: Recording,
    /// Figures from it alone.
    pub evidence: Evidence,
    /// Errors of the splits predicted for it.
    pub trial: FigureTrial,
}

impl Fit {
    /// Fits the recordings of one runner. `None` where none of them is left.
    ///
    /// Says in `left_out` which recordings cannot be used: those that nobody could have run, and
    /// second copies of a run, which would be predicted from themselves.
    #[must_use]
    pub fn of(recordings: Vec<Recording>, left_out: &mut Vec<Diagnostic>) -> Option<Fit> {
        let recordings = single(recordings, left_out);
        let read: Vec<Option<TriedRun<'_>>> = recordings.par_iter().map(TriedRun::of).collect();
        let used: Vec<bool> = read.iter().map(Option::is_some).collect();
        for (recording, used) in recordings.iter().zip(&used) {
            if !used {
                left_out.push(Refusal::Unsolved.about(&recording.name));
            }
        }
        let runs: Vec<TriedRun<'_>> = read.into_iter().flatten().collect();
        if runs.is_empty() {
            return None;
        }
        let (choice, trials) = choice::judged(&runs);
        let combined = choice.combined;
        let of_all: Vec<&Recording> = runs.iter().map(|run| run.recording).collect();
        let mut fit = Fit {
            fade: combined.fade,
            climb_multiplier: combined.climb,
            descent_multiplier: combined.descent,
            stop_multiplier: combined.stop,
            verdict: choice.verdict,
            bins: gradients::bins(&of_all, combined.figures()),
            stop_groups: stopping::groups(&of_all),
            seen: Seen::on(&of_all),
            runs: Vec::new(),
        };
        let said: Vec<Evidence> = runs.into_iter().map(|run| run.evidence).collect();
        let own = recordings.into_iter().zip(used).filter(|(_, used)| *used);
        fit.runs = (own.zip(said).zip(trials))
            .map(|(((recording, _), evidence), trial)| FittedRun {
                recording,
                evidence,
                trial,
            })
            .collect();
        Some(fit)
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

    /// Errors of all recordings: with the defaults, and each predicted from the others, where
    /// there are others.
    #[must_use]
    pub fn summaries(&self) -> (Summary, Option<Summary>) {
        choice::summaries(self.runs.iter().map(|run| &run.trial))
    }
}

/// In order of time, each run once.
fn single(mut recordings: Vec<Recording>, left_out: &mut Vec<Diagnostic>) -> Vec<Recording> {
    recordings.sort_by(|a, b| (a.start_s.total_cmp(&b.start_s)).then_with(|| a.name.cmp(&b.name)));
    let mut kept: Vec<Recording> = Vec::new();
    for recording in recordings {
        match kept.iter().find(|other| recording.is_same_as(other)) {
            Some(other) => left_out.push(
                Diagnostic::warning(format!(
                    "`{}` is left out: it is the same run as `{}`",
                    recording.name, other.name
                ))
                .hint("give each run once, and the runs of one runner only"),
            ),
            None => kept.push(recording),
        }
    }
    kept
}
