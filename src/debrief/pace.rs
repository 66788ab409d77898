//! The runner's own pacing figures by the record, and whether they belong into the runner file.

use crate::fit::{FitVerdict, OwnPace, Recording, RunEvidence, SaidRun};
use crate::inputs::RunRecord;
use crate::inputs::runner_toml::RunnerPacing;

/// The pacing figures of all runs of a record.
#[derive(Clone, Debug, PartialEq)]
pub struct Pace {
    /// The figures.
    pub own: OwnPace,
    /// True where they are proposed.
    pub standing: Standing,
}

/// The standing of figures of the record beside those in the runner file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// They are proposed.
    Proposed,
    /// The defaults predict the runs as well.
    NoBetter,
    /// The runner file's own rest on more runs than the record has, and stay.
    Outnumbered,
}

impl Pace {
    /// Puts the runs of a record together; `recordings` are those at hand, run by run. `None` where
    /// no run says anything.
    ///
    /// No run is counted twice: the figures are made from the record alone, and take the place of
    /// those in the runner file unless these rest on more runs.
    pub(super) fn of(
        record: &[RunRecord],
        recordings: &[Option<Recording>],
        before: &RunnerPacing,
    ) -> Option<Pace> {
        let said = record.iter().enumerate().filter_map(|(at, run)| {
            Some(SaidRun {
                date: Some(run.date),
                evidence: RunEvidence::noted(run)?,
                recording: recordings.get(at).and_then(Option::as_ref),
            })
        });
        let own = OwnPace::of(&said.collect::<Vec<_>>())?;
        let standing = standing(&own, before);
        Some(Pace { own, standing })
    }
}

fn standing(own: &OwnPace, before: &RunnerPacing) -> Standing {
    match before.runs.map(|runs| runs as usize) {
        Some(runs) if runs > own.runs => Standing::Outnumbered,
        _ if own.verdict == FitVerdict::NoBetter => Standing::NoBetter,
        _ => Standing::Proposed,
    }
}
