//! Why a recording tells nothing about a runner's pacing.

use crate::diagnostics::Diagnostic;
use crate::time::Elapsed;

/// Fault of the recording.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Refusal {
    /// No point has a time.
    NoTimes,
    /// Too few points have one.
    FewTimes { timed: usize, points: usize },
    /// The clock was set while recording.
    Backwards { backwards: usize },
    /// All points have the same distance in the same time.
    Computed,
    /// Shorter than what shows how someone slows down.
    Short { length_m: f64, moving_s: f64 },
    /// On wheels.
    Fast { speed_mps: f64, at_s: f64 },
    /// Hardly moving.
    Slow { speed_mps: f64 },
    /// One long gap.
    Gap {
        length_m: f64,
        gap_s: f64,
        at_s: f64,
    },
    /// Gaps that hide a part of the way.
    Gaps { share: f64 },
    /// No heights to tell climbs by.
    Flat,
    /// Nothing that makes a course.
    NoCourse,
    /// No pace could be found for it.
    Unsolved,
}

impl Refusal {
    /// In words, about a file.
    pub(super) fn about(self, name: &str) -> Diagnostic {
        let (reason, hint) = self.words();
        let problem = Diagnostic::warning(format!("`{name}` is left out: {reason}"));
        if hint.is_empty() {
            problem
        } else {
            problem.hint(hint)
        }
    }

    fn words(self) -> (String, &'static str) {
        let clock = |s: f64| Elapsed::from_s(s).to_seconds_text();
        let km = |m: f64| format!("{:.1} km", m / 1000.0);
        match self {
            Refusal::NoTimes => (
                "its points have no times".to_owned(),
                "give a recording, exported with its times, and not a planned route",
            ),
            Refusal::FewTimes { timed, points } => (
                format!("only {timed} of its {points} points have a time"),
                "export the recording again with its times",
            ),
            Refusal::Backwards { backwards } => (
                format!("its clock goes back at {backwards} points"),
                "where several recordings are joined in one file, put them in order of time",
            ),
            Refusal::Computed => (
                "every kilometre takes the same time".to_owned(),
                "such times come from a planner; give a recording",
            ),
            Refusal::Short { length_m, moving_s } => (
                format!("{} in {} of moving is short", km(length_m), clock(moving_s)),
                "how a runner slows down shows from 10 km and an hour on",
            ),
            Refusal::Fast { speed_mps, at_s } => (
                format!(
                    "after {} it goes {:.0} km/h for a minute, which is no run",
                    clock(at_s),
                    speed_mps * 3.6
                ),
                "where a drive or a ride belongs to it, cut that out",
            ),
            Refusal::Slow { speed_mps } => {
                (format!("it moves at {:.1} km/h only", speed_mps * 3.6), "")
            }
            Refusal::Gap {
                length_m,
                gap_s,
                at_s,
            } => (
                format!(
                    "after {} it has no points for {} and {}",
                    clock(at_s),
                    clock(gap_s),
                    km(length_m)
                ),
                "how that stretch was run is lost; give the part before it alone",
            ),
            Refusal::Gaps { share } => (
                format!("{:.0} % of its way has no points", 100.0 * share),
                "how those stretches were run is lost",
            ),
            Refusal::Flat => (
                "it has no heights".to_owned(),
                "export it with heights, or have them added from a terrain model",
            ),
            Refusal::NoCourse => ("its points make no course".to_owned(), ""),
            Refusal::Unsolved => (
                "no even effort explains its time".to_owned(),
                "check that it is a run from start to finish",
            ),
        }
    }
}
