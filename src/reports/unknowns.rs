//! Parts of race day that too few long runs have tested.

use crate::facts::{PlanFacts, UnknownFacts};
use crate::unknowns::TESTS_WANTED;

use super::document::{Block, Document, Item, Tone};

/// The most that stand in the plan; `check` and the data have all.
const SHOWN: usize = 5;

/// The few that cost most where they fail.
pub(super) fn push(document: &mut Document, plan: &PlanFacts) {
    push_some(document, plan, SHOWN);
}

/// All of them.
pub(super) fn push_all(document: &mut Document, plan: &PlanFacts) {
    push_some(document, plan, usize::MAX);
}

fn push_some(document: &mut Document, plan: &PlanFacts, shown: usize) {
    let all = alike(&plan.unknowns);
    if all.is_empty() {
        return;
    }
    document.section("Not tested on long runs");
    document.push(Block::List(all.iter().take(shown).map(item).collect()));
    let more = match all.len().saturating_sub(shown) {
        0 => String::new(),
        more => format!(" {more} more: `sutler check` lists them."),
    };
    document.say(format!(
        "Something counts as tested after {TESTS_WANTED} long runs with it, one of them in full.\
         {more} {THIRST}"
    ));
}

/// Things that differ in nothing but their names as one, with all their names.
pub(super) fn alike(all: &[UnknownFacts]) -> Vec<UnknownFacts> {
    let mut groups: Vec<UnknownFacts> = Vec::new();
    for one in all {
        let same = |group: &&mut UnknownFacts| {
            let what = group.what.clone();
            **group
                == UnknownFacts {
                    what,
                    ..one.clone()
                }
        };
        match groups.iter_mut().find(same) {
            Some(group) => group.what = format!("{}, {}", group.what, one.what),
            None => groups.push(one.clone()),
        }
    }
    groups
}

/// One unknown with what would test it.
pub(super) fn item(one: &UnknownFacts) -> Item {
    let text = format!("{}: {}; {}", one.what, one.wants, one.tested);
    let under = format!(
        "{}; failing could cost {}",
        one.covered_by.words, one.can_cost
    );
    Item {
        under: vec![under],
        ..Item::new(Tone::Plain, text)
    }
}

/// Goes with every list of them, for some are rates to drink and eat at.
pub(super) const THIRST: &str = "On long runs too, drink to thirst, never to reach a rate.";
