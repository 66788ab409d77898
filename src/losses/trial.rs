//! One loss packed for: what fails.

use crate::findings::{About, Finding, FindingKind, Weight};
use crate::inputs::Inputs;
use crate::packing::{Losses, Packer, Packing, Pickup};
use crate::plan::{Plan, Race};
use crate::replan::lost::{gear_lost, lost_gear};
use crate::units::Phrase;

use super::loss::Loss;

/// With less than this share of its carbohydrate a stretch is taken as failed: our choice, no
/// source.
const FOOD_SHARE: f64 = 0.5;

/// One loss, to be packed for again and again.
pub(super) struct Trial<'a> {
    pub(super) race: &'a Race,
    pub(super) inputs: &'a Inputs,
    pub(super) plan: &'a Plan,
    pub(super) loss: &'a Loss,
    pub(super) packer: &'a Packer<'a>,
}

impl Trial<'_> {
    pub(super) fn pack(&self, losses: &Losses, inputs: &Inputs) -> Packing {
        self.packer.trial(losses, inputs)
    }

    /// Packed with care only where a stretch seems to lose most of its food.
    fn pack_roughly(&self, losses: &Losses, inputs: &Inputs) -> Packing {
        let rough = self.packer.rough_trial(losses, inputs);
        match self.hungry(&rough).is_empty() {
            true => rough,
            false => self.pack(losses, inputs),
        }
    }

    /// Failures that the plan does not have.
    pub(super) fn failures(&self, losses: &Losses, inputs: &Inputs) -> Vec<Finding> {
        let packing = self.pack_roughly(losses, inputs);
        let known = |finding: &Finding| {
            let own = self.plan.packing.findings.iter();
            let mut own = own.filter(|own| own.weight == Weight::Failure);
            own.any(|own| own.is_same(finding.kind, finding.about))
        };
        let failures = packing.findings.iter();
        let failures = failures.filter(|f| f.weight == Weight::Failure && !known(f));
        let mut found: Vec<Finding> = failures.cloned().collect();
        found.extend(self.hungry(&packing));
        if losses.unforeseen {
            found.extend(self.missing_supply(losses));
        }
        found.sort_by_key(|finding| finding.about);
        found
    }

    /// Stretches that lose most of their food.
    fn hungry(&self, packing: &Packing) -> Vec<Finding> {
        let name = |station: usize| &self.race.course.stations[station].name;
        let share = |(have, need): (f64, f64)| if need > 0.0 { have / need } else { 1.0 };
        let fed = |from: usize| {
            let mut own = self.plan.packing.pickups.iter().rev();
            let own = own.find(|own| own.station <= from);
            own.is_some_and(|own| share(own.carbs_g) >= FOOD_SHARE)
        };
        let hungry = packing.pickups.iter().filter(|pickup| {
            let (have_g, need_g) = pickup.carbs_g;
            share(pickup.carbs_g) < FOOD_SHARE && need_g - have_g >= 30.0 && fed(pickup.station)
        });
        let say = |pickup: &Pickup| {
            let (have_g, need_g) = pickup.carbs_g;
            let says = format!(
                "{have_g:.0} g of carbohydrate for the {need_g:.0} g needed from `{}` to `{}`",
                name(pickup.station),
                name(pickup.until)
            );
            let about = About::Segment(pickup.station);
            Finding::new(
                FindingKind::FoodLost,
                Weight::Failure,
                about,
                Phrase::new(says),
            )
        };
        hungry.map(say).collect()
    }

    /// Gear that was to be taken up there and must not be missing.
    fn missing_supply(&self, losses: &Losses) -> Vec<Finding> {
        let race = Race {
            losses: losses.clone(),
            ..self.race.clone()
        };
        let stations = 0..race.course.stations.len() - 1;
        stations
            .flat_map(|station| {
                let gear = lost_gear(&race, self.plan, station);
                let say = |gear: &String| gear_lost(&race, self.inputs, gear, station);
                gear.iter().map(say).collect::<Vec<Finding>>()
            })
            .filter(|finding| finding.weight == Weight::Failure)
            .collect()
    }
}
