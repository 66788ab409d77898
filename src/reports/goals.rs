//! The plan's finish to go for, by when the runner arrives.

use crate::facts::{PlanFacts, SwitchFacts, SwitchGoalFacts};

use super::cells;
use super::document::{Cell, Column, Document, Table};

/// A section with the arrival up to which each finish is worth going for; nothing where the plan
/// names one.
pub(super) fn push(document: &mut Document, plan: &PlanFacts) {
    let Some(first) = plan.switches.first() else {
        return;
    };
    document.table("Which finish to go for", table(&plan.switches, first));
    let any = |is: &str| {
        let mut goals = plan.switches.iter().flat_map(|switch| &switch.goals);
        goals.any(|goal| goal.is == is)
    };
    let cutoff = match any("cutoff") {
        true => " Cutoff: still on for as long as you are in the race.",
        false => "",
    };
    let never = match any("never") {
        true => " A dash: out of reach.",
        false => "",
    };
    document.say(format!(
        "Arrive later than this and that finish is less likely than not, and you are behind its own \
         splits; or there is no time left for the planned stop before \"leave by\". Then go for the \
         next, after the last for the cutoffs.{cutoff}{never} Each row goes by that one arrival; \
         replan goes by the whole day."
    ));
}

fn table(switches: &[SwitchFacts], first: &SwitchFacts) -> Table {
    const KEYS: [&str; 3] = ["a_until_s", "b_until_s", "c_until_s"];
    let mut columns = vec![
        Column::right("#", "number"),
        Column::left("Station", "station"),
    ];
    let goals = first.goals.iter().zip(KEYS);
    columns.extend(
        goals.map(|(goal, key)| Column::right(format!("{} {} to", goal.goal, goal.finish), key)),
    );
    let rows = switches.iter().map(|switch| {
        let own = vec![cells::number(&switch.number), cells::name(&switch.station)];
        let goals = switch.goals.iter().take(KEYS.len()).map(until);
        own.into_iter().chain(goals).collect()
    });
    Table {
        rows: rows.collect(),
        columns,
    }
}

fn until(goal: &SwitchGoalFacts) -> Cell {
    match (&goal.until, goal.is) {
        (Some(at), _) => cells::moment(at),
        (None, "cutoff") => Cell::new("cutoff"),
        (None, _) => Cell::new("–"),
    }
}
