//! The worth of a fit, and its limits, in sentences.

use crate::fit::{Fit, FitVerdict};

pub(super) fn worth(fit: &Fit) -> String {
    let (before, after) = (fit.own.default_error, fit.own.own_error);
    match (fit.own.verdict, after) {
        (FitVerdict::Better, Some(after)) => format!(
            "Predicted from the others, your recordings are {:.2} % of the finish time off on \
             average, and {:.2} % with the defaults: use your figures.",
            after.mean_pct, before.mean_pct
        ),
        (FitVerdict::NoBetter, _) => "Your figures do not predict left-out recordings better than \
             the defaults do: keep the defaults. More recordings, or ones more like the race, may \
             change that."
            .to_owned(),
        _ => "One recording leaves none to try the figures on, so they stay close to the usual. \
              Give three recordings or, better, six."
            .to_owned(),
    }
}

/// Sentences, each on one thing that stays a default or a guess.
pub(super) fn cannot_tell(fit: &Fit) -> Vec<String> {
    let hours = fit.runs.iter().map(|run| run.recording.hours());
    let mut said = vec![format!(
        "How you slow down beyond {:.0} h, your longest run here: that is extrapolated by the \
         usual law.",
        hours.fold(0.0, f64::max)
    )];
    if fit.runs.len() < 3 {
        said.insert(
            0,
            "What is you and what was the day: three recordings would begin to show it.".to_owned(),
        );
    }
    said.push(
        "How night, heat, height and ground slow you, and how you climb and descend compared with \
         others: recordings cannot tell these apart, so the model's own values stay."
            .to_owned(),
    );
    said
}
