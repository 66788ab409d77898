//! Salt: what food and mix leave open of the sodium need, by whole servings, and never more than
//! is lost.

use crate::inputs::pantry_csv::{Food, FoodKind};

use super::choose::Had;
use super::meals::{Meal, Pick, Supply};
use super::offers::Layout;
use super::packed::Source;
use super::pockets::Pockets;
use super::rhythm::Beat;

/// Adds servings of salt to the meals, each where most is missing, as long as there are any.
pub(super) fn add(spread: &Layout<'_>, meals: &mut [Meal], pockets: &mut Pockets) {
    let pantry = &spread.stores.pantry;
    for (food, salt) in pantry.iter().enumerate() {
        if salt.kind != FoodKind::Salt || salt.sodium_mg <= 0.0 || !salt.tested {
            continue;
        }
        let mut left = salt.stock;
        loop {
            let may = |at: &usize| !spread.beats[*at].habit.refuses(salt);
            let due = |at: &usize| may(at) && is_short(spread.beats, meals, *at);
            let short = (0..meals.len()).filter(|at| due(at) && takes(&meals[*at], salt));
            let missing = |at: &usize| meals[*at].supply.sodium_mg / meals[*at].want.sodium_mg;
            let mut order: Vec<usize> = short.collect();
            order.sort_by(|a, b| missing(a).total_cmp(&missing(b)));
            let found = order.into_iter().find_map(|at| {
                let (source, point) = spread.origin(at, food, Had::Pocket)?;
                let own = source != Source::Station;
                let there = !own || left != Some(0);
                (there && pockets.put(point, at + 1, salt.mass_g)).then_some((at, source, point))
            });
            let Some((at, source, point)) = found else {
                break;
            };
            if source != Source::Station {
                left = left.map(|left| left - 1);
            }
            let from = spread.points[point].station;
            take(&mut meals[at], food, source, from);
            meals[at].supply = Supply::of(&meals[at].picks, &meals[at].mixed, pantry);
        }
    }
}

/// So long sodium may wait for what is eaten then, hours: our choice, for a need of some hours is
/// far from certain.
const WAITS_H: f64 = 4.0;

/// True where the race so far lacks sodium, and still does some hours on: what food brings too much
/// of on one stretch serves those around it.
pub(super) fn is_short(beats: &[Beat], meals: &[Meal], at: usize) -> bool {
    let off_mg = |meal: &Meal| meal.want.sodium_mg - meal.supply.sodium_mg;
    let soon = beats.iter().filter(|b| b.at_h < beats[at].at_h + WAITS_H);
    (at..soon.count()).all(|end| meals[..=end].iter().map(off_mg).sum::<f64>() > 0.0)
}

/// True where one serving more is nearer to the need than none, and within the loss.
fn takes(meal: &Meal, salt: &Food) -> bool {
    let (supply, want, each_mg) = (&meal.supply, &meal.want, salt.sodium_mg);
    let fluid_ml = supply.flask_ml + supply.food_water_ml + salt.water_ml;
    supply.sodium_mg + each_mg / 2.0 <= want.sodium_mg
        && supply.sodium_mg + each_mg <= want.sodium_loss_mg
        && fluid_ml <= want.fluid_ceiling_ml
}

fn take(meal: &mut Meal, food: usize, source: Source, at: usize) {
    let same = |pick: &&mut Pick| (pick.food, pick.source, pick.at) == (food, source, at);
    match meal.picks.iter_mut().find(same) {
        Some(pick) => pick.count += 1,
        None => meal.picks.push(Pick {
            food,
            count: 1,
            source,
            at,
            on_the_spot: false,
            fills_flasks: false,
        }),
    }
}
