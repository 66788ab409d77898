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

/// What goes into whose hands before the race: the runner's at the start, each bag, the crew's;
/// then the spares.
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

/// What the crew packs: gear once for all meetings, then food and water by meeting.
fn crew_heaps(view: &View<'_>, plan: &Plan) -> Vec<Value> {
    let meetings = &plan.crew.meetings;
    let own_gear = plan.packing.crew_gear().concat();
    let brought = meetings.iter().flat_map(|m| &m.bring).map(String::as_str);
    let mut gear: Vec<String> = Vec::new();
    for name in own_gear.into_iter().chain(brought).map(clean) {
        if !gear.contains(&name) {
            gear.push(name);
        }
    }
    let heap = |name: &str, food: Vec<String>, gear: Vec<String>| {
        (!food.is_empty() || !gear.is_empty())
            .then(|| json!({ "hands": "crew", "name": name, "food": food, "gear": gear }))
    };
    let by_meeting = meetings.iter().filter_map(|meeting| {
        let handover = plan.packing.handovers.get(meeting.handover?)?;
        let mut food = servings(&handover.servings);
        if handover.water_ml > 0.0 {
            let ml = handover.water_ml;
            food.push(format!(
                "water {}",
                view.units.show(Quantity::Volume { ml })
            ));
        }
        let station = &view.race.course.stations[meeting.station];
        heap(&clean(&station.name), food, Vec::new())
    });
    heap("in the car", Vec::new(), gear)
        .into_iter()
        .chain(by_meeting)
        .collect()
}
