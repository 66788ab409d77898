//! What changes when something is not there after all, station by station.

use serde_json::{Value, json};

use crate::findings::Finding;
use crate::losses::named;
use crate::packing::Serving;
use crate::plan::Plan;
use crate::replan::{Change, between};

use super::bags::serving_text;
use super::document::{Block, Document, Item, Tone};
use super::{View, json as data, parts};

/// Puts the difference to the plan with nothing lost where it is read first, below the facts.
pub fn insert(document: &mut Document, view: &View<'_>, before: &Plan) {
    let Some(now) = view.plans.first() else {
        return;
    };
    let mut part = Document::default();
    part.section(format!("Without {}", named(view.race).join(", ")));
    let changes = between(before, now);
    if changes.is_empty() {
        part.say("Nothing changes in bags and pockets.");
    } else {
        let items = changes.iter().map(|change| item(view, now, change));
        part.push(Block::List(items.collect()));
    }
    let fresh = new_findings(before, now);
    parts::push_findings(
        &mut part,
        "New without it",
        fresh.iter().copied(),
        view.units,
    );
    if fresh.is_empty() {
        part.say("It finds nothing that the plan with it does not find.");
    }
    let facts = document
        .blocks
        .iter()
        .position(|block| matches!(block, Block::Facts(_)));
    let at = facts.map_or(0, |at| at + 1);
    document.blocks.splice(at..at, part.blocks);
}

/// The same as data.
#[must_use]
pub fn json(view: &View<'_>, before: &Plan) -> Value {
    let Some(now) = view.plans.first() else {
        return Value::Null;
    };
    let changes = between(before, now);
    let changes = changes.iter().map(|change| change_value(view, change));
    let fresh: Vec<Finding> = new_findings(before, now).into_iter().cloned().collect();
    json!({
        "losses": named(view.race),
        "changes": changes.collect::<Vec<Value>>(),
        "new_findings": data::findings(view, &fresh),
    })
}

/// Findings of one plan that the other does not have, whatever their numbers.
fn new_findings<'a>(before: &Plan, now: &'a Plan) -> Vec<&'a Finding> {
    let known = before.findings();
    let is_new = |finding: &&Finding| {
        let same = |own: &&&Finding| (own.kind, own.about) == (finding.kind, finding.about);
        known
            .iter()
            .find(same)
            .is_none_or(|own| own.weight < finding.weight)
    };
    now.findings().into_iter().filter(is_new).collect()
}

/// What to do otherwise at one station.
pub(super) fn item(view: &View<'_>, now: &Plan, change: &Change) -> Item {
    let (course, units) = (&view.race.course, view.units);
    let leave = now.schedule.splits[change.station].departure;
    let mut item = Item::new(
        Tone::Strong,
        format!(
            "{} {} ({}), to last to {}",
            parts::number(course, change.station),
            course.stations[change.station].name,
            now.schedule.show(leave),
            course.stations[change.until].name
        ),
    );
    let list = |servings: &[Serving]| servings.iter().map(serving_text).collect::<Vec<_>>();
    let mut line = |words: &str, things: Vec<String>| {
        if !things.is_empty() {
            item.under.push(format!("{words} {}", things.join(", ")));
        }
    };
    line(
        "not there:",
        [list(&change.lost), change.gear_lost.clone()].concat(),
    );
    let (planned_ml, now_ml) = change.fluid_ml;
    let shown = |ml: f64| units.volume_number(ml);
    let fluid = format!(
        "{} {} to drink instead of {}",
        shown(now_ml),
        units.volume_symbol(),
        shown(planned_ml)
    );
    let differs = shown(planned_ml) != shown(now_ml);
    line("leave with", if differs { vec![fluid] } else { Vec::new() });
    line("take besides:", list(&change.more));
    line("leave there:", list(&change.less));
    line("put on or take up besides:", change.gear_more.clone());
    line("not needed from here:", change.gear_less.clone());
    line(
        "not packed for the plan; take what the station offers instead, or do without:",
        list(&change.not_packed),
    );
    item
}

/// A change as data.
pub(super) fn change_value(view: &View<'_>, change: &Change) -> Value {
    let name = |station: usize| view.race.course.stations[station].name.as_str();
    json!({
        "station": name(change.station),
        "until": name(change.until),
        "planned_fluid_ml": change.fluid_ml.0.round(),
        "fluid_ml": change.fluid_ml.1.round(),
        "more": data::servings_value(&change.more),
        "less": data::servings_value(&change.less),
        "not_packed": data::servings_value(&change.not_packed),
        "lost": data::servings_value(&change.lost),
        "gear_more": change.gear_more,
        "gear_less": change.gear_less,
        "gear_lost": change.gear_lost,
    })
}
