//! A fit in words and numbers: the figures, what they are worth, what they rest on.

mod json;
mod tables;
mod words;

use crate::fit::{Estimate, Figures, Fit, Verdict};
use crate::units::Units;

use super::document::{Block, Document, Item, Tone};
use super::runner_text::pacing_lines;

pub use json::json;

/// `sutler fit`
#[must_use]
pub fn document(fit: &Fit, units: Units) -> Document {
    let mut document = Document::titled(match fit.runs.len() {
        1 => "Your own pace, from 1 recording".to_owned(),
        many => format!("Your own pace, from {many} recordings"),
    });
    document.push(Block::Table(tables::figures(fit)));
    document.say(format!(
        "A figure is drawn from the recordings towards what runners usually show: less, the more \
         recordings there are and the better they agree. The range holds two cases of three. The \
         usual slowing is {:.2} and not the default 1 because standing is counted by itself here.",
        Figures::USUAL.fade
    ));
    document.section("Would they have helped?");
    document.push(Block::Table(tables::trials(fit, units)));
    document.push(Block::Table(tables::summaries(fit)));
    document.say(
        "Splits at every tenth of the way, predicted from course and finish alone, against the \
         recorded ones: the size of the error in percent of the finish time. Each recording is \
         predicted from the others.",
    );
    document.say(words::verdict(fit));
    document.section("By gradient");
    document.push(Block::Table(tables::bins(fit, units)));
    document.say(
        "Moving pace where it is about this steep. The last column is your time over the model's \
         at the same effort, level ground being 1; climb and descent multipliers sum it up. Heights \
         are never exact, which makes steep ground look a little easier than it is.",
    );
    document.section("Standing still");
    document.push(Block::Table(tables::stops(fit, units)));
    document.say(
        "Stops are stretches of more than a minute below 0.3 m/s. With a stop multiplier, a plan \
         counts the minutes it names for stations towards your usual time, and spreads the rest.",
    );
    document.push(Block::Table(tables::advice(fit)));
    document.section("What these recordings cannot tell");
    document.push(Block::List(
        words::unknowns(fit, units)
            .into_iter()
            .map(|text| Item::new(Tone::Plain, text))
            .collect(),
    ));
    document.section("For runner.toml");
    if fit.verdict == Verdict::NoBetter {
        document
            .say("Nothing: the defaults serve you as well. These are the figures all the same.");
    }
    document.push(Block::Drawing(pacing_lines(fit)));
    document
}

/// Name, key, what is usual, and the runner's.
fn rows(fit: &Fit) -> [(&'static str, &'static str, f64, Estimate); 4] {
    let usual = Figures::USUAL;
    [
        ("slowing down", "fade", usual.fade, fit.fade),
        (
            "time on climbs",
            "climb_multiplier",
            usual.climb_multiplier,
            fit.climb_multiplier,
        ),
        (
            "time on descents",
            "descent_multiplier",
            usual.descent_multiplier,
            fit.descent_multiplier,
        ),
        (
            "time stood still",
            "stop_multiplier",
            usual.stop_multiplier,
            fit.stop_multiplier,
        ),
    ]
}
