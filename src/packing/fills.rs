//! What each flask holds on leaving a station with water: empty, a quarter, half, three quarters or
//! full, as a hand can pour it.

use crate::inputs::pantry_csv::Food;

use super::meals::Pick;
use super::packed::Flask;
use super::stores::Stores;

/// Less water than this is not worth another quarter, millilitres.
pub(super) const SIP_ML: f64 = 30.0;
/// A way longer than this is left for with half a flask at least, hours: water is free, and common
/// practice.
const LONG_H: f64 = 0.5;

/// What each flask holds, so that all together hold at least what should be carried, or all they
/// can; empty where flasks are not known.
///
/// Mixes fill whole flasks; water goes into the largest of the others, by quarters.
pub(super) fn filled(stores: &Stores<'_>, picks: &[Pick], carry_ml: f64, hours: f64) -> Vec<Flask> {
    let mut flasks: Vec<Flask> = stores
        .flasks_ml
        .iter()
        .map(|size_ml| Flask {
            size_ml: *size_ml,
            ..Flask::default()
        })
        .collect();
    for pick in picks {
        pour_mix(&mut flasks, pick, &stores.pantry);
    }
    let mut others: Vec<usize> = (0..flasks.len())
        .filter(|at| flasks[*at].drink.is_none())
        .collect();
    others.sort_by(|a, b| flasks[*b].size_ml.total_cmp(&flasks[*a].size_ml));
    let mixed_ml: f64 = flasks.iter().map(|flask| flask.fluid_ml).sum();
    let mut left_ml = carry_ml - mixed_ml;
    if let Some(first) = others.first()
        && hours > LONG_H
        && mixed_ml <= 0.0
    {
        left_ml = left_ml.max(flasks[*first].size_ml / 2.0);
    }
    for at in others {
        let flask = &mut flasks[at];
        if left_ml < SIP_ML {
            break;
        }
        let quarter_ml = flask.size_ml / 4.0;
        let quarters = ((left_ml - SIP_ML) / quarter_ml).ceil().clamp(1.0, 4.0);
        flask.fluid_ml = quarters * quarter_ml;
        left_ml -= flask.fluid_ml;
    }
    flasks
}

/// Fills as many flasks with a drink as its servings are for.
fn pour_mix(flasks: &mut [Flask], pick: &Pick, pantry: &[Food]) {
    let Some((count, size_ml)) = pick.flasks else {
        return;
    };
    let each = pick.count / count.max(1);
    let free = flasks
        .iter_mut()
        .filter(|flask| flask.drink.is_none() && flask.size_ml == size_ml);
    for flask in free.take(count as usize) {
        flask.fluid_ml = size_ml;
        flask.drink = Some((pantry[pick.food].name.value.clone(), each));
    }
}
