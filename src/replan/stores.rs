//! Contents that drop bags and crew still hold: packed for the plan, opened on another day.

use crate::inputs::Food;
use crate::packing::{Serving, Source};
use crate::plan::{Plan, Race};

use super::servings::{beyond, same, taken_up};

/// The holder of a thing. The crew takes its box along; a bag stays at its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Holder {
    Bag(usize),
    Crew,
}

/// Servings packed for the visits ahead.
pub(super) struct StoresAhead(Vec<(Holder, Serving)>);

impl StoresAhead {
    /// Things that the plan has packed for the stations from one on.
    pub(super) fn packed(race: &Race, plan: &Plan, from: usize) -> StoresAhead {
        let mut held: Vec<(Holder, Serving)> = Vec::new();
        for pickup in plan.packing.pickups.iter().filter(|p| p.station >= from) {
            let place = race.course.stations[pickup.station].place;
            for serving in taken_up(pickup) {
                let Some(holder) = holder(&serving, place) else {
                    continue;
                };
                // a crew that misses one meeting has its box at the next; a lost bag is gone
                let is_gone =
                    matches!(holder, Holder::Bag(place) if race.losses.bags.contains(&place));
                if is_gone || race.losses.has_item(&serving.food) {
                    continue;
                }
                let known = |(h, s): &&mut (Holder, Serving)| *h == holder && same(s, &serving);
                match held.iter_mut().find(known) {
                    Some((_, sum)) => sum.count += serving.count,
                    None => held.push((holder, serving)),
                }
            }
        }
        StoresAhead(held)
    }

    /// Hands out what is wanted at a place as far as it is there, and in the stead of what is not
    /// there what was planned here and is not wanted. Also, what nothing stands in for.
    pub(super) fn serve(
        &mut self,
        place: usize,
        wanted: &[Serving],
        planned: &[Serving],
        pantry: &[Food],
    ) -> (Vec<Serving>, Vec<Serving>) {
        let (mut given, mut lacking) = (Vec::new(), Vec::new());
        for serving in wanted {
            let there = self.take(serving, place);
            if there > 0 {
                given.push(counted(serving, there));
            }
            if there < serving.count {
                lacking.push(counted(serving, serving.count - there));
            }
        }
        // caffeine stands in for nothing: it has its hours
        let mut spare = beyond(planned, &given);
        spare.retain(|serving| food(serving, pantry).is_none_or(|food| food.caffeine_mg <= 0.0));
        let mut short_g: f64 = lacking.iter().map(|s| carbs_g(s, pantry)).sum();
        for serving in spare.iter().filter(|s| holder(s, place).is_some()) {
            let each_g = carbs_g(&counted(serving, 1), pantry);
            let enough = if each_g > 0.0 {
                // to the nearest whole serving
                (short_g / each_g).round().max(0.0) as u32
            } else {
                0
            };
            let there = self.take(&counted(serving, serving.count.min(enough)), place);
            if there > 0 {
                short_g -= each_g * f64::from(there);
                match given.iter_mut().find(|s| same(s, serving)) {
                    Some(sum) => sum.count += there,
                    None => given.push(counted(serving, there)),
                }
            }
        }
        lacking.retain(|serving| {
            let each_g = carbs_g(&counted(serving, 1), pantry);
            // what has no carbohydrate, a salt capsule say, nothing stands in for
            let covered = each_g > 0.0 && short_g < 0.5 * each_g;
            if !covered {
                short_g -= carbs_g(serving, pantry);
            }
            !covered
        });
        (given, lacking)
    }

    /// Takes servings out of the store that is meant; how many were there. Stations have plenty.
    fn take(&mut self, serving: &Serving, place: usize) -> u32 {
        let Some(holder) = holder(serving, place) else {
            return serving.count;
        };
        let known = |(h, s): &&mut (Holder, Serving)| *h == holder && same(s, serving);
        self.0.iter_mut().find(known).map_or(0, |(_, held)| {
            let there = held.count.min(serving.count);
            held.count -= there;
            there
        })
    }
}

/// The one of the runner's own people and bags that holds a serving.
fn holder(serving: &Serving, place: usize) -> Option<Holder> {
    match serving.source {
        Source::Bag => Some(Holder::Bag(place)),
        Source::Crew => Some(Holder::Crew),
        Source::Start | Source::Station => None,
    }
}

fn counted(serving: &Serving, count: u32) -> Serving {
    Serving {
        count,
        ..serving.clone()
    }
}

fn food<'a>(serving: &Serving, pantry: &'a [Food]) -> Option<&'a Food> {
    pantry.iter().find(|food| food.name.value == serving.food)
}

fn carbs_g(serving: &Serving, pantry: &[Food]) -> f64 {
    food(serving, pantry).map_or(0.0, |food| food.carbs_g) * f64::from(serving.count)
}
