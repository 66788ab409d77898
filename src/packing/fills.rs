//! Fill of each flask on leaving a station with water: empty, a quarter, half, three quarters or
//! full, as a hand can pour it.

use crate::inputs::pantry_csv::Food;

use super::flasks::{FLASK_ML, MOST_FLASKS};
use super::mixed::Mixed;
use super::packed::Flask;
use super::stores::Stores;

/// Less water than this is not worth another quarter, millilitres.
pub(super) const SIP_ML: f64 = 30.0;
/// A way longer than these is left for with half a flask and with a whole one at least, hours:
/// water is free, and common practice.
const LONG_H: f64 = 0.5;
const VERY_LONG_H: f64 = 1.5;

/// Fluid to leave with where flasks are not known, millilitres: by the half flask, as a hand pours
/// it, and no more than anybody carries.
pub(super) fn poured_ml(carry_ml: f64) -> f64 {
    let halves = (carry_ml / FLASK_ML * 2.0 - 0.1).ceil().max(0.0);
    (halves * FLASK_ML / 2.0).min(f64::from(MOST_FLASKS) * FLASK_ML)
}

/// Fill of each flask, so that all together hold at least what should be carried, or all they
/// can; empty where flasks are not known.
///
/// Mix is in whole flasks, or in one begun before; water goes into the largest of the others, by
/// quarters.
pub(super) fn filled(stores: &Stores<'_>, mixed: &Mixed, carry_ml: f64, hours: f64) -> Vec<Flask> {
    let mut flasks: Vec<Flask> = stores
        .flasks_ml
        .iter()
        .map(|size_ml| Flask {
            size_ml: *size_ml,
            ..Flask::default()
        })
        .collect();
    pour_mix(&mut flasks, mixed, &stores.pantry);
    let mut others: Vec<usize> = (0..flasks.len())
        .filter(|at| flasks[*at].drink.is_none())
        .collect();
    others.sort_by(|a, b| flasks[*b].size_ml.total_cmp(&flasks[*a].size_ml));
    let shown_ml: f64 = flasks.iter().map(|flask| flask.fluid_ml).sum();
    let mixed_ml = mixed.held_ml.min(shown_ml);
    let mut left_ml = carry_ml - mixed_ml;
    if let Some(first) = others.first()
        && hours > LONG_H
    {
        let whole_ml = flasks[*first].size_ml;
        let least_ml = if hours > VERY_LONG_H {
            whole_ml
        } else {
            whole_ml / 2.0
        };
        left_ml = left_ml.max(least_ml - mixed_ml);
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

/// Fills flasks with mix: those that are full, and one with what is left of an earlier one.
fn pour_mix(flasks: &mut [Flask], mixed: &Mixed, pantry: &[Food]) {
    let Some((food, mix)) = mixed.drink else {
        return;
    };
    let mut left_ml = mixed.held_ml;
    let mut fresh = mixed.filled;
    let of_size = flasks
        .iter_mut()
        .filter(|flask| flask.size_ml == mix.flask_ml);
    for flask in of_size {
        if left_ml <= 0.0 {
            break;
        }
        let quarters = (left_ml / mix.flask_ml * 4.0).round().clamp(1.0, 4.0);
        flask.fluid_ml = quarters * mix.flask_ml / 4.0;
        let servings = if fresh > 0 { mix.servings } else { 0 };
        flask.drink = Some((pantry[food].name.value.clone(), servings));
        fresh = fresh.saturating_sub(1);
        left_ml -= mix.flask_ml;
    }
}
