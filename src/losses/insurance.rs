//! The cheapest insurance against one loss: found by packing again with it, never guessed.

use crate::diagnostics::Spanned;
use crate::inputs::{GearItem, Inputs};
use crate::packing::{FLASK_ML, Losses, MOST_FLASKS, Packing, Serving, Source};
use crate::replan::servings::{beyond, taken_up};

use super::loss::Loss;
use super::trial::Trial;

/// The things to have besides, so that a loss breaks nothing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Insurance {
    /// Spares, by where they are put, in course order.
    pub spares: Vec<Spare>,
    /// Flasks more.
    pub flasks: u32,
}

/// Spares from one store at one station.
#[derive(Clone, Debug, PartialEq)]
pub struct Spare {
    /// The hands that have them: the runner's from the start, the drop bag, or the crew.
    pub source: Source,
    /// The station where they are taken up.
    pub station: usize,
    /// Food.
    pub servings: Vec<Serving>,
    /// Gear.
    pub gear: Vec<String>,
}

/// Of a piece of gear a second one; else spares alone, then flasks alone, the fewest first, then
/// both.
pub(super) fn cheapest(trial: &Trial<'_>) -> Option<Insurance> {
    let found_out = trial.loss.losses(trial.race);
    let prepared = Losses {
        unforeseen: false,
        ..found_out.clone()
    };
    let works = |losses: &Losses, inputs: &Inputs| trial.failures(losses, inputs).is_empty();
    if let Some(second) = second_piece(trial) {
        let mut inputs = trial.inputs.clone();
        inputs.gear.push(second.clone());
        return works(&found_out, &inputs).then(|| Insurance {
            spares: vec![Spare {
                source: Source::Start,
                station: 0,
                servings: Vec::new(),
                gear: vec![second.name.value],
            }],
            flasks: 0,
        });
    }
    let bag_or_crew = found_out.unforeseen;
    if bag_or_crew && works(&prepared, trial.inputs) {
        return Some(Insurance {
            spares: spares(trial, &trial.pack(&prepared, trial.inputs)),
            flasks: 0,
        });
    }
    for losses in [Some(&found_out), bag_or_crew.then_some(&prepared)] {
        let Some(losses) = losses else { continue };
        for flasks in 1..=MOST_FLASKS {
            let mut inputs = trial.inputs.clone();
            let more = (0..flasks).map(|_| Spanned::unwritten(FLASK_ML));
            inputs.runner.flasks_ml.extend(more);
            // of a lost flask the spare must not be what is lost instead
            let losses = match losses.flasks {
                0 => losses.clone(),
                _ => without_largest(&mut inputs, trial.inputs, losses),
            };
            if works(&losses, &inputs) {
                let spares = match losses == prepared && bag_or_crew {
                    true => spares(trial, &trial.pack(&losses, &inputs)),
                    false => Vec::new(),
                };
                return Some(Insurance { spares, flasks });
            }
        }
    }
    None
}

/// A second piece of the gear that is lost; `None` where a loss is of something else.
fn second_piece(trial: &Trial<'_>) -> Option<GearItem> {
    let Loss::Item(name) = trial.loss else {
        return None;
    };
    let mut gear = trial.inputs.gear.iter();
    let own = gear.find(|item| item.name.value == *name)?;
    Some(GearItem {
        name: Spanned::unwritten(format!("second {name}")),
        ..own.clone()
    })
}

/// The largest of the runner's own flasks is gone, whatever size the spare has.
fn without_largest(inputs: &mut Inputs, own: &Inputs, losses: &Losses) -> Losses {
    let sizes = own.runner.flasks_ml.iter().enumerate();
    let largest = sizes.max_by(|a, b| a.1.value.total_cmp(&b.1.value));
    if let Some((index, _)) = largest {
        inputs.runner.flasks_ml.remove(index);
    }
    Losses {
        flasks: losses.flasks - 1,
        ..losses.clone()
    }
}

/// Contents of own stores in a packing beyond the plan.
fn spares(trial: &Trial<'_>, packing: &Packing) -> Vec<Spare> {
    let planned = stores(&trial.plan.packing);
    let beyond_plan = |store: Spare| {
        let mut same = planned.iter();
        let same = same.find(|p| (p.source, p.station) == (store.source, store.station));
        let Some(same) = same else { return store };
        let mut gear = store.gear;
        gear.retain(|gear| !same.gear.contains(gear));
        Spare {
            servings: beyond(&store.servings, &same.servings),
            gear,
            ..store
        }
    };
    let all = stores(packing).into_iter().map(beyond_plan);
    all.filter(|spare| !spare.servings.is_empty() || !spare.gear.is_empty())
        .collect()
}

/// Things that the runner starts with, that each visit takes out of a bag and that the crew hands
/// over.
fn stores(packing: &Packing) -> Vec<Spare> {
    let start = packing.pickups.first().map(|pickup| {
        let mut servings = taken_up(pickup);
        servings.retain(|serving| serving.source == Source::Start);
        Spare {
            source: Source::Start,
            station: pickup.station,
            servings,
            gear: pickup.gear_on.clone(),
        }
    });
    let visits = packing.bags.iter().flat_map(|bag| &bag.visits);
    let bags = visits.map(|visit| Spare {
        source: Source::Bag,
        station: visit.station,
        servings: visit.servings.clone(),
        gear: visit.gear.clone(),
    });
    let crew = packing.handovers.iter().map(|handover| Spare {
        source: Source::Crew,
        station: handover.station,
        servings: handover.servings.clone(),
        gear: handover.gear.clone(),
    });
    let mut all: Vec<Spare> = start.into_iter().chain(bags).chain(crew).collect();
    all.sort_by_key(|store| store.station);
    all
}
