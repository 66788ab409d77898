//! Caffeine that is taken at its hour.

use crate::inputs::counted;
use crate::packing::{Pickup, Serving, is_dose};
use crate::plan::Plan;
use crate::time::S_PER_HOUR;

use super::View;

/// On a way this long, hours, the servings of a dose are taken one after the other: our choice, no
/// source.
const DOSE_APART_H: f64 = 1.0;

/// True for a serving whose caffeine is taken at its hour.
pub(super) fn is_a_dose(view: &View<'_>, serving: &Serving) -> bool {
    dose_mg(view, serving) > 0.0
}

/// Caffeine that is taken at its hour, mg.
pub(super) fn dose_mg(view: &View<'_>, serving: &Serving) -> f64 {
    let mut pantry = view.inputs.pantry.iter();
    let food = pantry.find(|food| food.name.value == serving.food && is_dose(food));
    food.map_or(0.0, |food| f64::from(serving.count) * food.caffeine_mg)
}

/// What to take of a dose that is carried, such as `1 caffeine gel, 1 halfway`, the first one with
/// its place or not: gels are not eaten two at once where there is time, and none is counted twice.
pub(super) fn carried_dose(
    view: &View<'_>,
    plan: &Plan,
    pickup: &Pickup,
    place: &str,
) -> Option<String> {
    let has_time = moving_h(plan, pickup) >= DOSE_APART_H;
    let doses = pickup.take.iter().filter(|one| is_a_dose(view, one));
    let words = doses.map(|dose| {
        let counted = |count| counted(count, &dose.food, &view.inputs.pantry);
        match dose.count.saturating_sub(1) {
            later @ 1.. if has_time => format!("{}{place}, {later} halfway", counted(1)),
            _ => format!("{}{place}", counted(dose.count)),
        }
    });
    let words: Vec<String> = words.collect();
    (!words.is_empty()).then(|| words.join(", "))
}

/// Hours on the move to the next supply point.
pub(super) fn moving_h(plan: &Plan, pickup: &Pickup) -> f64 {
    let splits = &plan.schedule.splits;
    let way = splits[pickup.until].arrival - splits[pickup.station].departure;
    way.as_s() / S_PER_HOUR
}
