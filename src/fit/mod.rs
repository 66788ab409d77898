//! A runner's own pacing from runs they recorded: how they slow down, drawn towards the
//! usual as far as the recordings leave room for doubt.
//!
//! Three steps. A track becomes a [`Recording`]: a course, the times at which its metres were
//! passed, and the stops. Each run by itself gives [`RunEvidence`]: the fade that would make the
//! solver's times its own, and how sure it is. All evidence together, with what is known of other
//! runners, gives the runner's own fade ([`OwnPace`]), for a fit and for a record alike. Each
//! recording is then predicted from the others, to see whether the figures are worth using.

mod errors;
mod evidence;
mod figures;
mod on_foot;
mod own;
mod points;
mod recording;
mod refusal;
mod stops;

use rayon::prelude::*;

use crate::diagnostics::Diagnostic;

pub use errors::{SplitErrors, Summary};
pub use evidence::RunEvidence;
pub use figures::{USUAL_FADE, USUAL_STOPS, own_settings};
pub use own::{FigureTrial, FitVerdict, FittedFigure, HALF_AFTER_DAYS, OwnPace, SaidRun, fresh};
pub use recording::Recording;
pub use stops::Halt;

use refusal::Refusal;

/// The pacing figures of a runner from recordings, and their worth.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Fit {
    /// The figures.
    pub own: OwnPace,
    /// The recordings, by when they were run, with what each says and how it was predicted.
    pub runs: Vec<FittedRun>,
}

/// One recording of a [`Fit`].
#[derive(Clone, Debug)]
pub struct FittedRun {
    /// The recording.
    pub recording: Recording,
    /// Figures from it alone.
    pub evidence: RunEvidence,
}

impl Fit {
    /// Fits the recordings of one runner. `None` where none of them is left.
    ///
    /// Says in `left_out` which recordings cannot be used: those that nobody could have run, and
    /// second copies of a run, which would be predicted from themselves.
    #[must_use]
    pub fn of(recordings: Vec<Recording>, left_out: &mut Vec<Diagnostic>) -> Option<Fit> {
        let recordings = single(recordings, left_out);
        let said: Vec<Option<RunEvidence>> = recordings.par_iter().map(RunEvidence::of).collect();
        let mut runs = Vec::new();
        for (recording, evidence) in recordings.into_iter().zip(said) {
            match evidence {
                Some(evidence) => runs.push(FittedRun {
                    recording,
                    evidence,
                }),
                None => {
                    let why = Refusal::new(
                        "no even effort explains its time",
                        "check that it is a run from start to finish",
                    );
                    left_out.push(why.about(&recording.name));
                }
            }
        }
        let said = runs.iter().map(|run| SaidRun {
            date: run.recording.day(),
            evidence: run.evidence,
            recording: Some(&run.recording),
        });
        let own = OwnPace::of(&said.collect::<Vec<_>>())?;
        Some(Fit { own, runs })
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
