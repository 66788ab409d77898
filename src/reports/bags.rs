//! Things to take from each supply point, and the contents of each drop bag.

use crate::facts::{BagFacts, BagVisitFacts, Facts, PickupFacts, PlanFacts, ServingFacts};

use super::document::{Block, Cell, Column, Document, Item, Table, Tone};
use super::things::{moved, moves, said, things};
use super::{Needs, Report, cells, found, opening, shopping};

/// `sutler bags`
pub(super) const REPORT: Report = Report {
    name: "bags",
    about: "fills and food at each supply point, and the contents of each drop bag",
    needs: Needs::Target,
    keys: "course start zone units finish hand_in bag_rules evidence level_speed_mps verdict \
           without pickups lamp_changes bags shopping heaps findings cautions warnings",
    stages: &["packing"],
    build,
};

fn build(facts: &Facts) -> Document {
    let mut document = opening::titled(facts, "Bags");
    let Some(plan) = facts.planned() else {
        return document;
    };
    if !plan.pickups.is_empty() {
        document.table("Supply points", supply(facts, plan));
        document.say(
            "Load: food, fluid and gear on leaving. Here: eaten and drunk at the station. Carry: to \
             eat before the next supply point.",
        );
    }
    push_bags(&mut document, facts, plan);
    push_pickups(&mut document, plan);
    shopping::push(&mut document, plan);
    document.push(Block::Data(every_thing(plan)));
    found::push_findings(&mut document, "Findings", REPORT.findings(facts));
    document.section("The race");
    document.push(Block::Facts(opening::race(facts)));
    found::push_cautions(&mut document, plan);
    document
}

/// Every supply point on one line: what to leave it with, and how far that has to last.
fn supply(facts: &Facts, plan: &PlanFacts) -> Table {
    let right = Column::right;
    let units = &facts.race.0.units;
    Table::of(
        &plan.pickups,
        vec![
            right("#", "number").of(|p: &PickupFacts| cells::number(&p.number)),
            Column::left("Station", "station").of(|p| cells::name(&p.station)),
            right("Leave", "departure_s").of(|p| cells::moment(&p.departure)),
            right("to", "until_number").of(|p| cells::number(&p.until_number)),
            right(&units.distance, "until_m").of(|p| cells::measure(&p.length)),
            right(&units.volume, "flasks_ml").of(|p| cells::measure(&p.fluid).tone(Tone::Strong)),
            right("Here", "here").of(|p| servings(&p.here)),
            right("Carry", "take").of(|p| servings(&p.take)),
            right("Carbs g", "packed_carbs_g").of(|p| cells::measure(&p.carbs)),
            right("Load", "load_kg").of(|p| cells::measure(&p.load)),
        ],
    )
}

/// The number of servings.
fn servings(list: &[ServingFacts]) -> Cell {
    match list.iter().map(|one| one.count).sum::<u32>() {
        0 => Cell::empty(),
        count => Cell::new(count.to_string()),
    }
}

/// Bags to hand in before the race: one point a bag, a line a visit.
pub(super) fn push_bags(document: &mut Document, facts: &Facts, plan: &PlanFacts) {
    if !plan.bags.is_empty() {
        document.section("Drop bags to hand in");
        document.push(Block::List(plan.bags.iter().map(bag).collect()));
        if let Some(by) = &facts.race.0.hand_in {
            document.say(format!("Hand in by {by}."));
        }
    }
}

fn bag(bag: &BagFacts) -> Item {
    let packed = said("pack:", things(&bag.servings, &bag.gear));
    let mut item = Item::new(Tone::Strong, bag.place.clone());
    item.under
        .push(packed.unwrap_or_else(|| "pack: nothing".to_owned()));
    item.under.extend(bag.visits.iter().filter_map(visit));
    item.under
        .extend(said("comes home with the bag:", bag.returns.clone()));
    item
}

fn visit(visit: &BagVisitFacts) -> Option<String> {
    let rations = visit.in_order.iter();
    let mut taken: Vec<String> = rations
        .map(|ration| {
            let servings = things(&ration.servings, &[]).join(", ");
            format!("to {}: {servings}", ration.until)
        })
        .collect();
    taken.extend((!visit.gear.is_empty()).then(|| visit.gear.join(", ")));
    let taken = (!taken.is_empty()).then(|| format!("take {}", taken.join("; ")));
    let left = said("leave", visit.leave.clone());
    let lines: Vec<String> = taken.into_iter().chain(left).collect();
    (!lines.is_empty()).then(|| {
        format!(
            "{}, {}: {}",
            visit.station,
            visit.arrival.text,
            lines.join("; ")
        )
    })
}

/// Fills and servings to leave each supply point with.
pub(super) fn push_pickups(document: &mut Document, plan: &PlanFacts) {
    document.list(
        "Leave each supply point with",
        plan.pickups.iter().map(pickup),
    );
    for change in &plan.lamp_changes {
        document.say(format!("Lamp: {}.", change.words));
    }
}

fn pickup(pickup: &PickupFacts) -> Item {
    let mut item = Item::new(
        Tone::Strong,
        format!(
            "{} {}, {}: {} to {}",
            pickup.number, pickup.station, pickup.departure.text, pickup.length.text, pickup.until
        ),
    );
    let from = |list: &[ServingFacts]| list.iter().map(serving_from).collect();
    let (carried, taken): (Vec<ServingFacts>, Vec<ServingFacts>) =
        pickup.take.iter().cloned().partition(|one| one.carried);
    let lines = [
        said("eat and drink here:", from(&pickup.here)),
        pickup
            .flasks_words
            .as_ref()
            .map(|words| format!("flasks: {words}")),
        Some(format!("by the watch: {}", pickup.watch)),
        pickup
            .differs
            .as_ref()
            .map(|differs| format!("that is {differs}")),
        said("pick up:", from(&taken)),
        said("from the pockets:", things(&carried, &[])),
        said("pick up for later:", from(&pickup.for_later)),
        said("in reserve, not counted:", things(&pickup.reserve, &[])),
        said("gear on:", pickup.gear_on.clone()),
        said("gear off:", pickup.gear_off.clone()),
        Some(format!("on your back {}", pickup.load_words)),
    ];
    item.under.extend(lines.into_iter().flatten());
    let alerts = pickup.alerts.iter().map(|alert| alert.words.clone());
    item.under.extend(alerts);
    item
}

/// Such as `2 half bananas (bag)`.
fn serving_from(serving: &ServingFacts) -> String {
    match serving.source {
        "start" => serving.text.clone(),
        source => format!("{} ({source})", serving.text),
    }
}

/// Everything that is packed, put on or left, a row a thing.
fn every_thing(plan: &PlanFacts) -> Table {
    let mut rows = Vec::new();
    for pickup in &plan.pickups {
        let station = &pickup.station;
        rows.extend(moved(station, "eat here", &pickup.here, &[]));
        rows.extend(moved(station, "carry", &pickup.take, &[]));
        rows.extend(moved(station, "carry for later", &pickup.for_later, &[]));
        rows.extend(moved(station, "reserve", &pickup.reserve, &[]));
        rows.extend(moved(station, "put on", &[], &pickup.gear_on));
        rows.extend(moved(station, "leave behind", &[], &pickup.gear_off));
    }
    for bag in &plan.bags {
        rows.extend(moved(&bag.place, "pack in bag", &bag.servings, &bag.gear));
        for visit in &bag.visits {
            rows.extend(moved(
                &visit.station,
                "from bag",
                &visit.servings,
                &visit.gear,
            ));
            rows.extend(moved(&visit.station, "into bag", &[], &visit.leave));
        }
    }
    moves(&rows)
}
