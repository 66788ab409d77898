//! Changes to what the plan takes at the supply points ahead, as far as it lies there.

use crate::inputs::Inputs;
use crate::packing::{Packing, Pickup, Serving, Source};
use crate::plan::{Plan, Race};

use super::lost::{all_lost_gear, lost_gear};
use super::servings::{beyond, sums, taken_up};
use super::stores::StoresAhead;

/// Changes at one supply point ahead.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Change {
    /// The station.
    pub station: usize,
    /// The next supply point.
    pub until: usize,
    /// Fluid to leave with, planned and now, millilitres.
    pub fluid_ml: (f64, f64),
    /// Servings to take up here besides those of the plan.
    pub more: Vec<Serving>,
    /// Servings of the plan to leave where they are.
    pub less: Vec<Serving>,
    /// Servings that the rest asks for and that neither bag nor crew have as packed for the plan,
    /// nor anything else of the plan in their stead.
    pub not_packed: Vec<Serving>,
    /// Servings of the plan that are not there after all.
    pub lost: Vec<Serving>,
    /// Servings that are taken up here as in the plan, from where they come now.
    pub instead: Vec<Serving>,
    /// The same of gear.
    pub gear_instead: Vec<(String, Source)>,
    /// Gear of the plan that is not there after all.
    pub gear_lost: Vec<String>,
    /// Gear to take up here besides that of the plan.
    pub gear_more: Vec<String>,
    /// Gear of the plan that is not needed from here.
    pub gear_less: Vec<String>,
}

/// Less than this is not worth another filling of the flasks, millilitres.
const FLUID_STEP_ML: f64 = 50.0;

/// Differences of the pickups from a station on, in course order; points without any are left out.
///
/// Bags are handed in and the crew's box is packed, so a food that they lack is made up, by its
/// carbohydrate, with what the plan wanted to take there and the rest does not.
pub(super) fn changes(
    race: &Race,
    inputs: &Inputs,
    plan: &Plan,
    now: &Plan,
    from: usize,
) -> Vec<Change> {
    let mut stores = StoresAhead::packed(race, plan, from);
    let gone = all_lost_gear(race, plan, from);
    now.packing
        .pickups
        .iter()
        .filter(|pickup| pickup.station >= from)
        .map(|pickup| {
            let empty = Pickup::default();
            let planned = plan
                .packing
                .pickups
                .iter()
                .find(|p| p.station == pickup.station)
                .unwrap_or(&empty);
            let place = race.course.stations[pickup.station].place;
            let is_lost = |serving: &Serving| {
                race.losses.has_source(serving.source, place) || race.losses.has_item(&serving.food)
            };
            let (lost, before) = taken_up(planned).into_iter().partition(is_lost);
            let (before, wanted): (Vec<Serving>, _) = (before, taken_up(pickup));
            let gear_lost = lost_gear(race, plan, pickup.station);
            let gear_on = without(&planned.gear_on, &gear_lost);
            let (after, not_packed) = stores.serve(place, &wanted, &before, &inputs.pantry);
            Change {
                station: pickup.station,
                until: pickup.until,
                fluid_ml: (planned.fluid_ml, pickup.fluid_ml),
                more: beyond(&after, &before),
                // what went along earlier cannot be left here
                less: beyond(&beyond(&before, &after), &not_packed),
                not_packed,
                lost,
                gear_more: (without(&pickup.gear_on, &planned.gear_on).into_iter())
                    .filter(|gear| !gone.contains(gear) && is_packed(plan, gear))
                    .collect(),
                gear_less: without(&gear_on, &in_hand(&now.packing, pickup.station)),
                gear_lost,
                ..Change::default()
            }
        })
        .filter(Change::is_any)
        .collect()
}

/// Differences of two plans packed afresh, in course order: whatever the second asks for can still be
/// put where it belongs.
#[must_use]
pub fn between(plan: &Plan, now: &Plan) -> Vec<Change> {
    let empty = Pickup::default();
    let of = |plan: &'_ Plan, station: usize| -> Pickup {
        let mut all = plan.packing.pickups.iter();
        let found = all.find(|p| p.station == station);
        found.unwrap_or(&empty).clone()
    };
    let mut stations: Vec<usize> = [plan, now]
        .iter()
        .flat_map(|plan| plan.packing.pickups.iter().map(|p| p.station))
        .collect();
    stations.sort_unstable();
    stations.dedup();
    stations
        .into_iter()
        .map(|station| {
            let (planned, wanted) = (of(plan, station), of(now, station));
            let (before, after) = (taken_up(&planned), taken_up(&wanted));
            let (mut more, mut less) = (beyond(&after, &before), beyond(&before, &after));
            let instead = from_elsewhere(&mut more, &mut less);
            Change {
                station,
                until: planned.until.max(wanted.until),
                fluid_ml: (planned.fluid_ml, wanted.fluid_ml),
                more,
                less,
                instead,
                gear_instead: gear_from_elsewhere(&plan.packing, &now.packing, station),
                gear_more: without(&wanted.gear_on, &planned.gear_on),
                gear_less: without(&planned.gear_on, &wanted.gear_on),
                ..Change::default()
            }
        })
        .filter(Change::is_any)
        .collect()
}

