//! The runner's own pacing figures by the record, and whether they belong into the runner file.

use chrono::NaiveDate;

use crate::fit::{NotedRun, OwnPace, Recording, Verdict};
use crate::inputs::RunRecord;
use crate::inputs::runner_toml::RunnerPacing;

use super::fresh::fresh;

/// The pacing figures of all runs of a record.
#[derive(Clone, Debug, PartialEq)]
pub struct Pace {
    /// The figures.
    pub own: OwnPace,
    /// Whether they are proposed.
    pub standing: Standing,
}

/// The standing of figures of the record beside those in the runner file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// They are proposed, in place of figures that rest on these runs, where that is written.
    Proposed(Option<Rests>),
    /// The runner file says the same already.
    Same,
    /// The defaults predict the runs as well.
    NoBetter,
    /// The runner file's own rest on more runs than the record has, and stay.
    Outnumbered(Rests),
}

/// The runs that figures in the runner file rest on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rests {
    /// So many runs ...
    pub runs: u32,
    /// ... of which this is the last day.
    pub last: Option<NaiveDate>,
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
        let last = record.iter().map(|run| run.date).max()?;
        let at_hand = recordings.iter().map(Option::as_ref);
        let noted: Vec<NotedRun<'_>> = record
            .iter()
            .zip(at_hand.chain(std::iter::repeat(None)))
            .map(|(run, recording)| NotedRun {
                run,
                recording,
                counts: fresh(run.date, last),
            })
            .collect();
        let own = OwnPace::of(&noted)?;
        let standing = standing(&own, before);
        Some(Pace { own, standing })
    }
}

fn standing(own: &OwnPace, before: &RunnerPacing) -> Standing {
    let rests = before.runs.map(|runs| Rests {
        runs,
        last: before.measured_on,
    });
    let new = own.figures().rounded();
    let same = |old: Option<crate::diagnostics::Spanned<f64>>, new: f64| {
        old.is_some_and(|old| (old.value - new).abs() < 1e-9)
    };
    let is_same = same(before.fade, new.fade)
        && same(before.climb_multiplier, new.climb_multiplier)
        && same(before.descent_multiplier, new.descent_multiplier)
        && same(before.stop_multiplier, new.stop_multiplier)
        && before.measured_on == Some(own.last);
    match rests {
        Some(rests) if rests.runs as usize > own.runs => Standing::Outnumbered(rests),
        _ if own.verdict == Verdict::NoBetter => Standing::NoBetter,
        Some(rests) if is_same && rests.runs as usize == own.runs => Standing::Same,
        rests => Standing::Proposed(rests),
    }
}
