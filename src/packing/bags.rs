//! Contents of each drop bag and of the crew's hands, read off the pickups.

use crate::course::{Course, StationRole};

use super::carry::together;
use super::flasks::FLASK_ML;
use super::moves::{Handling, Move};
use super::packed::{Bag, BagVisit, Handover, Pickup, Ration, Serving, Source};
use super::supply::{Access, SupplyPoint};

/// One bag per place with any, in order of the first visit.
pub(super) fn bags(
    course: &Course,
    access: &Access,
    pickups: &[Pickup],
    moves: &[Move],
) -> Vec<Bag> {
    // a bag may lie at the finish too, where it supplies nothing any more but dry clothes
    let has_bag = |station: &usize| {
        let at = &course.stations[*station];
        let there = access.own(*station) == Some(Source::Bag);
        there && at.role != StationRole::Start
    };
    let mut bags = Vec::new();
    for (place, spot) in course.places.iter().enumerate() {
        let visits: Vec<BagVisit> = spot
            .visits
            .iter()
            .copied()
            .filter(has_bag)
            .map(|station| visit(station, pickups, moves))
            .collect();
        if visits.is_empty() {
            continue;
        }
        let servings = together(
            visits
                .iter()
                .flat_map(|v| &v.servings)
                // one heap in the bag, whichever visit it is for
                .map(|serving| Serving {
                    at: visits[0].station,
                    ..serving.clone()
                }),
        );
        let gear = moves
            .iter()
            .filter(|m| m.way == Handling::Take && m.with == Source::Bag)
            .filter(|m| visits.iter().any(|v| v.station == m.station))
            .map(|m| m.what.clone())
            .collect();
        bags.push(Bag {
            place,
            servings,
            gear,
            returns: returns(&visits),
            visits,
        });
    }
    bags
}

/// Things left in a bag and not taken out on a later visit.
fn returns(visits: &[BagVisit]) -> Vec<String> {
    let mut left: Vec<String> = Vec::new();
    for visit in visits {
        left.retain(|name| !visit.gear.contains(name));
        left.extend(visit.leave.iter().cloned());
    }
    left
}

/// Things taken out on one visit to a bag.
fn visit(station: usize, pickups: &[Pickup], moves: &[Move]) -> BagVisit {
    let (gear, leave) = exchanged(station, Source::Bag, moves);
    BagVisit {
        station,
        servings: handed(station, Source::Bag, pickups),
        in_order: in_order(station, pickups),
        gear,
        leave,
    }
}

/// Servings out of a bag by the stretch they are eaten on.
fn in_order(station: usize, pickups: &[Pickup]) -> Vec<Ration> {
    let mut rations = Vec::new();
    for pickup in pickups.iter().filter(|pickup| pickup.station >= station) {
        let eaten = pickup.here.iter().chain(&pickup.take);
        let of_bag = eaten.filter(|s| s.source == Source::Bag && s.at == station);
        let servings: Vec<Serving> = of_bag.cloned().collect();
        if !servings.is_empty() {
            rations.push(Ration {
                from: pickup.station,
                until: pickup.until,
                servings,
            });
        }
    }
    rations
}

/// One handover per station where the crew gives or takes anything.
pub(super) fn handovers(
    course: &Course,
    points: &[SupplyPoint],
    pickups: &[Pickup],
    moves: &[Move],
) -> Vec<Handover> {
    let mut handovers = Vec::new();
    for station in 0..course.stations.len() {
        let (gear, take_back) = exchanged(station, Source::Crew, moves);
        let thirsty = points
            .iter()
            .zip(pickups)
            .find(|(point, _)| point.station == station && point.crew_water);
        let handover = Handover {
            station,
            servings: handed(station, Source::Crew, pickups),
            water_ml: thirsty.map_or(0.0, |(_, pickup)| brought_ml(pickup)),
            gear,
            take_back,
        };
        let empty = Handover {
            station,
            ..Handover::default()
        };
        if handover != empty {
            handovers.push(handover);
        }
    }
    handovers
}

/// Water that is filled in, mixes made afresh included, in whole bottles as they are sold; what is
/// left of an earlier mix is there already.
fn brought_ml(pickup: &Pickup) -> f64 {
    let left_over = pickup.flasks.iter();
    let left_over = left_over.filter(|flask| matches!(flask.drink, Some((_, 0))));
    let left_over_ml: f64 = left_over.map(|flask| flask.fluid_ml).sum();
    ((pickup.fluid_ml - left_over_ml) / FLASK_ML - 1e-9)
        .ceil()
        .max(0.0)
        * FLASK_ML
}

/// Servings that come into the runner's hands at a station from one source.
fn handed(station: usize, source: Source, pickups: &[Pickup]) -> Vec<Serving> {
    let all = pickups
        .iter()
        .filter(|pickup| pickup.station == station)
        .flat_map(|pickup| {
            pickup
                .take
                .iter()
                .chain(&pickup.here)
                .chain(&pickup.for_later)
        })
        .filter(|serving| serving.source == source && serving.at == station)
        .cloned();
    together(all)
}

/// Gear taken from and left with a source at a station.
fn exchanged(station: usize, with: Source, moves: &[Move]) -> (Vec<String>, Vec<String>) {
    let here = moves
        .iter()
        .filter(|m| m.station == station && m.with == with);
    let (left, taken): (Vec<&Move>, Vec<&Move>) = here.partition(|m| m.way == Handling::Leave);
    let names = |moves: Vec<&Move>| moves.into_iter().map(|m| m.what.clone()).collect();
    (names(taken), names(left))
}
