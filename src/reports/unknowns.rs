//! What race day holds that too few long runs have tested, in words and as data.

use serde_json::{Value, json};

use crate::plan::Plan;
use crate::units::{Phrase, Quantity, Units};
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

/// Things that differ in nothing but their names as one, with all their names.
#[must_use]
pub fn grouped(all: &[Unknown]) -> Vec<Unknown> {
    let mut groups: Vec<Unknown> = Vec::new();
    for one in all {
        let alike = groups.iter_mut().find(|group| {
            let what = group.what.clone();
            **group
                == Unknown {
                    what,
                    ..one.clone()
                }
        });
        match alike {
            Some(group) => group.what = format!("{}, {}", group.what, one.what),
            None => groups.push(one.clone()),
        }
    }
    groups
}

/// One unknown on a line: what, how much of it, and what has been tested.
#[must_use]
pub fn line(one: &Unknown, units: Units) -> String {
    let wants = one.wants.show(units);
    format!("{}: {wants}; {}", one.what, tested(one))
}

fn tested(one: &Unknown) -> String {
    let runs = match one.tested {
        0 => return "not tested".to_owned(),
        1 => "tested once".to_owned(),
        n => format!("tested {n} times"),
    };
    if one.at_full {
        runs
    } else {
        format!("{runs}, never in full")
    }
}

/// What a long run has to be like to test a thing in full.
#[must_use]
pub fn covered(one: &Unknown, units: Units) -> String {
    let cover = &one.covered_by;
    let mut parts: Vec<Phrase> = Vec::new();
    if let Some(hours) = cover.least_h {
        parts.push(Phrase::new(format!("of {hours:.1} h or more")));
    }
    if let Some(hours) = cover.dark_h {
        parts.push(Phrase::new(format!("with {hours:.1} h in the dark")));
    }
    if let Some(c) = cover.warm_c {
        parts.push(
            Phrase::new("in air of ")
                .and(Quantity::Temperature { c })
                .and(" or more"),
        );
    }
    for (height_m, way) in [(cover.climb_m, "up"), (cover.descent_m, "down")] {
        if let Some(m) = height_m {
            let height = Phrase::new("with ").and(Quantity::Height { m });
            parts.push(height.and(format!(" {way} in one go")));
        }
    }
    if let Some(weather) = cover.weather {
        parts.push(Phrase::new(match weather {
            "cold" => "in the cold",
            "rain" => "in rain",
            _ => "in the sun",
        }));
    }
    if cover.laid_out_stop {
        parts.push(Phrase::new("with a stop laid out"));
    }
    if parts.is_empty() {
        return "any long run".to_owned();
    }
    let parts: Vec<String> = parts.iter().map(|part| part.show(units)).collect();
    format!("a long run {}", parts.join(", "))
}

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
                "laid_out_stop": cover.laid_out_stop,
            },
        })
    });
    each.collect()
}
