//! The cost of a serving besides its carbohydrate: the trouble of it, and how far it is from what
//! the runner would rather have. The weights are our own choice (no source) but where one is
//! named: they say what a runner would trade against what.

use crate::inputs::pantry_csv::{Food, FoodKind};
use crate::inputs::rhythm::Taste;

use super::choose::Had;
use super::packed::Source;
use super::rhythm::Beat;

/// Taking it up, opening and eating it: on the move, and standing.
const ON_THE_MOVE: f64 = 1.0;
const STANDING: f64 = 0.3;
/// The second of a kind on a stretch, and each next one as much more.
const AGAIN: f64 = 0.4;
/// Never tested on a long run.
pub(super) const UNTESTED: f64 = 12.0;
/// Per step of liking below 5, and below 3 besides.
const LESS_LIKED: f64 = 0.7;
const DISLIKED: f64 = 1.5;
/// Brought by the runner.
const OWN: f64 = 0.8;
/// Sweet where savoury is preferred; a gel besides.
const SWEET_LATE: f64 = 1.5;
const GEL_LATE: f64 = 0.7;
/// The same where the runner's rhythm asks for savoury.
const SWEET_UNASKED: f64 = 5.0;
/// Warm and salty where it is preferred: what that is worth.
const WARM_LATE: f64 = 1.0;
/// The same early in the race, where sweet is preferred.
const WARM_EARLY: f64 = 1.2;
/// Caffeine early in the race, where it does little.
const CAFFEINE_EARLY: f64 = 1.5;
/// Per kilogram carried a kilometre, in grams of carbohydrate: level running costs 3.6 J/kg/m
/// (Minetti et al. 2002, J Appl Physiol 93:1039), and a gram gives 4 kcal.
const CARRIED: f64 = 3.6 / 4.184 / 4.0;
/// Milligrams of sodium a gram of carbohydrate from which on food is savoury.
const SAVOURY_MG_PER_G: f64 = 3.0;

/// The cost of one serving, carried so far times its mass (kg km), and of each next one
/// besides.
pub(super) fn cost(food: &Food, way: Had, source: Source, beat: &Beat, kg_km: f64) -> (f64, f64) {
    let trouble = match way {
        Had::Pocket => ON_THE_MOVE,
        Had::Table => STANDING,
    };
    let mut cost = trouble
        + LESS_LIKED * f64::from(5_u8.saturating_sub(food.liking))
        + DISLIKED * f64::from(3_u8.saturating_sub(food.liking))
        + CARRIED * kg_km;
    if !food.tested {
        cost += UNTESTED;
    }
    if source != Source::Station {
        cost += OWN;
    }
    if beat.savoury {
        let sweet = !is_savoury(food) && food.caffeine_mg == 0.0;
        let asked = beat.habit.taste == Some(Taste::Savoury);
        cost += match (sweet, asked) {
            (true, true) => SWEET_UNASKED,
            (true, false) => SWEET_LATE,
            (false, _) => 0.0,
        };
        cost += if food.kind == FoodKind::Gel {
            GEL_LATE
        } else {
            0.0
        };
        let warm = food.kind == FoodKind::Station && is_savoury(food);
        cost -= if warm { WARM_LATE } else { 0.0 };
    }
    if !beat.savoury && food.kind == FoodKind::Station && is_savoury(food) {
        cost += WARM_EARLY;
    }
    if food.caffeine_mg > 0.0 && !beat.late {
        cost += CAFFEINE_EARLY;
    }
    (cost, AGAIN)
}

/// True where a food is salty rather than sweet.
fn is_savoury(food: &Food) -> bool {
    food.sodium_mg >= SAVOURY_MG_PER_G * food.carbs_g && food.sodium_mg > 0.0
}
