//! Reasons that a recording tells nothing about a runner's pacing.

use crate::diagnostics::Diagnostic;
use crate::time::Elapsed;

/// Fault of the recording, and the way out, where there is one.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Refusal(String, &'static str);

impl Refusal {
    pub(super) fn new(reason: impl Into<String>, hint: &'static str) -> Refusal {
        Refusal(reason.into(), hint)
    }

    /// Its points make no course.
    pub(super) fn no_course() -> Refusal {
        Refusal::new("its points make no course", "")
    }

    /// In words, about a file.
    pub(super) fn about(self, name: &str) -> Diagnostic {
        let problem = Diagnostic::warning(format!("`{name}` is left out: {}", self.0));
        match self.1 {
            "" => problem,
            hint => problem.hint(hint),
        }
    }
}

/// A time into the recording.
pub(super) fn clock(seconds: f64) -> String {
    Elapsed::from_s(seconds).to_seconds_text()
}

pub(super) fn km(metres: f64) -> String {
    format!("{:.1} km", metres / 1000.0)
}
