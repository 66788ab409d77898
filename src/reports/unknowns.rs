//! What race day holds that too few long runs have tested, in words and as data.

use serde_json::{Value, json};

use crate::plan::Plan;
use crate::units::Units;
pub use crate::unknowns::words::{covered, grouped, line};
use crate::unknowns::{TESTS_WANTED, Unknown, unknowns};

use super::View;
use super::document::{Block, Document, Item, Tone};

/// So many stand in the plan; `check` and the data have all.
const SHOWN: usize = 5;

/// The few that cost most where they fail.
pub(super) fn push(document: &mut Document, view: &View<'_>, plan: &Plan) {
    let all = grouped(&unknowns(view.race, plan, view.inputs));
    if all.is_empty() {
        return;
    }
    document.section("Not tested on long runs");
    let shown = all.iter().take(SHOWN);
    document.push(Block::List(
        shown.map(|one| item(one, view.units)).collect(),
    ));
    let more = match all.len().saturating_sub(SHOWN) {
        0 => String::new(),
        more => format!(" {more} more: `sutler check` lists them."),
    };
    document.say(format!(
        "Known is what {TESTS_WANTED} long runs tested, one of them as the race asks for it.{more} {THIRST}"
    ));
}

/// One unknown with what would test it.
pub(super) fn item(one: &Unknown, units: Units) -> Item {
    Item {
        under: vec![format!(
            "{}; failing can cost {}",
            covered(one, units),
            one.cost.words()
        )],
        ..Item::new(Tone::Plain, line(one, units))
    }
}

/// Goes with every list of them, for some are rates to drink and eat at.
pub const THIRST: &str = "Thirst decides on long runs too: never drink only to reach a rate.";

/// Every unknown as data.
pub(super) fn json(view: &View<'_>, plan: &Plan) -> Value {
    let all = unknowns(view.race, plan, view.inputs);
    let each = all.iter().map(|one| {
        let cover = &one.covered_by;
        json!({
            "kind": one.kind.name(),
            "what": one.what,
            "wants": one.wants.show(Units::Metric),
            "tested_runs": one.tested,
            "tested_in_full": one.at_full,
            "can_cost": one.cost.words(),
            "share_of_race": one.share,
            "covered_by": {
                "least_h": cover.least_h,
                "dark_h": cover.dark_h,
                "warm_c": cover.warm_c,
                "climb_m": cover.climb_m,
                "descent_m": cover.descent_m,
                "weather": cover.weather,
                "servings_in_3h": cover.servings_in_3h,
                "laid_out_stop": cover.laid_out_stop,
            },
        })
    });
    each.collect()
}