/// Things that one list has more and another less of, from two sources: taken out of both.
fn from_elsewhere(more: &mut Vec<Serving>, less: &mut Vec<Serving>) -> Vec<Serving> {
    let mut moved = Vec::new();
    for serving in more.iter_mut() {
        for gone in less.iter_mut().filter(|gone| gone.food == serving.food) {
            let count = serving.count.min(gone.count);
            serving.count -= count;
            gone.count -= count;
            moved.push(Serving {
                count,
                ..serving.clone()
            });
        }
    }
    more.retain(|serving| serving.count > 0);
    less.retain(|serving| serving.count > 0);
    moved.retain(|serving| serving.count > 0);
    sums(moved.into_iter())
}

/// Gear that is taken up at a station in both packings, from another source in the second.
fn gear_from_elsewhere(plan: &Packing, now: &Packing, station: usize) -> Vec<(String, Source)> {
    let before = gear_at(plan, station);
    let now = gear_at(now, station).into_iter();
    let moved = now.filter(|(name, source)| {
        let same = |(other, from): &(String, Source)| other == name && from != source;
        before.iter().any(same)
    });
    moved.collect()
}

/// Gear out of the bag and from the crew at a station.
fn gear_at(packing: &Packing, station: usize) -> Vec<(String, Source)> {
    let visits = packing.bags.iter().flat_map(|bag| &bag.visits);
    let visits = visits.filter(|visit| visit.station == station);
    let bag = visits.flat_map(|visit| visit.gear.iter().map(|name| (name.clone(), Source::Bag)));
    let handed = packing.handovers.iter().filter(|h| h.station == station);
    let crew = handed.flat_map(|h| h.gear.iter().map(|name| (name.clone(), Source::Crew)));
    bag.chain(crew).collect()
}

impl Change {
    /// True where anything changes here that is worth doing.
    fn is_any(&self) -> bool {
        let (planned, now) = self.fluid_ml;
        let servings = [
            &self.more,
            &self.less,
            &self.instead,
            &self.not_packed,
            &self.lost,
        ];
        let gear = [&self.gear_more, &self.gear_less, &self.gear_lost];
        (planned - now).abs() >= FLUID_STEP_ML
            || servings.iter().any(|list| !list.is_empty())
            || gear.iter().any(|list| !list.is_empty())
            || !self.gear_instead.is_empty()
    }
}

/// Servings that should have come out of places passed already: those the rest now asks for beyond
/// those that the plan has in the pockets.
pub(super) fn not_in_pockets(plan: &Plan, now: &Plan, from: usize) -> Vec<Serving> {
    let pockets = |plan: &Plan| -> Vec<Serving> {
        let ahead = plan.packing.pickups.iter().filter(|p| p.station >= from);
        let kept = ahead.flat_map(|p| &p.take).filter(|s| s.at < from);
        sums(kept.cloned())
    };
    beyond(&pockets(now), &pockets(plan))
}

/// Gear that the rest asks for before the plan takes it up, and the station where it does; `None`
/// where it does nowhere.
pub(super) fn gear_ahead(plan: &Plan, now: &Plan, from: usize) -> Vec<(String, Option<usize>)> {
    let first = |plan: &Plan, gear: &String| {
        let mut pickups = plan.packing.pickups.iter();
        let takes = pickups.find(|pickup| pickup.gear_on.contains(gear));
        takes.map(|pickup| pickup.station)
    };
    let mut asked: Vec<&String> = Vec::new();
    for gear in now.packing.pickups.iter().flat_map(|p| &p.gear_on) {
        if !asked.contains(&gear) {
            asked.push(gear);
        }
    }
    let asked = asked.into_iter().map(|gear| (gear, first(plan, gear)));
    asked
        .filter(|(gear, planned)| match planned {
            Some(station) => *station >= from && first(now, gear) < Some(from),
            None => true,
        })
        .map(|(gear, planned)| (gear.clone(), planned))
        .collect()
}

/// True for gear that the plan takes up somewhere: anything else was left at home.
fn is_packed(plan: &Plan, gear: &String) -> bool {
    let mut pickups = plan.packing.pickups.iter();
    pickups.any(|pickup| pickup.gear_on.contains(gear))
}

/// Gear worn or carried on leaving a station.
fn in_hand(packing: &Packing, station: usize) -> Vec<String> {
    let mut held: Vec<String> = Vec::new();
    for pickup in packing.pickups.iter().filter(|p| p.station <= station) {
        held.retain(|gear| !pickup.gear_off.contains(gear));
        held.extend(pickup.gear_on.iter().cloned());
    }
    held
}

fn without(one: &[String], other: &[String]) -> Vec<String> {
    one.iter()
        .filter(|gear| !other.contains(gear))
        .cloned()
        .collect()
}
