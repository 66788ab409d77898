//! What a fit is worth, and what it cannot know, in sentences.

use crate::fit::{Bin, Fit, Verdict};
use crate::units::{Quantity, Units};

pub(super) fn worth(fit: &Fit) -> String {
    let (before, after) = fit.summaries();
    match (fit.verdict, after) {
        (Verdict::Better, Some(after)) => format!(
            "Predicted from the others, your recordings are {:.2} % of the finish time off on \
             average, and {:.2} % with the defaults: use your figures.",
            after.mean_pct, before.mean_pct
        ),
        (Verdict::NoBetter, _) => "Your figures do not predict left-out recordings better than \
             the defaults do: keep the defaults. More recordings, or such that are more like the \
             race, may change that."
            .to_owned(),
        _ => "With one recording there is none left to try the figures on, so they hardly leave \
             the usual. Give more recordings, three or better six."
            .to_owned(),
    }
}

/// Sentences, each on one thing that stays a default or a guess.
pub(super) fn cannot_tell(fit: &Fit, units: Units) -> Vec<String> {
    let seen = &fit.seen;
    let mut said = Vec::new();
    if fit.runs.len() < 3 {
        said.push(format!(
            "What is you and what was the day: {} more would begin to show it.",
            match 3 - fit.runs.len() {
                1 => "one recording",
                _ => "two recordings",
            }
        ));
    }
    said.push(format!(
        "How you slow down beyond {:.0} h, your longest run here: there the usual law is \
         stretched.",
        seen.longest_h
    ));
    said.extend(thin_gradients(&fit.bins, units));
    said.push(match seen.dark_h {
        None => "How you move in the dark: the recordings do not say when they were made, so \
                 `night_factor` stays as it is."
            .to_owned(),
        Some(dark_h) if dark_h < 0.5 => {
            "How you move in the dark: all was run by day, so `night_factor` stays as it is."
                .to_owned()
        }
        Some(dark_h) => format!(
            "How you move in the dark: {dark_h:.0} h of it are here, but not the same ground by \
             day to compare with, so `night_factor` stays as it is."
        ),
    });
    let highest = units.show(Quantity::Height { m: seen.highest_m });
    said.push(if seen.highest_m < 1500.0 {
        format!("How height slows you: nothing here is above {highest}.")
    } else {
        format!(
            "How height slows you: the highest point is {highest}; `altitude_per_km` is taken \
             from the literature."
        )
    });
    said.push(
        "How heat slows you: a recording does not hold the weather; `heat_per_c` is taken from \
         the literature."
            .to_owned(),
    );
    said.push(
        "What was rock and what was road: all ground is taken as smooth trail. Your \
         `downhill_cap` cannot be told from the time on descents, and stays."
            .to_owned(),
    );
    said
}

/// Gradients with too little of them, from the level outwards on either side.
fn thin_gradients(bins: &[Bin], units: Units) -> Option<String> {
    let level = bins.len() / 2;
    let thin = |bin: &&Bin| bin.over_model.is_none();
    let up = bins.iter().skip(level + 1).find(thin);
    let down = bins.iter().take(level).rev().find(thin);
    let enough = units.show(Quantity::Distance { m: 2000.0 });
    let side = |name: &str, from: f64| format!("{name} of {:.0} % and more", 100.0 * from);
    let sides: Vec<String> = [
        up.map(|bin| side("climbs", bin.from.max(0.0))),
        down.map(|bin| side("descents", -bin.to.min(0.0))),
    ]
    .into_iter()
    .flatten()
    .collect();
    (!sides.is_empty()).then(|| {
        format!(
            "Your pace on {}: less than {enough} of some such gradient is here.",
            sides.join(" and ")
        )
    })
}
