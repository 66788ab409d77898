//! The end of a report: findings and cautions.

use crate::facts::{FindingFacts, PlanFacts};

use super::document::{Block, Document, Item, Tone};

/// Findings as a section; nothing where there are none.
pub(super) fn push_findings<'a>(
    document: &mut Document,
    heading: &str,
    findings: impl IntoIterator<Item = &'a FindingFacts>,
) {
    let item = |finding: &FindingFacts| Item {
        tone: match finding.weight {
            "failure" => Tone::Bad,
            "warning" => Tone::Warning,
            _ => Tone::Plain,
        },
        text: finding.text.clone(),
        under: finding.ways_out.clone(),
    };
    let items: Vec<Item> = findings.into_iter().map(item).collect();
    if !items.is_empty() {
        document.section(heading);
        document.push(Block::List(items));
    }
}

/// The cautions that go with every advice on drinking and eating.
pub(super) fn push_cautions(document: &mut Document, plan: &PlanFacts) {
    if !plan.cautions.is_empty() {
        document.section("Cautions");
        let items = plan.cautions.iter();
        document.push(Block::List(
            items.map(|one| Item::new(Tone::Plain, one.text)).collect(),
        ));
    }
}
