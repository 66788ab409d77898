//! The sureness of the arrivals: what early and late mean, and the chance of making each cutoff.

use crate::facts::{PlanFacts, SplitFacts};

use super::cells;
use super::document::{Cell, Column, Document, Table, Tone};

/// A section with every cutoff, its margin and its chance; nothing where there is no cutoff.
pub(super) fn push(document: &mut Document, plan: &PlanFacts) {
    if plan.splits.iter().all(|split| split.cutoff.is_none()) {
        return;
    }
    document.table("Cutoffs", table(plan));
    let races = if plan.on_target {
        "that finish on target".to_owned()
    } else {
        format!("with a target based on {}", plan.rests_on)
    };
    let unsaid = if plan.rests_on_is_said || plan.on_target {
        ""
    } else {
        " To say what yours is based on, give `[[past]]` results in the plan, or `evidence` under `[windows]`."
    };
    document.say(format!(
        "Still in: the chance of making this cutoff and all before it, over simulated races {races}; \
         dropping out for other reasons is not counted.{unsaid}"
    ));
}

fn table(plan: &PlanFacts) -> Table {
    let limited = plan.splits.iter().filter(|split| split.cutoff.is_some());
    let right = Column::right;
    Table::of(
        limited,
        vec![
            right("#", "number").of(|s: &SplitFacts| cells::number(&s.number)),
            Column::left("Station", "station").of(|s| cells::name(&s.station)),
            right("Arrive", "arrival_s").of(|s| cells::moment(&s.arrival)),
            right("Late", "late_s").of(|s| cells::clock(&s.late).tone(Tone::Faint)),
            right("Cutoff", "cutoff_s").of(|s| cells::near(s.cutoff.as_ref(), &s.arrival)),
            Column::left("on", "cutoff_on").of(|s| Cell::new(s.cutoff_on.unwrap_or_default())),
            right("Margin", "margin_s").of(cells::margin_of),
            right("Still in", "chance_so_far")
                .of(|s| cells::chance(s.chance_so_far.as_ref(), s.chance_is)),
        ],
    )
}
