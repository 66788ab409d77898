//! Each single loss in turn: what would break, worst first, and the cheapest insurance.

use crate::course::Station;
use crate::findings::{About, Finding, FindingKind, Weight};
use crate::inputs::Inputs;
use crate::packing::{Losses, Packing, distribute_without};
use crate::plan::{Plan, Race};
use crate::replan::lost::{gear_lost, lost_gear};
use crate::units::Phrase;

use super::insurance::{Insurance, cheapest};

/// With less than this share of its carbohydrate a stretch is taken as failed: our choice, no source.
const FOOD_SHARE: f64 = 0.5;

/// What every single loss comes to.
#[derive(Clone, Debug, Default)]
#[non_exhaustive]
pub struct Survey {
    /// How many losses were tried.
    pub tried: usize,
    /// Those that break the plan, worst first.
    pub broken: Vec<Breaks>,
}

/// A loss that breaks the plan.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Breaks {
    /// What is not there.
    pub loss: Loss,
    /// Failures that the plan does not have, in course order.
    pub failures: Vec<Finding>,
    /// Planned hours of the stretches that fail.
    pub hours: f64,
    /// The cheapest remedy that was tried and works; `None` where no single one does.
    pub insurance: Option<Insurance>,
}

/// One thing that is not there.
#[derive(Clone, Debug, PartialEq)]
pub enum Loss {
    /// The drop bag of a place, by index.
    Bag(usize),
    /// The crew at a place.
    Crew(usize),
    /// What a place offers.
    Offers(usize),
    /// A food, by name.
    Item(String),
    /// The largest flask.
    Flask,
}

/// A kind of loss at a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum PlaceLoss {
    Bag,
    Crew,
    Offers,
}

impl Loss {
    /// As packing takes it. A bag or crew that fails is found out there; a dry station, a refused
    /// food and a lost flask are known when the flasks are filled.
    pub(super) fn losses(&self) -> Losses {
        let mut losses = Losses {
            unforeseen: matches!(self, Loss::Bag(_) | Loss::Crew(_)),
            ..Losses::default()
        };
        match self {
            Loss::Bag(place) => losses.bags.push(*place),
            Loss::Crew(place) => losses.crew.push(*place),
            Loss::Offers(place) => losses.offers.push(*place),
            Loss::Item(name) => losses.items.push(name.clone()),
            Loss::Flask => losses.flasks = 1,
        }
        losses
    }

    /// As it is typed after `--without`.
    #[must_use]
    pub fn typed(&self, race: &Race) -> String {
        let place = |place: &usize| &race.course.places[*place].name;
        match self {
            Loss::Bag(at) => format!("bag:{}", place(at)),
            Loss::Crew(at) => format!("crew:{}", place(at)),
            Loss::Offers(at) => format!("offers:{}", place(at)),
            Loss::Item(name) => format!("item:{name}"),
            Loss::Flask => "flask".to_owned(),
        }
    }
}

/// Whether the organiser has anything at a station, water included.
pub(super) fn has_offers(station: &Station) -> bool {
    station.has_water || !station.offers.is_empty()
}

/// Tries every single loss; `tick` is told after each how many are done of how many.
#[must_use]
pub fn survey(race: &Race, inputs: &Inputs, plan: &Plan, tick: &dyn Fn(usize, usize)) -> Survey {
    let all = every(race, inputs, plan);
    let mut broken: Vec<Breaks> = Vec::new();
    for (done, loss) in all.iter().enumerate() {
        let trial = Trial {
            race,
            inputs,
            plan,
            loss,
        };
        let failures = trial.failures(&loss.losses(), inputs);
        if !failures.is_empty() {
            broken.push(Breaks {
                loss: loss.clone(),
                hours: hours(plan, &failures),
                insurance: cheapest(&trial),
                failures,
            });
        }
        tick(done + 1, all.len());
    }
    // stable: of the same hours in course order
    broken.sort_by(|a, b| b.hours.total_cmp(&a.hours));
    Survey {
        tried: all.len(),
        broken,
    }
}

/// Every single loss that the plan could meet.
fn every(race: &Race, inputs: &Inputs, plan: &Plan) -> Vec<Loss> {
    let mut all = Vec::new();
    for (index, place) in race.course.places.iter().enumerate() {
        let possible = |loss: PlaceLoss| {
            let mut visits = place.visits.iter().map(|at| &race.course.stations[*at]);
            visits.any(|station| loss.is_possible(station, inputs))
        };
        all.extend(possible(PlaceLoss::Bag).then_some(Loss::Bag(index)));
        all.extend(possible(PlaceLoss::Crew).then_some(Loss::Crew(index)));
        all.extend(possible(PlaceLoss::Offers).then_some(Loss::Offers(index)));
    }
    let used = plan.packing.shopping.iter();
    let used = used.filter(|food| food.servings + food.from_stations > 0);
    all.extend(used.map(|food| Loss::Item(food.food.clone())));
    all.extend((!inputs.runner.flasks_ml.is_empty()).then_some(Loss::Flask));
    all
}

/// One loss, to be packed for again and again.
pub(super) struct Trial<'a> {
    pub(super) race: &'a Race,
    pub(super) inputs: &'a Inputs,
    pub(super) plan: &'a Plan,
    pub(super) loss: &'a Loss,
}

impl Trial<'_> {
    pub(super) fn pack(&self, losses: &Losses, inputs: &Inputs) -> Packing {
        let (race, plan) = (self.race, self.plan);
        distribute_without(
            losses,
            &race.course,
            &race.conditions,
            &plan.schedule,
            &plan.fueling,
            inputs,
        )
    }

    /// Failures that the plan does not have.
    pub(super) fn failures(&self, losses: &Losses, inputs: &Inputs) -> Vec<Finding> {
        let packing = self.pack(losses, inputs);
        let known = |finding: &Finding| {
            let own = self.plan.packing.findings.iter();
            let mut own = own.filter(|own| own.weight == Weight::Failure);
            own.any(|own| (own.kind, own.about) == (finding.kind, finding.about))
        };
        let failures = packing.findings.iter();
        let failures = failures.filter(|f| f.weight == Weight::Failure && !known(f));
        let mut found: Vec<Finding> = failures.cloned().collect();
        found.extend(self.hungry(&packing));
        if losses.unforeseen {
            found.extend(self.bereft(losses));
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
        let say = |pickup: &crate::packing::Pickup| {
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
    fn bereft(&self, losses: &Losses) -> Vec<Finding> {
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

/// Planned hours of the stretches that failures are about; from a station on for gear.
fn hours(plan: &Plan, failures: &[Finding]) -> f64 {
    let splits = &plan.schedule.splits;
    let finish = splits.len() - 1;
    let mut fails = vec![false; finish];
    for finding in failures {
        match finding.about {
            About::Race => fails.fill(true),
            About::Station(station) => fails[station.min(finish)..].fill(true),
            About::Segment(from) => {
                let ends = plan.packing.pickups.iter().find(|p| p.station == from);
                let until = ends.map_or(from + 1, |pickup| match finding.kind {
                    FindingKind::CarryShort => pickup.until_water,
                    _ => pickup.until,
                });
                fails[from.min(finish)..until.clamp(from, finish)].fill(true);
            }
        }
    }
    let failing = (0..finish).filter(|segment| fails[*segment]);
    failing
        .map(|at| (splits[at + 1].arrival - splits[at].arrival).as_hours())
        .sum()
}
