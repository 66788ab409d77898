//! Each food as densely as it is planned.
//!
//! A serving is eaten whole, so a rate over an hour or over a whole run says little. What is
//! compared is the most servings within [`FOOD_WINDOW_H`]: in the plan, each pickup spread evenly
//! over the stretch it is for, and on a long run by the times in its log.

use crate::inputs::RunRecord;
use crate::inputs::record_toml::FOOD_WINDOW_H;
use crate::units::Phrase;
use crate::words::same_name;

use super::demands::PlanAndRecord;
use super::intake::FULL_FROM;
use super::{Cost, Cover, Unknown, UnknownKind, tests};

/// Servings of a food between two arrivals.
struct PlannedFood {
    from_h: f64,
    until_h: f64,
    servings: f64,
}

impl PlanAndRecord<'_> {
    pub(super) fn foods(&self) -> Vec<Unknown> {
        let all = self.inputs.pantry.iter().map(|food| {
            let name = food.name.value.as_str();
            let planned = self.planned(name);
            let servings: f64 = planned.iter().map(|one| one.servings).sum();
            let hours: f64 = planned.iter().map(|one| one.until_h - one.from_h).sum();
            let wanted = most_in_window(&planned);
            let most = |run: &RunRecord| run.most_in_window(|own| same_name(own, name));
            let (tested, at_full) = tests(
                self.runs,
                |run| most(run) > 0.0,
                |run| most(run) > 0.0 && most(run) >= FULL_FROM * wanted,
            );
            // `tested` in the pantry says that it was eaten on a long run, not how densely
            let tested = tested.max(u32::from(food.tested));
            Unknown {
                kind: UnknownKind::Food,
                what: name.to_owned(),
                wants: Phrase::new(format!(
                    "up to {} in {FOOD_WINDOW_H:.0} h, {servings:.0} in all",
                    match format!("{wanted:.1}").trim_end_matches(".0") {
                        "1" => "1 serving".to_owned(),
                        most => format!("{most} servings"),
                    }
                )),
                tested,
                at_full,
                cost: Cost::Hours,
                share: hours / self.hours(),
                covered_by: Cover {
                    servings_in_3h: Some(FULL_FROM * wanted),
                    ..Cover::default()
                },
            }
        });
        all.collect()
    }

    /// The stretches on which a food is eaten.
    fn planned(&self, name: &str) -> Vec<PlannedFood> {
        let splits = &self.plan.schedule.splits;
        let pickups = self.plan.packing.pickups.iter();
        let stretches = pickups.filter_map(|pickup| {
            let servings = pickup.take.iter().chain(&pickup.here);
            let own = servings.filter(|serving| same_name(&serving.food, name));
            let count: u32 = own.map(|serving| serving.count).sum();
            let (from, until) = (splits.get(pickup.station)?, splits.get(pickup.until)?);
            (count > 0).then(|| PlannedFood {
                from_h: from.arrival.as_hours(),
                until_h: until.arrival.as_hours(),
                servings: f64::from(count),
            })
        });
        stretches.collect()
    }
}

/// The most servings within [`FOOD_WINDOW_H`]: a window that holds most begins or ends with a
/// stretch.
fn most_in_window(planned: &[PlannedFood]) -> f64 {
    let from = |from_h: f64| -> f64 {
        let within = planned.iter().map(|one| {
            let length_h = (one.until_h - one.from_h).max(f64::MIN_POSITIVE);
            let shared_h = one.until_h.min(from_h + FOOD_WINDOW_H) - one.from_h.max(from_h);
            one.servings * (shared_h.max(0.0) / length_h).min(1.0)
        });
        within.sum()
    };
    let edges = planned
        .iter()
        .flat_map(|one| [one.from_h, one.until_h - FOOD_WINDOW_H]);
    edges.map(from).fold(0.0, f64::max)
}

#[cfg(test)]
mod tests;
