//! The end of a report: findings and cautions.

use crate::facts::{FindingFacts, PlanFacts};

use super::document::{Document, Item, Tone};

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
    document.list(heading, findings.into_iter().map(item));
}

/// The cautions that go with every advice on drinking and eating.
pub(super) fn push_cautions(document: &mut Document, plan: &PlanFacts) {
    if !plan.cautions.is_empty() {
        document.section("Cautions");
        document.points(plan.cautions.iter().map(|one| one.text));
    }
}
