//! The reserve in the pockets: a gel or two, counted nowhere.

use crate::inputs::pantry_csv::{Food, FoodKind};

use super::meals::{Meal, Pick};
use super::packed::Source;
use super::pockets::Pockets;
use super::stores::Stores;

/// Servings in reserve: common practice, no source.
const SERVINGS: u32 = 2;
/// A race shorter than this needs none, hours.
const LONG_RACE_H: f64 = 3.0;

/// The reserve to start with: of the tested gels without caffeine the best liked, as far as
/// stock and pockets have any left over.
pub(super) fn of(
    stores: &Stores<'_>,
    meals: &[Meal],
    pockets: &mut Pockets,
    race_h: f64,
) -> Option<Pick> {
    if race_h < LONG_RACE_H {
        return None;
    }
    let left = |at: usize, food: &Food| match food.stock {
        None => SERVINGS,
        Some(stock) => {
            let picks = meals.iter().flat_map(|meal| &meal.picks);
            let own = picks.filter(|pick| pick.food == at && pick.source != Source::Station);
            stock.saturating_sub(own.map(|pick| pick.count).sum())
        }
    };
    let fit = |food: &Food| {
        food.kind == FoodKind::Gel && food.own && food.tested && food.caffeine_mg == 0.0
    };
    let gels = stores
        .pantry
        .iter()
        .enumerate()
        .filter(|(_, food)| fit(food));
    let mut gels: Vec<(usize, &Food)> = gels.collect();
    gels.sort_by_key(|(at, food)| (std::cmp::Reverse(food.liking), *at));
    gels.into_iter().find_map(|(at, food)| {
        let mut count = SERVINGS.min(left(at, food));
        while count > 0 && !pockets.put(0, meals.len(), f64::from(count) * food.mass_g) {
            count -= 1;
        }
        (count > 0).then_some(Pick {
            food: at,
            count,
            source: Source::Start,
            at: 0,
            on_the_spot: false,
            fills_flasks: false,
        })
    })
}
