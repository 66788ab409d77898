//! Each single loss in turn: what would break, worst first, and the cheapest insurance.

use rayon::prelude::*;

use crate::findings::{About, Finding, FindingKind};
use crate::inputs::Inputs;
use crate::inputs::gear_csv::GearRule;
use crate::packing::{Packer, demanded};
use crate::plan::{Plan, Race};
use crate::words::folded;

use super::insurance::{Insurance, cheapest};
use super::loss::{Loss, PlaceLoss};
use super::trial::Trial;

/// The outcome of every single loss.
#[derive(Clone, Debug, Default)]
#[non_exhaustive]
pub struct Survey {
    /// Number of losses tried.
    pub tried: usize,
    /// Those that break the plan, worst first.
    pub broken: Vec<Breaks>,
}

/// A loss that breaks the plan.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Breaks {
    /// The thing that is not there.
    pub loss: Loss,
    /// Failures that the plan does not have, in course order.
    pub failures: Vec<Finding>,
    /// Planned hours of the stretches that fail.
    pub hours: f64,
    /// The cheapest remedy that was tried and works; `None` where no single one does.
    pub insurance: Option<Insurance>,
}

/// Tries every single loss.
#[must_use]
pub fn survey(race: &Race, inputs: &Inputs, plan: &Plan) -> Survey {
    let all = every(race, inputs, plan);
    let packer = Packer::new(&race.course, &plan.schedule, &plan.exposures, &plan.fueling);
    let breaks = |loss: &Loss| {
        if !is_used(race, plan, loss) {
            return None;
        }
        let trial = Trial {
            race,
            inputs,
            plan,
            loss,
            packer: &packer,
        };
        let failures = trial.failures(&loss.losses(race), inputs);
        (!failures.is_empty()).then(|| Breaks {
            loss: loss.clone(),
            hours: hours(plan, &failures),
            insurance: cheapest(&trial),
            failures,
        })
    };
    let mut broken: Vec<Breaks> = all.par_iter().filter_map(breaks).collect();
    // stable: of the same hours in course order
    broken.sort_by(|a, b| b.hours.total_cmp(&a.hours));
    Survey {
        tried: all.len(),
        broken,
    }
}

/// True where the plan takes anything from what is lost; a bag or crew that gives nothing is not
/// missed.
fn is_used(race: &Race, plan: &Plan, loss: &Loss) -> bool {
    let packing = &plan.packing;
    match loss {
        Loss::Bag(place) => packing.bags.iter().any(|bag| bag.place == *place),
        Loss::Crew(place) => {
            let visits = &race.course.places[*place].visits;
            let mut handovers = packing.handovers.iter();
            handovers.any(|handover| visits.contains(&handover.station))
        }
        Loss::WholeCrew => !packing.handovers.is_empty(),
        Loss::Offers(_) | Loss::Item(_) | Loss::Flask => true,
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
    let meetings = all.iter().filter(|loss| matches!(loss, Loss::Crew(_)));
    all.extend((meetings.count() > 1).then_some(Loss::WholeCrew));
    let used = plan.packing.shopping.iter();
    let used = used.filter(|food| food.servings + food.from_stations > 0);
    all.extend(used.map(|food| Loss::Item(food.food.clone())));
    let taken = plan
        .packing
        .pickups
        .iter()
        .flat_map(|pickup| &pickup.gear_on);
    let vital = |name: &&String| {
        let phone = folded(name).contains("phone");
        phone || is_vital(inputs, name) || demanded(&race.course, name)
    };
    let mut vital: Vec<&String> = taken.filter(vital).collect();
    vital.sort();
    vital.dedup();
    all.extend(vital.into_iter().map(|name| Loss::Item(name.clone())));
    all.extend((!inputs.runner.flasks_ml.is_empty()).then_some(Loss::Flask));
    all
}

/// True where nobody is safe without a piece of gear: what is for the dark, the cold or rain.
pub(crate) fn is_vital(inputs: &Inputs, name: &str) -> bool {
    use GearRule::{Cold, Dark, Rain};
    let rule = inputs.gear.iter().find(|item| item.name.value == name);
    rule.is_some_and(|item| matches!(item.when, Dark | Cold | Rain))
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
