//! Things to have in the house before the race, and the hands they go into.

use crate::facts::{PlanFacts, ProvisionFacts};

use super::cells::{count, maybe};
use super::document::{Block, Cell, Column, Document, Table, Tone};

/// A row a food; nothing where no servings are planned.
pub(super) fn push(document: &mut Document, plan: &PlanFacts) {
    if plan.shopping.is_empty() {
        return;
    }
    document.table("Shopping and packing list", table(plan));
    document.say(
        "Servings. Start, bags, crew: who brings them. Spare: one in eight, where there is room. \
         Buy: all and spare, less your stock.",
    );
    let gear: Vec<(String, String)> = (plan.heaps.iter())
        .filter(|heap| !heap.gear.is_empty())
        .map(|heap| {
            let name = match heap.hands {
                "bag" => format!("Gear, bag {}", heap.name),
                "crew" => format!("Gear, crew: {}", heap.name),
                hands => format!("Gear, {hands}"),
            };
            (name, heap.gear.join(", "))
        })
        .collect();
    if !gear.is_empty() {
        document.push(Block::Facts(gear));
    }
}

fn table(plan: &PlanFacts) -> Table {
    let right = Column::right;
    Table::of(
        &plan.shopping,
        vec![
            Column::left("Food", "food")
                .of(|p: &ProvisionFacts| Cell::new(p.food.clone()).tone(Tone::Strong)),
            right("start", "from_start").of(|p| count(p.from_start)),
            right("bags", "in_bags").of(|p| count(p.in_bags)),
            right("crew", "with_crew").of(|p| count(p.with_crew)),
            right("all", "servings").of(|p| count(p.servings)),
            right("spare", "spare").of(|p| count(p.spare)),
            right("have", "stock").of(|p| maybe(p.stock.as_ref(), known)),
            right("buy", "buy").of(|p| match &p.buy {
                Some(0) => count(0),
                buy => maybe(buy.as_ref(), known).tone(Tone::Warning),
            }),
            right("at stations", "from_stations").of(|p| count(p.from_stations)),
        ],
    )
}

fn known(number: &u32) -> Cell {
    Cell::new(number.to_string())
}
