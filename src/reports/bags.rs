//! What to take from each supply point, and what lies in each drop bag.

use crate::packing::{Bag, Pickup, Serving, Source};
use crate::plan::Plan;

use super::document::{Block, Cell, Column, Document, Item, Table, Tone};
use super::parts;
use super::{Report, View, json};

/// `sutler bags`
pub(super) const REPORT: Report = Report {
    name: "bags",
    about: "what to take at each supply point, and what each drop bag holds",
    needs_plan: true,
    build,
    json: json::bags,
};

fn build(view: &View<'_>) -> Document {
    let mut document = Document::titled(format!("Bags: {}", view.race.course.name));
    let Some(plan) = view.plans.first() else {
        return document;
    };
    document.push(Block::Facts(parts::opening(view)));
    push_bags(&mut document, view, plan);
    push_pickups(&mut document, view, plan);
    document.push(Block::Data(things(view, plan)));
    parts::push_findings(
        &mut document,
        "Findings",
        &plan.packing.findings,
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
    for visit in &bag.visits {
        let station = &course.stations[visit.station];
        let when = plan
            .schedule
            .show(plan.schedule.splits[visit.station].arrival);
        let mut lines = Vec::new();
        let things: Vec<String> = visit.servings.iter().map(serving_text).collect();
        lines.extend(said("take", things));
        lines.extend(said("put on or take up", visit.gear.clone()));
        lines.extend(said("leave", visit.leave.clone()));
        let what = if lines.is_empty() {
            "nothing".to_owned()
        } else {
            lines.join("; ")
        };
        item.under
            .push(format!("{} ({when}): {what}", station.name));
    }
    item
}

fn said(verb: &str, things: Vec<String>) -> Option<String> {
    (!things.is_empty()).then(|| format!("{verb} {}", things.join(", ")))
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
    let (course, units) = (&view.race.course, view.units);
    let name = |station: usize| course.stations[station].name.as_str();
    let leave = plan.schedule.splits[pickup.station].departure;
    let mut item = Item::new(
        Tone::Strong,
        format!(
            "{} {} ({}), for {} {} to {}",
            parts::number(course, pickup.station),
            name(pickup.station),
            plan.schedule.show(leave),
            units.distance_number(
                course.stations[pickup.until].official_m
                    - course.stations[pickup.station].official_m
            ),
            units.distance_symbol(),
            name(pickup.until)
        ),
    );
    let fluid = |ml: f64| format!("{} {}", units.volume_number(ml), units.volume_symbol());
    item.under.extend(said(
        "eat and drink here:",
        pickup.here.iter().map(serving_text).collect(),
    ));
    let flasks = match pickup.water_ml {
        water if water > 0.0 => {
            format!(
                "{} to drink, {} of it plain water",
                fluid(pickup.fluid_ml),
                fluid(water)
            )
        }
        _ => format!("{} to drink", fluid(pickup.fluid_ml)),
    };
    if pickup.fluid_ml > 0.0 {
        item.under.push(flasks);
    }
    item.under.extend(said(
        "food:",
        pickup.take.iter().map(serving_text).collect(),
    ));
    item.under
        .extend(said("put on or take up", pickup.gear_on.clone()));
    item.under
        .extend(said("leave behind", pickup.gear_off.clone()));
    item
}

/// Everything that is packed, put on or left, a row a thing.
fn things(view: &View<'_>, plan: &Plan) -> Table {
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
pub(super) fn serving_text(serving: &Serving) -> String {
    let from = match serving.source {
        Source::Start => "",
        Source::Station => " (station)",
        Source::Bag => " (bag)",
        Source::Crew => " (crew)",
    };
    format!("{} × {}{from}", serving.count, serving.food)
}
