//! What lies in each drop bag and what the crew hands over, read off the pickups.

use crate::course::{Course, Role};

use super::carry::together;
use super::gear::{Move, Way};
use super::supply::Point;
use super::{Bag, BagVisit, Handover, Pickup, Serving, Source};

/// One bag per place with any, in order of the first visit.
pub(super) fn bags(course: &Course, pickups: &[Pickup], moves: &[Move]) -> Vec<Bag> {
    let has_bag = |station: &usize| {
        let station = &course.stations[*station];
        station.drop_bag && station.role != Role::Start
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
            .filter(|m| m.way == Way::Take && m.with == Source::Bag)
            .filter(|m| visits.iter().any(|v| v.station == m.station))
            .map(|m| m.what.clone())
            .collect();
        bags.push(Bag {
            place,
            servings,
            gear,
            visits,
        });
    }
    bags
}

/// What one visit to a bag is for.
fn visit(station: usize, pickups: &[Pickup], moves: &[Move]) -> BagVisit {
    let (gear, leave) = exchanged(station, Source::Bag, moves);
    BagVisit {
        station,
        servings: handed(station, Source::Bag, pickups),
        gear,
        leave,
    }
}

/// One handover per station where the crew gives or takes anything.
pub(super) fn handovers(
    course: &Course,
    points: &[Point],
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
            water_ml: thirsty.map_or(0.0, |(_, pickup)| pickup.fluid_ml),
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
    let (left, taken): (Vec<&Move>, Vec<&Move>) = here.partition(|m| m.way == Way::Leave);
    let names = |moves: Vec<&Move>| moves.into_iter().map(|m| m.what.clone()).collect();
    (names(taken), names(left))
}
