//! What is bought, packed and handed in before the race.

use serde_json::{Value, json};

use crate::charts::words::clean;
use crate::packing::{Bag, BagVisit, Packed, Provision, Source};
use crate::plan::Plan;
use crate::reports::{View, number};
use crate::units::Quantity;

use super::stations::{counted, servings};
use super::{names, time};

/// Every drop bag, as its label shows it.
pub(super) fn labels(view: &View<'_>, plan: &Plan) -> Value {
    let all = plan.packing.bags.iter();
    all.map(|bag| label(view, plan, bag)).collect()
}

fn label(view: &View<'_>, plan: &Plan, bag: &Bag) -> Value {
    let visits = bag.visits.iter().map(|one| visit(view, plan, one));
    json!({
        "place": clean(&view.race.course.places[bag.place].name),
        "food": servings(&bag.servings),
        "gear": names(&bag.gear),
        "visits": visits.collect::<Vec<_>>(),
        "returns": names(&bag.returns),
    })
}

fn visit(view: &View<'_>, plan: &Plan, visit: &BagVisit) -> Value {
    let course = &view.race.course;
    let station = &course.stations[visit.station];
    let split = &plan.schedule.splits[visit.station];
    let in_order = visit.in_order.iter().map(|ration| {
        json!({
            "until": clean(&course.stations[ration.until].name),
            "until_number": number(course, ration.until),
            "food": servings(&ration.servings),
        })
    });
    json!({
        "number": number(course, visit.station),
        "name": clean(&station.name),
        "distance": view.units.distance_number(station.official_m),
        "distance_m": station.official_m.round(),
        "early": time(plan, split.early),
        "likely": time(plan, split.arrival),
        "in_order": in_order.collect::<Vec<_>>(),
        "gear": names(&visit.gear),
        "leave": names(&visit.leave),
    })
}

/// What the organiser says of bags, in their own words.
pub(super) fn rules(view: &View<'_>) -> Vec<String> {
    let rules = view.inputs.course.rules.iter();
    let of_bags = rules.filter(|rule| rule.to_lowercase().contains("bag"));
    of_bags.map(|rule| clean(rule)).collect()
}

/// Every food to have in the house, in the order of the pantry.
pub(super) fn shopping(plan: &Plan) -> Value {
    let row = |food: &Provision| {
        json!({
            "food": clean(&food.food),
            "start": food.with(Source::Start),
            "bags": food.with(Source::Bag),
            "crew": food.with(Source::Crew),
            "all": food.servings,
            "spare": food.spare,
            "have": food.stock,
            "buy": food.buy,
            "stations": food.from_stations,
        })
    };
    let own = plan.packing.shopping.iter().filter(|f| f.servings > 0);
    own.map(row).collect()
}

/// What goes into whose hands before the race: the runner's at the start, each bag, the crew's at
/// each meeting; then the spares.
pub(super) fn heaps(view: &View<'_>, plan: &Plan) -> Value {
    let (course, packing) = (&view.race.course, &plan.packing);
    let mut heaps = Vec::new();
    if let Some(start) = packing.pickups.first() {
        let from_start = |packed: &&Packed| packed.source == Source::Start;
        let food = packing.shopping.iter().flat_map(|food| {
            let packed = food.packed.iter().filter(from_start);
            packed.map(|p| counted(p.count, &food.food))
        });
        heaps.push(json!({
            "hands": "start",
            "name": clean(&course.stations[start.station].name),
            "food": food.collect::<Vec<_>>(),
            "gear": names(&start.gear_on),
        }));
    }
    heaps.extend(packing.bags.iter().map(|bag| {
        json!({
            "hands": "bag",
            "name": clean(&course.places[bag.place].name),
            "food": servings(&bag.servings),
            "gear": names(&bag.gear),
        })
    }));
    heaps.extend(crew_heaps(view, plan));
    let spares = packing.shopping.iter().filter(|food| food.spare > 0);
    let spares: Vec<String> = spares.map(|food| counted(food.spare, &food.food)).collect();
    if !spares.is_empty() {
        heaps.push(json!({
            "hands": "spare",
            "name": "where there is room",
            "food": spares,
            "gear": [],
        }));
    }
    Value::Array(heaps)
}

/// What the crew packs, a heap a meeting; nothing for a meeting that needs nothing.
fn crew_heaps(view: &View<'_>, plan: &Plan) -> Vec<Value> {
    let own_gear = plan.packing.crew_gear();
    let meetings = plan.crew.meetings.iter().map(|meeting| {
        let handover = meeting
            .handover
            .and_then(|index| Some((plan.packing.handovers.get(index)?, own_gear.get(index)?)));
        let mut food = handover.map_or_else(Vec::new, |(h, _)| servings(&h.servings));
        if let Some((h, _)) = handover.filter(|(h, _)| h.water_ml > 0.0) {
            let water = Quantity::Volume { ml: h.water_ml };
            food.push(format!("water {}", view.units.show(water)));
        }
        let gear = handover.map_or(&[][..], |(_, gear)| gear);
        let mut gear: Vec<String> = gear.iter().map(|name| clean(name)).collect();
        gear.extend(names(&meeting.bring));
        (meeting.station, food, gear)
    });
    meetings
        .filter(|(_, food, gear)| !food.is_empty() || !gear.is_empty())
        .map(|(station, food, gear)| {
            json!({
                "hands": "crew",
                "name": clean(&view.race.course.stations[station].name),
                "food": food,
                "gear": gear,
            })
        })
        .collect()
}
