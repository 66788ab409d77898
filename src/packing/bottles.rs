//! The bottle plan: what goes into which flask at a station with water.

use crate::inputs::pantry_csv::FoodKind;

use super::flasks::{Drink, Flasks};
use super::menu::{Meal, Pick};
use super::packed::Flask;
use super::stores::{Stores, water_ml};

/// Less water than this is not worth another flask, millilitres.
const SIP_ML: f64 = 30.0;

/// What each flask holds on leaving with so much fluid; `None` where flasks are not known.
///
/// Drinks get the fewest and smallest flasks that hold them; water fills the largest of the others,
/// and thins the drinks only where that is not enough. What is not needed stays empty.
pub(super) fn filled(stores: &Stores<'_>, meal: &Meal, fluid_ml: f64) -> Option<Vec<Flask>> {
    stores.capacity_ml()?;
    let flasks = Flasks {
        sizes_ml: stores.flasks_ml.clone(),
        must_hold_ml: fluid_ml,
    };
    let poured: Vec<&Pick> = meal
        .picks
        .iter()
        .filter(|pick| stores.pantry[pick.food].kind == FoodKind::Drink)
        .filter(|pick| water_ml(&stores.pantry[pick.food]) > 0.0)
        .collect();
    let drinks: Vec<Drink> = poured
        .iter()
        .map(|pick| {
            let food = &stores.pantry[pick.food];
            Drink::of(water_ml(food), food.carbs_g, f64::from(pick.count))
        })
        .collect();
    let owners = flasks.share_out(&drinks)?;
    let mut filled: Vec<Flask> = flasks
        .sizes_ml
        .iter()
        .map(|size_ml| empty(*size_ml))
        .collect();
    let mut left_ml = fluid_ml;
    for (index, (pick, drink)) in poured.iter().zip(&drinks).enumerate() {
        let mine = |flask: &usize| owners[*flask] == Some(index);
        let of_it: Vec<usize> = (0..owners.len()).filter(mine).collect();
        let name = &stores.pantry[pick.food].name.value;
        pour(
            &mut filled,
            &of_it,
            drink.volume_ml,
            Some((name, pick.count)),
        );
        left_ml -= drink.volume_ml;
    }
    let mut others: Vec<usize> = (0..owners.len()).filter(|f| owners[*f].is_none()).collect();
    others.sort_by(|a, b| filled[*b].size_ml.total_cmp(&filled[*a].size_ml));
    left_ml -= pour(&mut filled, &others, left_ml, None);
    thin(&mut filled, &owners, &drinks, left_ml);
    Some(filled)
}

fn empty(size_ml: f64) -> Flask {
    Flask {
        size_ml,
        ..Flask::default()
    }
}

/// Fills flasks one after the other; what went in, millilitres.
fn pour(filled: &mut [Flask], into: &[usize], fluid_ml: f64, drink: Option<(&String, u32)>) -> f64 {
    let mut left_ml = fluid_ml.max(0.0);
    let poured_ml = left_ml;
    for &index in into {
        if left_ml < SIP_ML && drink.is_none() {
            break;
        }
        let flask = &mut filled[index];
        flask.fluid_ml = left_ml.min(flask.size_ml);
        flask.drink = drink.map(|(name, count)| (name.clone(), count));
        left_ml -= flask.fluid_ml;
    }
    poured_ml - left_ml
}

/// Adds water to drinks as far as they may be thinned.
fn thin(filled: &mut [Flask], owners: &[Option<usize>], drinks: &[Drink], water_ml: f64) {
    let mut left_ml = water_ml;
    for (index, drink) in drinks.iter().enumerate() {
        let mut more_ml = left_ml.min(drink.most_ml - drink.volume_ml).max(0.0);
        for (flask, _) in filled
            .iter_mut()
            .zip(owners)
            .filter(|(_, o)| **o == Some(index))
        {
            let add_ml = more_ml.min(flask.size_ml - flask.fluid_ml);
            flask.fluid_ml += add_ml;
            more_ml -= add_ml;
            left_ml -= add_ml;
        }
    }
}
