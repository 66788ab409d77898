//! Unknowns of things worn and handled: each piece of gear in its conditions, the bag, the crew.

use crate::inputs::RunRecord;
use crate::inputs::gear_csv::GearRule;
use crate::inputs::record_toml::Tested;
use crate::units::Phrase;
use crate::words::{count, same_name};

use super::demands::PlanAndRecord;
use super::{Cost, Cover, Unknown, UnknownKind, tests};

impl PlanAndRecord<'_> {
    pub(super) fn things(&self) -> Vec<Unknown> {
        let mut all = self.gear();
        let packing = &self.plan.packing;
        if !packing.bags.is_empty() {
            let wants = format!("{} to open", count(packing.bags.len(), "drop bag"));
            all.push(self.routine(UnknownKind::BagRoutine, Tested::BagRoutine, wants));
        }
        let meetings = self.plan.crew.meetings.len();
        if meetings > 0 {
            let wants = count(meetings, "meeting");
            all.push(self.routine(UnknownKind::CrewMeeting, Tested::CrewMeeting, wants));
        }
        all
    }

    /// Each piece that the plan has the runner carry, in the order it is taken up.
    fn gear(&self) -> Vec<Unknown> {
        let pickups = self.plan.packing.pickups.iter();
        let mut names: Vec<&str> = Vec::new();
        for name in pickups.flat_map(|pickup| &pickup.gear_on) {
            if !names.iter().any(|known| same_name(known, name)) {
                names.push(name);
            }
        }
        let worn =
            |name: &&str| matches!(self.rule(name), GearRule::Always | GearRule::AfterStation);
        let (kit, pieces): (Vec<&str>, Vec<&str>) = names.into_iter().partition(worn);
        let mut all: Vec<Unknown> = pieces.into_iter().map(|name| self.piece(name)).collect();
        all.extend((!kit.is_empty()).then(|| self.kit(&kit)));
        all
    }

    fn rule(&self, name: &str) -> GearRule {
        let mut items = self.inputs.gear.iter();
        let item = items.find(|item| same_name(&item.name.value, name));
        item.map_or(GearRule::Always, |item| item.when)
    }

    /// The kit carried all the way, as one thing: wearing it tests it.
    fn kit(&self, pieces: &[&str]) -> Unknown {
        let used = |run: &RunRecord, name: &str| {
            let mut own = run.gear.iter();
            own.any(|gear| same_name(&gear.name.value, name))
        };
        let (tested, at_full) = tests(
            self.runs,
            |run| pieces.iter().any(|name| used(run, name)),
            |run| run.tested.contains(&Tested::Kit) || pieces.iter().all(|name| used(run, name)),
        );
        Unknown {
            kind: UnknownKind::Kit,
            what: "whole kit".to_owned(),
            wants: Phrase::new("worn or carried all the way"),
            tested,
            at_full,
            cost: Cost::Minutes,
            share: 1.0,
            covered_by: Cover::default(),
        }
    }

    fn piece(&self, name: &str) -> Unknown {
        let when = self.rule(name);
        let used = |run: &RunRecord| {
            let mut own = run.gear.iter().filter(|g| same_name(&g.name.value, name));
            own.next().map(|gear| gear.met.contains(&when))
        };
        let (tested, at_full) = tests(
            self.runs,
            |run| used(run).is_some(),
            |run| used(run).is_some_and(|met| met),
        );
        Unknown {
            kind: UnknownKind::Gear,
            what: name.to_owned(),
            wants: Phrase::new(in_its_conditions(when)),
            tested,
            at_full,
            // a lamp or a jacket that fails stops a runner; the rest is a nuisance
            cost: if when == GearRule::Sun {
                Cost::Minutes
            } else {
                Cost::Hours
            },
            share: 0.5,
            covered_by: Cover {
                dark_h: (when == GearRule::Dark).then_some(0.5),
                warm_c: (when == GearRule::Heat).then_some(25.0),
                weather: weather(when),
                ..Cover::default()
            },
        }
    }

    fn routine(&self, kind: UnknownKind, practised: Tested, wants: String) -> Unknown {
        let done = |run: &RunRecord| run.tested.contains(&practised);
        let (tested, at_full) = tests(self.runs, done, done);
        Unknown {
            kind,
            what: match kind {
                UnknownKind::CrewMeeting => "crew meeting",
                _ => "bag routine",
            }
            .to_owned(),
            wants: Phrase::new(wants),
            tested,
            at_full,
            cost: Cost::Minutes,
            share: 1.0,
            covered_by: Cover {
                laid_out_stop: true,
                ..Cover::default()
            },
        }
    }
}

fn in_its_conditions(when: GearRule) -> &'static str {
    match when {
        GearRule::Always => "worn or carried all the way",
        GearRule::Dark => "in the dark",
        GearRule::Cold => "in the cold",
        GearRule::Rain => "in rain",
        GearRule::Sun => "in the sun",
        GearRule::Heat => "in the heat",
        GearRule::AfterStation => "put on along the way",
    }
}

fn weather(when: GearRule) -> Option<&'static str> {
    match when {
        GearRule::Cold => Some("cold"),
        GearRule::Rain => Some("rain"),
        GearRule::Sun => Some("sun"),
        GearRule::Always | GearRule::Dark | GearRule::Heat | GearRule::AfterStation => None,
    }
}
