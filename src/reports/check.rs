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
    losses(document, check, &|losses| {
        let typed: Vec<&str> = losses.iter().map(|loss| loss.loss.as_str()).collect();
        let known = losses.first().map_or("", |loss| loss.known);
        format!("{}, {known}", typed.join(", "))
    });
}

/// Single losses that break the plan, those of gear together that come to the same; `named` names
/// them.
pub(super) fn losses(
    document: &mut Document,
    check: &CheckFacts,
    named: &dyn Fn(&[&LossFacts]) -> String,
) {
    document.say(tried(check));
    let (kit, others): (Vec<_>, Vec<_>) = check.broken.iter().partition(|loss| loss.only_demanded);
    let (gear, others): (Vec<_>, Vec<_>) =
        others.into_iter().partition(|loss| loss.second_at_start);
    let mut items: Vec<Item> = others.into_iter().map(|one| loss(one, named)).collect();
    let together = [
        (
            gear,
            "without one of them it is not safe to go on in the dark, cold or rain; ask the race",
            "insurance: a second of each in the start bag, a drop bag or the car",
        ),
        (
            kit,
            "mandatory kit lost: race rules may stop you, at the start or wherever kit is checked",
            "insurance: tick the list at home and again at the start, with a second of each in the \
             car or the start bag",
        ),
    ];
    for (all, says, insurance) in together {
        if !all.is_empty() {
            let mut item = Item::new(Tone::Warning, named(&all));
            item.under = vec![says.to_owned(), insurance.to_owned()];
            items.push(item);
        }
    }
    if !items.is_empty() {
        document.push(Block::List(items));
    }
}

/// The number of losses tried, and of those that break the plan.
fn tried(check: &CheckFacts) -> String {
    let tried = check.losses_tried;
    let losses = plural(tried, "loss", "losses");
    let breaks = match check.broken.len() {
        0 => "none breaks the plan".to_owned(),
        1 => "1 breaks the plan".to_owned(),
        n => format!("{n} break the plan, worst first"),
    };
    format!("{tried} {losses} tried one at a time: {breaks}.")
}

fn loss(loss: &LossFacts, named: &dyn Fn(&[&LossFacts]) -> String) -> Item {
    let says = format!("{}: {}", named(&[loss]), loss.short_words);
    let mut item = Item::new(Tone::Warning, says);
    item.under = loss.failures.iter().take(MOST_FAILURES).cloned().collect();
    let more = loss.failures.len().saturating_sub(MOST_FAILURES);
    if more > 0 {
        item.under.push(format!("and {more} more"));
    }
    let found = loss.insurance.as_deref();
    let found = found.unwrap_or("none found; neither spares nor more flasks are enough");
    item.under.push(format!("insurance: {found}"));
    item
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
