//! The origin of one printed number.

use crate::facts::{ExplainStepFacts, Facts};

use super::document::{Block, Cell, Column, Document, Table, Tone};
use super::{Needs, Report, cells};

/// `sutler explain`
pub(super) const REPORT: Report = Report {
    name: "explain",
    about: "the source of a printed number: inputs with file and line, formula, source",
    needs: Needs::Verb,
    keys: "course explain",
    stages: &[],
    build,
};

fn build(facts: &Facts) -> Document {
    let Some(explained) = &facts.explain else {
        return Document::default();
    };
    let mut document = Document::titled(format!(
        "{}: {}, {}",
        explained.of, explained.what, explained.printed
    ));
    document.say(explained.meaning);
    document.push(Block::Table(Table::of(
        &explained.steps,
        vec![
            Column::left("", "name").of(|step: &ExplainStepFacts| Cell::new(step.name.clone())),
            Column::left("", "value").of(|step| cells::name(&step.value)),
            Column::left("", "at")
                .of(|step| Cell::new(step.at.clone().unwrap_or_default()).tone(Tone::Faint)),
        ],
    )));
    document.say(format!("Formula: {}.", explained.formula));
    document.say(format!("Source: {}.", explained.source));
    document
}
