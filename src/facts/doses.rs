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

/// The room there is for the words of a dose.
#[derive(Clone, Copy, PartialEq)]
pub(super) enum Told {
    /// `1 caffeine gel on leaving, 1 halfway`
    Placed,
    /// `1 caffeine gel, 1 halfway`
    Timed,
    /// `1+1 caffeine gels`
    Brief,
}

/// What to take of a dose that is carried: gels are not eaten two at once where there is time, and
/// none is counted twice.
pub(super) fn carried_dose(
    view: &View<'_>,
    plan: &Plan,
    pickup: &Pickup,
    told: Told,
) -> Option<String> {
    let has_time = moving_h(plan, pickup) >= DOSE_APART_H;
    let place = if told == Told::Placed {
        " on leaving"
    } else {
        ""
    };
    let doses = pickup.take.iter().filter(|one| is_a_dose(view, one));
    let words = doses.map(|dose| {
        let counted = |count| counted(count, &dose.food, &view.inputs.pantry);
        let later = dose.count.saturating_sub(1);
        match (later, told) {
            (1.., Told::Brief) if has_time => {
                let all = counted(dose.count);
                let what = all.split_once(' ').map_or("", |(_, what)| what);
                format!("1+{later} {what}")
            }
            (1.., _) if has_time => format!("{}{place}, {later} halfway", counted(1)),
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
