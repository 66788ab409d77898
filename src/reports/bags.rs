//! What to take from each supply point, and what lies in each drop bag.

use crate::packing::{Bag, Flask, Pickup, Serving, Source};
use crate::plan::Plan;
use crate::units::Quantity;

use super::document::{Block, Cell, Column, Document, Item, Table, Tone};
use super::parts;
use super::{Report, View, json, shopping};

/// `sutler bags`
pub(super) const REPORT: Report = Report {
    name: "bags",
    about: "what to take at each supply point, and what each drop bag holds",
    needs_plan: true,
    build,
    json: json::bags,
    findings: |plan| plan.packing.findings.iter().collect(),
};

fn build(view: &View<'_>) -> Document {
    let mut document = Document::titled(format!("Bags: {}", view.race.course.name));
    let Some(plan) = view.plans.first() else {
        return document;
    };
    document.push(Block::Facts(parts::opening(view)));
    push_bags(&mut document, view, plan);
    push_pickups(&mut document, view, plan);
    shopping::push(&mut document, view, plan);
    document.push(Block::Data(every_thing(view, plan)));
    parts::push_findings(
        &mut document,
        "Findings",
        (REPORT.findings)(plan),
        view.units,
    );
    parts::push_cautions(&mut document, plan);
    document
}

/// What to hand in before the race: one point a bag, a line a visit.
pub(super) fn push_bags(document: &mut Document, view: &View<'_>, plan: &Plan) {
    if plan.packing.bags.is_empty() {
        return;
    }
    document.section("Drop bags, to be handed in");
    let items = plan
        .packing
        .bags
        .iter()
        .map(|bag| bag_item(view, plan, bag))
        .collect();
    document.push(Block::List(items));
}

fn bag_item(view: &View<'_>, plan: &Plan, bag: &Bag) -> Item {
    let course = &view.race.course;
    let mut item = Item::new(Tone::Strong, course.places[bag.place].name.clone());
    let packed = said("put in:", things(&bag.servings, &bag.gear));
    item.under
        .push(packed.unwrap_or_else(|| "put in: nothing".to_owned()));
    for visit in &bag.visits {
        let when = plan
            .schedule
            .show(plan.schedule.splits[visit.station].arrival);
        let mut taken: Vec<String> = visit
            .in_order
            .iter()
            .map(|ration| {
                let until = &course.stations[ration.until].name;
                format!("to {until} {}", things(&ration.servings, &[]).join(", "))
            })
            .collect();
        if let Some(first) = taken.first_mut() {
            *first = format!("for the way {first}");
        }
        taken.extend((!visit.gear.is_empty()).then(|| visit.gear.join(", ")));
        let taken = (!taken.is_empty()).then(|| format!("take {}", taken.join("; ")));
        let left = said("leave", visit.leave.clone());
        let lines: Vec<String> = taken.into_iter().chain(left).collect();
        if !lines.is_empty() {
            let name = &course.stations[visit.station].name;
            item.under
                .push(format!("{name}, {when}: {}", lines.join("; ")));
        }
    }
    item.under
        .extend(said("comes home with the bag:", bag.returns.clone()));
    item
}

/// What to leave each supply point with.
pub(super) fn push_pickups(document: &mut Document, view: &View<'_>, plan: &Plan) {
    if plan.packing.pickups.is_empty() {
        return;
    }
    document.section("Leave each supply point with");
    let items = plan
        .packing
        .pickups
        .iter()
        .map(|pickup| pickup_item(view, plan, pickup))
        .collect();
    document.push(Block::List(items));
}

fn pickup_item(view: &View<'_>, plan: &Plan, pickup: &Pickup) -> Item {
    let course = &view.race.course;
    let (here, until) = (
        &course.stations[pickup.station],
        &course.stations[pickup.until],
    );
    let mut item = Item::new(
        Tone::Strong,
        format!(
            "{} {}, {}: {} to {}",
            parts::number(course, pickup.station),
            here.name,
            plan.schedule
                .show(plan.schedule.splits[pickup.station].departure),
            view.units.show(Quantity::Distance {
                m: until.official_m - here.official_m
            }),
            until.name
        ),
    );
    let (carried, taken): (Vec<&Serving>, Vec<&Serving>) = pickup
        .take
        .iter()
        .partition(|serving| serving.at < pickup.station);
    let texts =
        |list: &[&Serving]| -> Vec<String> { list.iter().map(|s| serving_from(s)).collect() };
    let later: Vec<&Serving> = pickup.for_later.iter().collect();
    item.under.extend(said(
        "eat and drink here:",
        texts(&pickup.here.iter().collect::<Vec<_>>()),
    ));
    item.under.extend(flasks(view, pickup));
    item.under.extend(said("pick up:", texts(&taken)));
    item.under.extend(said(
        "from the pockets:",
        carried
            .iter()
            .map(|serving| serving_text(serving))
            .collect(),
    ));
    item.under.extend(said("pick up for later:", texts(&later)));
    item.under.extend(said("gear on:", pickup.gear_on.clone()));
    item.under
        .extend(said("gear off:", pickup.gear_off.clone()));
    item
}

