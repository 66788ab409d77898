//! Things to have and to buy before the race.

use crate::course::Course;
use crate::inputs::pantry_csv::Food;

use super::packed::{Packed, Pickup, Provision, Serving, Source};

/// One spare serving for so many planned ones, or part of it: common practice, no source.
const SPARE_EVERY: u32 = 8;

/// Every food of the plan, in the order of the pantry.
pub(super) fn list(course: &Course, pantry: &[Food], pickups: &[Pickup]) -> Vec<Provision> {
    let eaten: Vec<&Serving> = pickups
        .iter()
        .flat_map(|pickup| pickup.take.iter().chain(&pickup.here))
        .collect();
    let reserve: Vec<&Serving> = pickups.iter().flat_map(|pickup| &pickup.reserve).collect();
    let provisions = pantry.iter().map(|food| {
        let name = &food.name.value;
        let of_it = |all: &[&'_ Serving]| -> Vec<Serving> {
            all.iter()
                .filter(|s| s.food == *name)
                .map(|s| (*s).clone())
                .collect()
        };
        provision(course, food, &of_it(&eaten), &of_it(&reserve))
    });
    provisions
        .filter(|provision| provision.servings + provision.from_stations > 0)
        .collect()
}

fn provision(course: &Course, food: &Food, eaten: &[Serving], reserve: &[Serving]) -> Provision {
    let mut of_it = Provision {
        food: food.name.value.clone(),
        stock: food.stock,
        reserve: reserve.iter().map(|serving| serving.count).sum(),
        ..Provision::default()
    };
    for serving in eaten.iter().chain(reserve) {
        if serving.source == Source::Station {
            of_it.from_stations += serving.count;
            continue;
        }
        of_it.servings += serving.count;
        let (source, place) = (serving.source, course.stations[serving.at].place);
        let known = |p: &&mut Packed| (p.source, p.place) == (source, place);
        match of_it.packed.iter_mut().find(known) {
            Some(packed) => packed.count += serving.count,
            None => of_it.packed.push(Packed {
                source,
                place,
                count: serving.count,
            }),
        }
    }
    of_it.spare = of_it.servings.div_ceil(SPARE_EVERY);
    let wanted = of_it.servings + of_it.spare;
    of_it.buy = food.stock.map(|stock| wanted.saturating_sub(stock));
    of_it
}
