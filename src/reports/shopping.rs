//! What to have in the house before the race, and into which hands it goes.

use crate::packing::{Provision, Source};
use crate::plan::Plan;

use super::View;
use super::document::{Block, Cell, Column, Document, Table, Tone};
use super::parts;

/// A row a food; nothing where no servings are planned.
pub(super) fn push(document: &mut Document, view: &View<'_>, plan: &Plan) {
    let provisions = &plan.packing.shopping;
    if provisions.is_empty() {
        return;
    }
    document.section("Shopping and packing list");
    document.push(Block::Table(table(plan)));
    document.say(
        "Servings. Start, bags, crew: who brings them. Spare: one for eight, to be put where there \
         is room. Buy: what your stock lacks of all and spare.",
    );
    let gear = by_hands(view, plan);
    if !gear.is_empty() {
        document.push(Block::Facts(gear));
    }
}

fn table(plan: &Plan) -> Table {
    let columns = vec![
        Column::left("Food", "food"),
        Column::right("start", "from_start"),
        Column::right("bags", "in_bags"),
        Column::right("crew", "with_crew"),
        Column::right("all", "servings"),
        Column::right("spare", "spare"),
        Column::right("have", "stock"),
        Column::right("buy", "buy"),
        Column::right("at stations", "from_stations"),
    ];
    let rows = plan.packing.shopping.iter().map(row).collect();
    Table { columns, rows }
}

fn row(provision: &Provision) -> Vec<Cell> {
    let count = |count: u32| parts::whole_cell(f64::from(count));
    let with = |source: Source| count(provision.with(source));
    let known =
        |number: Option<u32>| number.map_or(Cell::empty(), |n| Cell::with_raw(n.to_string(), n));
    let buy = known(provision.buy);
    vec![
        Cell::new(provision.food.clone()).tone(Tone::Strong),
        with(Source::Start),
        with(Source::Bag),
        with(Source::Crew),
        count(provision.servings),
        count(provision.spare),
        known(provision.stock),
        match provision.buy {
            Some(0) => parts::whole_cell(0.0),
            _ => buy.tone(Tone::Warning),
        },
        count(provision.from_stations),
    ]
}

/// Gear by who has it before the race.
fn by_hands(view: &View<'_>, plan: &Plan) -> Vec<(String, String)> {
    let mut facts = Vec::new();
    let packing = &plan.packing;
    if let Some(start) = packing.pickups.first().filter(|p| !p.gear_on.is_empty()) {
        facts.push(parts::fact("Gear, start", start.gear_on.join(", ")));
    }
    for bag in packing.bags.iter().filter(|bag| !bag.gear.is_empty()) {
        let place = &view.race.course.places[bag.place].name;
        facts.push((format!("Gear, bag {place}"), bag.gear.join(", ")));
    }
    let brought = packing.crew_gear().concat();
    if !brought.is_empty() {
        facts.push(parts::fact("Gear, crew", brought.join(", ")));
    }
    facts
}
