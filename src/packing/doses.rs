//! Places of planned caffeine: the stations it is planned for, or the next ones where
//! tested foods can deliver it.

use crate::fueling::caffeine::APART_H;
use crate::inputs::pantry_csv::{Food, FoodKind};

use super::choose::Had;
use super::given::Given;
use super::meals::Want;
use super::offers::Layout;
use super::packed::Source;
use super::pockets::Pockets;
use super::supply::MOST_ON_THE_SPOT_ML;

/// A dose that falls short by more than this share is not worth taking.
pub(super) const LEAST_SHARE: f64 = 0.5;

/// By stretch: servings of foods with caffeine that are settled, with what is planned written into
/// the wants. A dose that no food delivers waits for the next station, as long as the next dose is
/// far enough.
pub(super) fn settle(
    spread: &Layout<'_>,
    given: &Given<'_>,
    wants: &mut [Want],
) -> Vec<Vec<(usize, u32)>> {
    let stores = spread.stores;
    let mut settled = vec![Vec::new(); wants.len()];
    let mut stock: Vec<Option<u32>> = stores.pantry.iter().map(|food| food.stock).collect();
    let mut pockets = Pockets::new(wants.len(), stores.pockets_g);
    let packed_mg = &given.fueling.taken.packed_mg;
    let planned: Vec<f64> = spread
        .points
        .iter()
        .map(|point| match packed_mg.get(point.station..point.until) {
            // gone from the stock, whatever else was taken
            Some(packed_mg) if point.station < given.behind() => packed_mg.iter().sum(),
            _ => {
                let needs = &given.fueling.segments[point.station..point.until];
                needs.iter().map(|need| need.caffeine_mg).sum()
            }
        })
        .collect();
    let (mut owed_mg, mut last_h) = (0.0, f64::NEG_INFINITY);
    for at in 0..wants.len() {
        if planned[at] > 0.0 || !packed_mg.is_empty() {
            // on the way a dose that is not where it should be waits for nothing
            owed_mg = planned[at];
        }
        let at_h = |index: usize| spread.beats[index].at_h;
        let next = (at + 1..wants.len()).find(|later| planned[*later] > 0.0);
        let far = planned[at] > 0.0 || next.is_none_or(|next| at_h(next) - at_h(at) >= APART_H);
        if owed_mg <= 0.0 || !far || at_h(at) - last_h < APART_H {
            continue;
        }
        if let Some((food, count, point)) =
            best(spread, at, (owed_mg, wants[at].fluid_ceiling_ml), &stock)
        {
            let item = &stores.pantry[food];
            let mass_g = f64::from(count) * item.mass_g;
            let held = point.is_none_or(|from| pockets.put(from, at + 1, mass_g));
            if !held {
                continue;
            }
            if point.is_some() {
                stock[food] = stock[food].map(|left| left.saturating_sub(count));
            }
            wants[at].caffeine_mg = f64::from(count) * item.caffeine_mg;
            settled[at].push((food, count));
            (owed_mg, last_h) = (0.0, at_h(at));
        }
    }
    settled
}

/// Of the tested foods with caffeine the one whose whole servings come nearest to a dose without
/// exceeding it, how many, and the point where own ones are picked up.
fn best(
    spread: &Layout<'_>,
    at: usize,
    (dose_mg, fluid_ml): (f64, f64),
    stock: &[Option<u32>],
) -> Option<(usize, u32, Option<usize>)> {
    let count = |food: usize, item: &Food| {
        if item.caffeine_mg <= 0.0 || !item.tested || !spread.beats[at].habit.may_eat(item) {
            return None;
        }
        let (way, (source, point)) = [Had::Pocket, Had::Table]
            .into_iter()
            .find_map(|way| Some((way, spread.origin(at, food, way)?)))?;
        let own = source != Source::Station;
        let most = match way {
            Had::Table => {
                let cups = (MOST_ON_THE_SPOT_ML / item.water_ml.max(1.0)) as u32;
                cups.min(spread.points[at].spot_servings)
            }
            _ => spread.beats[at].things,
        };
        let most = most.min(if own {
            stock[food].unwrap_or(u32::MAX)
        } else {
            u32::MAX
        });
        let count = ((dose_mg / item.caffeine_mg + 1e-9).floor() as u32).min(most);
        let count = count.min((fluid_ml / item.water_ml.max(0.1)) as u32);
        let enough = f64::from(count) * item.caffeine_mg >= LEAST_SHARE * dose_mg;
        let held = way == Had::Pocket && item.kind != FoodKind::Station;
        (count > 0 && enough).then_some((food, count, (own || held).then_some(point)))
    };
    let foods = spread.stores.pantry.iter().enumerate();
    let found = foods.filter_map(|(food, item)| count(food, item));
    let mg = |(food, count, _): &(usize, u32, Option<usize>)| {
        f64::from(*count) * spread.stores.pantry[*food].caffeine_mg
    };
    found.fold(None, |best, next| match &best {
        Some(so_far) if (mg(so_far), next.1) >= (mg(&next), so_far.1) => best,
        _ => Some(next),
    })
}