/// What the flasks hold on leaving.
fn flasks(view: &View<'_>, pickup: &Pickup) -> Option<String> {
    if pickup.fluid_ml < 5.0 {
        return None;
    }
    if !pickup.flasks.is_empty() {
        return Some(format!("flasks: {}", each_flask(view, &pickup.flasks)));
    }
    let show = |ml: f64| view.units.show(Quantity::Volume { ml });
    // a glass of difference is rounding of the drinks, not another fill
    let all_water = pickup.water_ml > pickup.fluid_ml - 20.0;
    Some(match (pickup.fluid_ml, pickup.water_ml) {
        (fluid, _) if all_water => format!("flasks: {} of water", show(fluid)),
        (fluid, water) if water < 5.0 => format!("flasks: {}, no plain water", show(fluid)),
        (fluid, water) => format!("flasks: {}, of it {} plain water", show(fluid), show(water)),
    })
}

/// Flasks of the same content together, such as `1 with 500 ml of drink mix, 2 with 600 ml of
/// water, 1 empty`.
fn each_flask(view: &View<'_>, flasks: &[Flask]) -> String {
    let mut heaps: Vec<(&str, usize, f64)> = Vec::new();
    for flask in flasks {
        // less than a sip is not worth a flask
        let holds = match &flask.drink {
            Some((name, _)) => name,
            None if flask.fluid_ml >= 5.0 => "water",
            None => "",
        };
        match heaps.iter_mut().find(|heap| heap.0 == holds) {
            Some(heap) => *heap = (holds, heap.1 + 1, heap.2 + flask.fluid_ml),
            None => heaps.push((holds, 1, flask.fluid_ml)),
        }
    }
    heaps.sort_by_key(|heap| (heap.0.is_empty(), heap.0 == "water"));
    let texts = heaps.iter().map(|(holds, count, ml)| match *holds {
        "" => format!("{count} empty"),
        _ => format!(
            "{count} with {} of {holds}",
            view.units.show(Quantity::Volume { ml: *ml })
        ),
    });
    texts.collect::<Vec<_>>().join(", ")
}

fn said(verb: &str, things: Vec<String>) -> Option<String> {
    (!things.is_empty()).then(|| format!("{verb} {}", things.join(", ")))
}

/// Servings and gear as one list.
pub(super) fn things(servings: &[Serving], gear: &[String]) -> Vec<String> {
    servings
        .iter()
        .map(serving_text)
        .chain(gear.iter().cloned())
        .collect()
}

/// Such as `2 × oat bar`.
pub(super) fn serving_text(serving: &Serving) -> String {
    format!("{} × {}", serving.count, serving.food)
}

/// Everything that is packed, put on or left, a row a thing.
fn every_thing(view: &View<'_>, plan: &Plan) -> Table {
    let name = |station: usize| view.race.course.stations[station].name.as_str();
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    let mut add = |station: usize, what: &str, things: Vec<(&str, u32)>| {
        rows.extend(things.into_iter().map(|(thing, count)| {
            let cells = [name(station), what, thing].map(Cell::new);
            cells
                .into_iter()
                .chain([Cell::new(count.to_string())])
                .collect()
        }));
    };
    for pickup in &plan.packing.pickups {
        add(pickup.station, "eat here", servings(&pickup.here));
        add(pickup.station, "carry", servings(&pickup.take));
        add(
            pickup.station,
            "carry for later",
            servings(&pickup.for_later),
        );
        add(pickup.station, "put on", gear(&pickup.gear_on));
        add(pickup.station, "leave behind", gear(&pickup.gear_off));
    }
    for visit in plan.packing.bags.iter().flat_map(|bag| &bag.visits) {
        add(visit.station, "from bag", servings(&visit.servings));
        add(visit.station, "from bag", gear(&visit.gear));
        add(visit.station, "into bag", gear(&visit.leave));
    }
    Table {
        columns: vec![
            Column::left("Station", "station"),
            Column::left("What", "what"),
            Column::left("Thing", "thing"),
            Column::right("Count", "count"),
        ],
        rows,
    }
}

fn servings(servings: &[Serving]) -> Vec<(&str, u32)> {
    let pairs = servings.iter().map(|s| (s.food.as_str(), s.count));
    pairs.collect()
}

fn gear(names: &[String]) -> Vec<(&str, u32)> {
    names.iter().map(|name| (name.as_str(), 1)).collect()
}

/// Such as `2 × oat bar (bag)`.
fn serving_from(serving: &Serving) -> String {
    let from = match serving.source {
        Source::Start => "",
        Source::Station => " (station)",
        Source::Bag => " (bag)",
        Source::Crew => " (crew)",
    };
    format!("{}{from}", serving_text(serving))
}
