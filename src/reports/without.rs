//! Changes when something is not there after all, station by station.

use crate::facts::{ChangeFacts, WithoutFacts};

use super::document::{Block, Document, Item, Tone};
use super::found;
use super::things::{said, things};

/// The difference to the plan with nothing lost.
pub(super) fn push(document: &mut Document, loss: &WithoutFacts) {
    document.section(format!("Without {}", loss.losses.join(", ")));
    document.say(if loss.found_out {
        "Found out on the day: nothing is packed elsewhere instead."
    } else {
        "Known before the start: the rest is packed again."
    });
    if loss.changes.is_empty() {
        document.say("Nothing changes in bags and pockets.");
    } else {
        document.push(Block::List(loss.changes.iter().map(item).collect()));
    }
    if loss.new_findings.is_empty() {
        document.say("No new findings.");
    } else {
        found::push_findings(document, "New findings", &loss.new_findings);
    }
}

/// Changes at one station.
pub(super) fn item(change: &ChangeFacts) -> Item {
    let mut item = Item::new(
        Tone::Strong,
        format!(
            "{} {} ({}), to last to {}",
            change.number, change.station, change.departure.text, change.until
        ),
    );
    let differs = change.fluid.number != change.planned_fluid.number;
    let fluid = differs.then(|| {
        let flasks = change.flasks_words.as_ref();
        let flasks = flasks.map_or_else(String::new, |words| format!(": {words}"));
        format!(
            "leave with {} to drink instead of {}{flasks}",
            change.fluid.text, change.planned_fluid.number
        )
    });
    let instead = change.instead.iter().filter_map(|from| {
        let words = match from.source {
            "crew" => "the crew hands over instead:",
            "bag" => "out of the bag instead:",
            "station" => "from the station instead:",
            _ => "carried from the start instead:",
        };
        said(words, things(&from.servings, &from.gear))
    });
    item.under.extend(instead);
    let lines = [
        said("not there:", things(&change.lost, &change.gear_lost)),
        fluid,
        said("also take:", things(&change.more, &[])),
        said("leave there:", things(&change.less, &[])),
        said("also put on or take up:", change.gear_more.clone()),
        said("not needed from here:", change.gear_less.clone()),
        said(
            "not packed for the plan; do without, or take what stations offer:",
            things(&change.not_packed, &[]),
        ),
    ];
    item.under.extend(lines.into_iter().flatten());
    item
}
