//! Changes to what the plan takes at the supply points ahead, as far as it lies there.

use crate::inputs::Inputs;
use crate::packing::{Pickup, Serving};
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
                less: beyond(&before, &after),
                not_packed,
                lost,
                gear_more: without(&without(&pickup.gear_on, &planned.gear_on), &gone),
                gear_less: without(&gear_on, &pickup.gear_on),
                gear_lost,
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
            Change {
                station,
                until: planned.until.max(wanted.until),
                fluid_ml: (planned.fluid_ml, wanted.fluid_ml),
                more: beyond(&after, &before),
                less: beyond(&before, &after),
                gear_more: without(&wanted.gear_on, &planned.gear_on),
                gear_less: without(&planned.gear_on, &wanted.gear_on),
                ..Change::default()
            }
        })
        .filter(Change::is_any)
        .collect()
}

impl Change {
    /// True where anything changes here that is worth doing.
    fn is_any(&self) -> bool {
        let (planned, now) = self.fluid_ml;
        let servings = [&self.more, &self.less, &self.not_packed, &self.lost];
        let gear = [&self.gear_more, &self.gear_less, &self.gear_lost];
        (planned - now).abs() >= FLUID_STEP_ML
            || servings.iter().any(|list| !list.is_empty())
            || gear.iter().any(|list| !list.is_empty())
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

/// Gear that the rest asks for and that lies ahead, where the plan takes it up: the piece and that
/// station.
pub(super) fn gear_ahead(plan: &Plan, now: &Plan, from: usize) -> Vec<(String, usize)> {
    let taken = |plan: &'_ Plan, passed: bool| -> Vec<(String, usize)> {
        let pickups = plan.packing.pickups.iter();
        pickups
            .filter(|p| (p.station < from) == passed)
            .flat_map(|p| p.gear_on.iter().map(|gear| (gear.clone(), p.station)))
            .collect()
    };
    let (held, later) = (taken(plan, true), taken(plan, false));
    taken(now, true)
        .into_iter()
        .filter(|(gear, _)| !held.iter().any(|(own, _)| own == gear))
        .filter_map(|(gear, _)| later.iter().find(|(own, _)| *own == gear).cloned())
        .collect()
}

fn without(one: &[String], other: &[String]) -> Vec<String> {
    one.iter()
        .filter(|gear| !other.contains(gear))
        .cloned()
        .collect()
}
