//! A fit in words and numbers: the figures, what they are worth, what they rest on.

use crate::facts::{ErrorFacts, Facts, FitFacts, OwnFigureFacts, RecordingFacts};
use crate::fit::USUAL_FADE;

use super::document::{Block, Cell, Column, Document, Table, Tone};
use super::{Needs, Report, cells};

/// `sutler fit`
pub(super) const REPORT: Report = Report {
    name: "fit",
    about: "your own pacing figures from recorded runs, and what they are worth",
    needs: Needs::Verb,
    keys: "fit warnings",
    stages: &[],
    build,
};

fn build(facts: &Facts) -> Document {
    let Some(fit) = &facts.fit else {
        return Document::default();
    };
    let mut document = Document::titled(match fit.recordings.len() {
        1 => "Your own pace, from 1 recording".to_owned(),
        many => format!("Your own pace, from {many} recordings"),
    });
    document.say(fit.worth.clone());
    document.push(Block::Table(figures(fit)));
    document.say(format!(
        "It is drawn from the recordings towards the usual of all runners: less, the more \
         recordings there are and the better they agree. The range holds two cases in three. The \
         usual slowing is {USUAL_FADE:.2} and not the default 1 because standing is counted \
         separately here, as much as is usual for such a finish."
    ));
    document.table("Would they have helped?", trials(facts, fit));
    document.push(Block::Table(errors(fit)));
    document.say(
        "Splits at every tenth of the way, predicted from course and finish alone, against the \
         recorded ones: the size of the error in percent of the finish time. Each recording is \
         predicted from the others.",
    );
    document.section("What these recordings cannot tell");
    document.points(&fit.cannot_tell);
    document.section("For runner.toml");
    if fit.better_than_default == Some(false) {
        document
            .say("Nothing: the defaults serve you as well. These are the figures all the same.");
    }
    document.push(Block::Drawing(fit.runner_toml.clone()));
    document
}

fn figures(fit: &FitFacts) -> Table {
    let right = Column::right;
    Table::of(
        std::iter::once(&fit.figure),
        vec![
            Column::left("", "figure").of(|f: &OwnFigureFacts| Cell::with_raw(f.words, f.key)),
            right("usual", "usual").of(|f| cells::measure(&f.usual)),
            right("yours", "value").of(|f| cells::measure(&f.value).tone(Tone::Strong)),
            right("from", "low").of(|f| cells::measure(&f.low)),
            right("to", "high").of(|f| cells::measure(&f.high)),
            right("own share", "own_share").of(|f| cells::share(&f.own_share)),
        ],
    )
}

fn trials(facts: &Facts, fit: &FitFacts) -> Table {
    let right = Column::right;
    Table::of(
        &fit.recordings,
        vec![
            Column::left("Recording", "recording")
                .of(|run: &RecordingFacts| Cell::new(run.recording.clone())),
            right("day", "date").of(|run| Cell::new(run.date.clone().unwrap_or_default())),
            right(facts.race.0.units.distance.as_str(), "length_m")
                .of(|run| cells::measure(&run.length)),
            right("finish", "finish_s").of(|run| cells::measure(&run.finish)),
            right("default", "default_error_pct").of(|run| cells::text(&run.default_error)),
            right("yours", "fitted_error_pct").of(|run| {
                let tone = if run.is_better {
                    Tone::Good
                } else {
                    Tone::Plain
                };
                cells::maybe(run.fitted_error.as_ref(), cells::text).tone(tone)
            }),
        ],
    )
}

fn errors(fit: &FitFacts) -> Table {
    let right = Column::right;
    Table::of(
        std::iter::once(&fit.default_error).chain(&fit.fitted_error),
        vec![
            Column::left("All recordings", "settings").of(|e: &ErrorFacts| Cell::new(e.of)),
            right("mean", "mean_pct").of(|e| cells::text(&e.mean)),
            right("half below", "median_pct").of(|e| cells::text(&e.median)),
            right("nine in ten below", "p90_pct").of(|e| cells::text(&e.p90)),
        ],
    )
}
