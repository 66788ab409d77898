//! Stations with what is passed, and the way to the next.

use serde_json::{Value, json};

use crate::charts::words::clean;
use crate::inputs::stations_csv::CutoffOn;
use crate::packing::{Flask, Pickup, Serving};
use crate::plan::Plan;
use crate::reports::{View, number};
use crate::units::Quantity;

use super::super::Wishes;
use super::{names, time};

/// Below this share of walking a segment is run, from the other on it is hiked. Our choice.
const RUN_BELOW: f64 = 0.15;
const HIKE_FROM: f64 = 0.6;

/// Every station in course order.
pub(super) fn all(view: &View<'_>, plan: &Plan, wishes: &Wishes) -> Value {
    (0..view.race.course.stations.len())
        .map(|index| station(view, plan, wishes, index))
        .collect()
}

fn station(view: &View<'_>, plan: &Plan, wishes: &Wishes, index: usize) -> Value {
    let (course, units) = (&view.race.course, view.units);
    let (station, split) = (&course.stations[index], &plan.schedule.splits[index]);
    let conditions = &view.race.conditions;
    let pickup = plan.packing.pickups.iter().find(|p| p.station == index);
    json!({
        "number": number(course, index),
        "name": clean(&station.name),
        "distance": units.distance_number(station.official_m),
        "distance_m": station.official_m.round(),
        "arrive": time(plan, split.arrival),
        "leave": time(plan, split.departure),
        "stop_min": (split.departure.to_minute() - split.arrival.to_minute()).as_secs() / 60,
        "cutoff": split.cutoff.map(|limit| time(plan, limit.elapsed)),
        "cutoff_on": split.cutoff.map(|limit| match limit.on {
            CutoffOn::Arrival => "arrival",
            CutoffOn::Departure => "departure",
        }),
        "margin": split.margin.map(|margin| margin.to_margin_text()),
        "margin_s": split.margin.map(|margin| margin.as_secs()),
        "dark": conditions.is_dark(station.distance_m, split.arrival.as_s()),
        "crew": plan.crew.meetings.iter().any(|meeting| meeting.station == index),
        "bag": plan.packing.bags.iter().any(|bag| {
            bag.visits.iter().any(|visit| visit.station == index)
        }),
        "pacer_joins": plan.crew.meetings.iter().any(|meeting| {
            meeting.station == index && !meeting.pacers_on.is_empty()
        }),
        "water": station.offers.iter().any(|offer| offer == "water"),
        "leave_with": pickup.map(|pickup| leave_with(view, pickup)),
        "next": next(view, plan, wishes, index),
    })
}

/// The way to the next station; nothing at the finish.
fn next(view: &View<'_>, plan: &Plan, wishes: &Wishes, index: usize) -> Option<Value> {
    let units = view.units;
    let segment = view.race.course.segments.get(index)?;
    let leg = plan.schedule.legs.get(index)?;
    let effort = match leg.walk_share {
        share if share < RUN_BELOW => "run",
        share if share < HIKE_FROM => "mixed",
        _ => "hike",
    };
    let pace = (!wishes.by_feel).then(|| units.pace_number(leg.pace_s_per_m));
    Some(json!({
        "distance": units.distance_number(segment.official_length_m),
        "distance_m": segment.official_length_m.round(),
        "climb": units.height_number(segment.climb_m),
        "climb_m": segment.climb_m.round(),
        "descent": units.height_number(segment.descent_m),
        "descent_m": segment.descent_m.round(),
        "effort": effort,
        "walk_pct": (leg.walk_share * 100.0).round(),
        "dark_pct": (leg.dark_share * 100.0).round(),
        "pace": pace,
        "pace_s_per_km": (!wishes.by_feel).then_some((leg.pace_s_per_m * 1000.0).round()),
    }))
}

/// Flasks and pockets on leaving.
fn leave_with(view: &View<'_>, pickup: &Pickup) -> Value {
    let course = &view.race.course;
    let flasks: Vec<Value> = pickup.flasks.iter().map(|one| flask(view, one)).collect();
    let distance_m =
        course.stations[pickup.until].official_m - course.stations[pickup.station].official_m;
    let fluid = Quantity::Volume {
        ml: pickup.fluid_ml,
    };
    json!({
        "until": clean(&course.stations[pickup.until].name),
        "until_number": number(course, pickup.until),
        "distance": view.units.distance_number(distance_m),
        "distance_m": distance_m.round(),
        "fluid": view.units.show(fluid),
        "fluid_ml": pickup.fluid_ml.round(),
        "flasks": flasks,
        "eat_here": servings(&pickup.here),
        "take": servings(&pickup.take),
        "take_count": pickup.take.iter().map(|serving| serving.count).sum::<u32>(),
        "for_later": servings(&pickup.for_later),
        "gear_on": names(&pickup.gear_on),
        "gear_off": names(&pickup.gear_off),
    })
}

fn flask(view: &View<'_>, flask: &Flask) -> Value {
    json!({
        "holds": view.units.show(Quantity::Volume { ml: flask.fluid_ml }),
        "fluid_ml": flask.fluid_ml.round(),
        "size_ml": flask.size_ml.round(),
        "drink": flask.drink.as_ref().map(|(name, _)| clean(name)),
        "servings": flask.drink.as_ref().map(|(_, servings)| servings),
    })
}

pub(super) fn servings(list: &[Serving]) -> Vec<String> {
    list.iter()
        .map(|serving| counted(serving.count, &serving.food))
        .collect()
}

/// Such as `2 × oat bar`, count and sign kept together.
pub(super) fn counted(count: u32, food: &str) -> String {
    format!("{count}\u{a0}×\u{a0}{}", clean(food))
}
