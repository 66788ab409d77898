//! Everything that is wrong or doubtful at once: files, findings, losses, unknowns.

use crate::facts::{CheckFacts, Facts, LossFacts, PlanFacts};
use crate::words::{count, plural};

use super::document::{Block, Document, Item, Tone};
use super::{Needs, Report, found, opening, unknowns};

/// `sutler check`
pub(super) const REPORT: Report = Report {
    name: "check",
    about: "every problem in the files, every finding, and the losses that break the plan",
    needs: Needs::Verb,
    keys: "course finish verdict check findings unknowns warnings",
    stages: &[],
    build,
};

/// The most failures of one loss that are told.
const MOST_FAILURES: usize = 3;

fn build(facts: &Facts) -> Document {
    let mut document = opening::titled(facts, "Check");
    let (Some(plan), Some(check)) = (facts.planned(), &facts.check) else {
        return document;
    };
    document.say(format!(
        "{} read: {}.",
        count(check.files, "file"),
        count(check.file_warnings, "warning")
    ));
    if !plan.body.packed_words.is_empty() {
        document.say(plan.body.packed_words.clone());
    }
    found::push_findings(&mut document, "Findings", REPORT.findings(facts));
    push_losses(&mut document, check);
    push_unknowns(&mut document, plan);
    document
}

fn push_losses(document: &mut Document, check: &CheckFacts) {
    if check.losses_tried == 0 {
        return;
    }
    document.section("Losses");
    document.say(tried(check));
    let (kit, others): (Vec<_>, Vec<_>) = check.broken.iter().partition(|loss| loss.only_demanded);
    let mut items: Vec<Item> = others.into_iter().map(loss).collect();
    items.extend(mandatory_kit(&kit));
    if !items.is_empty() {
        document.push(Block::List(items));
    }
}

/// The number of losses tried, and of those that break the plan.
pub(super) fn tried(check: &CheckFacts) -> String {
    let tried = check.losses_tried;
    let losses = plural(tried, "loss", "losses");
    let breaks = match check.broken.len() {
        0 => "none breaks the plan".to_owned(),
        1 => "1 breaks the plan".to_owned(),
        n => format!("{n} break the plan, worst first"),
    };
    format!("{tried} {losses} tried one at a time: {breaks}.")
}

/// Pieces of mandatory kit, whose loss comes to the same.
fn mandatory_kit(kit: &[&LossFacts]) -> Option<Item> {
    let names: Vec<&str> = kit.iter().map(|loss| loss.loss.as_str()).collect();
    let says = format!("{}, known beforehand", names.join(", "));
    let mut item = Item::new(Tone::Warning, says);
    item.under = vec![
        "mandatory kit lost: race rules may stop you, at the start or wherever kit is checked"
            .to_owned(),
        "insurance: tick the list at home and again at the start, with a second of each in the car \
         or the start bag"
            .to_owned(),
    ];
    (!kit.is_empty()).then_some(item)
}

fn loss(loss: &LossFacts) -> Item {
    let mut item = Item::new(
        Tone::Warning,
        format!("{}, {}: {}", loss.loss, loss.known, loss.short_words),
    );
    item.under = loss.failures.iter().take(MOST_FAILURES).cloned().collect();
    let more = loss.failures.len().saturating_sub(MOST_FAILURES);
    if more > 0 {
        item.under.push(format!("and {more} more"));
    }
    item.under.push(insurance(loss));
    item
}

/// The cheapest insurance against a loss.
pub(super) fn insurance(loss: &LossFacts) -> String {
    let found = loss.insurance.as_deref();
    let found = found.unwrap_or("none found; neither spares nor more flasks are enough");
    format!("insurance: {found}")
}

/// Parts of race day that too few long runs have tested, what costs most first.
fn push_unknowns(document: &mut Document, plan: &PlanFacts) {
    document.section("Long runs");
    let all = unknowns::alike(&plan.unknowns);
    if all.is_empty() {
        document.say("No unknowns: long runs have tested everything that is planned.");
        return;
    }
    document.say(format!("{}:", count(all.len(), "unknown")));
    document.push(Block::List(all.iter().map(unknowns::item).collect()));
    document.say(unknowns::THIRST);
}
