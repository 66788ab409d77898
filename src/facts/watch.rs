//! Food and drink on the way to the next supply point, by the watch.

use crate::inputs::counted;
use crate::inputs::pantry_csv::{Food, FoodKind};
use crate::packing::{Pickup, Serving};
use crate::plan::Plan;

use super::View;
use super::doses::{carried_dose, is_a_dose, moving_h};
use super::value::Measure;

/// A need that is missed or exceeded by less is met by whole servings, grams and share.
const CARBS_G: f64 = 8.0;
const CARBS_SHARE: f64 = 0.1;
/// A mix of which less is left is finished, millilitres.
const LAST_SIP_ML: f64 = 50.0;
/// Less than this is a mouthful, millilitres.
const MOUTHFUL_ML: f64 = 50.0;
/// A rate below this is a mouthful now and then, which nobody times, millilitres an hour: common
/// practice, no source.
const SLOWEST_SIP_ML_PER_H: f64 = 150.0;
/// A habit that is held to sweat by less is not worth a word, millilitres an hour.
const HELD_ML_PER_H: f64 = 20.0;

/// Such as `every 30 min: 2 dates, 1 rice ball, 2 dates; sip 300 ml/h, about 3/4 of a flask; finish
/// the mix by Mill`.
pub(super) fn words(view: &View<'_>, plan: &Plan, pickup: &Pickup) -> String {
    let until = &view.race.course.stations[pickup.until].name;
    let mut parts = vec![eating(view, plan, pickup, &halves(view, plan, pickup))];
    let dose = carried_dose(view, plan, pickup, "");
    let leave = plan
        .schedule
        .show(plan.schedule.splits[pickup.station].departure);
    parts.splice(0..0, dose.map(|dose| format!("at {leave} {dose}")));
    parts.extend(sipped(view, plan, pickup));
    let (held_ml, drunk_ml) = pickup.mix_ml;
    if drunk_ml > LAST_SIP_ML {
        parts.push(match held_ml - drunk_ml < LAST_SIP_ML {
            true => format!("finish the mix by {until}"),
            false => format!("the mix lasts beyond {until}"),
        });
    }
    parts.join("; ")
}

/// Things out of the pockets, one after the other.
pub(super) fn eaten(view: &View<'_>, plan: &Plan, pickup: &Pickup) -> String {
    eating(view, plan, pickup, "")
}

fn eating(view: &View<'_>, plan: &Plan, pickup: &Pickup, halves: &str) -> String {
    let pantry = &view.inputs.pantry;
    let (things, salt) = (carried(view, pickup, false), carried(view, pickup, true));
    let (count, every_min) = (counted_in_all(&things), every_min(plan, pickup, &things));
    let each = in_turn(&things, pantry).join(", ");
    let salt: Vec<String> = salt
        .iter()
        .map(|s| counted(s.count, &s.food, pantry))
        .collect();
    let salt = salt.join(", ");
    let eaten = match (count, things.as_slice()) {
        (0, _) if !salt.is_empty() => return format!("on the way {salt} only"),
        (0, _) => return nothing(view, pickup).to_owned(),
        (1, _) if each.starts_with("half ") => format!("{each} midway"),
        (1, _) => format!("{each} halfway"),
        (_, [one]) => format!("every {every_min:.0} min {}", counted(1, &one.food, pantry)),
        _ => format!("every {every_min:.0} min in turn: {each}"),
    };
    match salt.is_empty() {
        true => format!("{eaten}{halves}"),
        false => format!("{eaten}{halves}, plus {salt}"),
    }
}

/// Words for a way without food, and why it needs none.
fn nothing(view: &View<'_>, pickup: &Pickup) -> &'static str {
    let is_short = differs(view, pickup).is_some() && pickup.carbs_g.0 < pickup.carbs_g.1;
    match (is_short, pickup.here.is_empty()) {
        _ if pickup.take.iter().any(|serving| is_a_dose(view, serving)) => "nothing else",
        (false, false) => "nothing on the way: what you have here lasts",
        (false, true) if pickup.mix_ml.1 > LAST_SIP_ML => "nothing but the mix on the way",
        _ => "nothing to eat on the way",
    }
}

/// Things out of the pockets: salt, or all else; what is taken at its hour apart.
fn carried<'p>(view: &View<'_>, pickup: &'p Pickup, salt: bool) -> Vec<&'p Serving> {
    let kind = |serving: &Serving| known(&view.inputs.pantry, &serving.food).map(|food| food.kind);
    let of_it = |serving: &&Serving| match kind(serving) {
        Some(FoodKind::Drink) => false,
        _ if is_a_dose(view, serving) => false,
        kind => (kind == Some(FoodKind::Salt)) == salt,
    };
    pickup.take.iter().filter(of_it).collect()
}

fn counted_in_all(things: &[&Serving]) -> u32 {
    things.iter().map(|serving| serving.count).sum()
}

/// Minutes from one thing to the next, as a watch is set.
fn every_min(plan: &Plan, pickup: &Pickup, things: &[&Serving]) -> f64 {
    let minutes = moving_h(plan, pickup) * 60.0 / f64::from(counted_in_all(things).max(1));
    by_the_watch(minutes)
}

fn by_the_watch(minutes: f64) -> f64 {
    // from an hour on by the half hour: nobody keeps to 65 minutes
    let step_min = if minutes < 60.0 { 5.0 } else { 30.0 };
    (minutes / step_min).floor().max(1.0) * step_min
}

/// The same in halves, where the rhythm asks for something more often than the need does.
fn halves(view: &View<'_>, plan: &Plan, pickup: &Pickup) -> String {
    let things = carried(view, pickup, false);
    let is_gel = |serving: &&Serving| {
        let food = known(&view.inputs.pantry, &serving.food);
        food.is_some_and(|food| food.kind == FoodKind::Gel)
    };
    if things.iter().any(is_gel) {
        return String::new(); // nobody carries a gel that is open
    }
    let every_min = every_min(plan, pickup, &things);
    let habit = plan.fueling.habits.get(pickup.station);
    let asked_h = habit.and_then(|habit| habit.every_h);
    match asked_h.is_some_and(|asked_h| every_min >= 2.0 * 60.0 * asked_h) {
        true if counted_in_all(&things) > 1 => {
            format!(" (or half every {:.0} min)", by_the_watch(every_min / 2.0))
        }
        _ => String::new(),
    }
}

/// Single servings in the order in which they are had: each food spread evenly over the way.
fn in_turn(things: &[&Serving], pantry: &[Food]) -> Vec<String> {
    let mut turns: Vec<(f64, String)> = (things.iter())
        .flat_map(|serving| {
            let at = |nth: u32| (f64::from(nth) + 0.5) / f64::from(serving.count);
            (0..serving.count).map(move |nth| (at(nth), counted(1, &serving.food, pantry)))
        })
        .collect();
    turns.sort_by(|one, other| one.0.total_cmp(&other.0));
    turns.into_iter().map(|(_, words)| words).collect()
}

/// Fluid that is likely drunk out of flasks, millilitres.
fn wanted_ml(pickup: &Pickup) -> f64 {
    pickup.drink_ml - pickup.food_water_ml
}

/// The share of it that was filled in where there was water last.
fn carried_share(plan: &Plan, pickup: &Pickup) -> f64 {
    let pickups = &plan.packing.pickups;
    let fills = |one: &&Pickup| one.station <= pickup.station && !one.flasks.is_empty();
    let Some(filled) = pickups.iter().rev().find(fills) else {
        return 1.0;
    };
    let lasts = pickups
        .iter()
        .filter(|one| (filled.station..filled.until_water).contains(&one.station));
    let wanted_ml: f64 = lasts.map(wanted_ml).sum();
    (filled.fluid_ml / wanted_ml.max(1.0)).min(1.0)
}

/// Fluid drunk out of the flasks, millilitres: no more than they were filled with.
fn sips_ml(plan: &Plan, pickup: &Pickup) -> f64 {
    wanted_ml(pickup) * carried_share(plan, pickup)
}

/// The same an hour; nothing where it is too little to be timed.
pub(super) fn sip(view: &View<'_>, plan: &Plan, pickup: &Pickup) -> Option<Measure> {
    an_hour(view, plan, pickup, sips_ml(plan, pickup))
}

/// Sips an hour of who finds water on the way.
pub(super) fn wanted(view: &View<'_>, plan: &Plan, pickup: &Pickup) -> Option<Measure> {
    an_hour(view, plan, pickup, wanted_ml(pickup))
}

fn an_hour(view: &View<'_>, plan: &Plan, pickup: &Pickup, ml: f64) -> Option<Measure> {
    let ml_per_h = ml / moving_h(plan, pickup);
    let timed = pickup.fluid_ml > 0.0 && ml_per_h.is_finite() && ml_per_h >= SLOWEST_SIP_ML_PER_H;
    timed.then(|| Measure::volume_rate(view.units, ml_per_h))
}

/// Fluid drunk out of the flasks, in words.
fn sipped(view: &View<'_>, plan: &Plan, pickup: &Pickup) -> Option<String> {
    if pickup.fluid_ml <= 0.0 || moving_h(plan, pickup) <= 0.0 {
        return None;
    }
    let drink_ml = sips_ml(plan, pickup);
    if drink_ml < MOUTHFUL_ML {
        return Some("a mouthful when thirsty".to_owned());
    }
    let rate = sip(view, plan, pickup).map_or_else(|| "to thirst".to_owned(), |rate| rate.text);
    let sizes = pickup.flasks.iter().map(|flask| flask.size_ml);
    let flask_ml = sizes.fold(0.0, f64::max);
    let in_all = match flask_ml > 0.0 {
        true => flasks(drink_ml / flask_ml),
        false => Measure::volume(view.units, drink_ml).text,
    };
    let habit = plan.fueling.habits.get(pickup.station);
    let sip_ml_per_h = habit.and_then(|habit| habit.sip_ml_per_h).unwrap_or(0.0);
    let need = &plan.fueling.segments[pickup.station];
    let held = match sip_ml_per_h > need.fluid_ml / need.hours.max(1e-9) + HELD_ML_PER_H {
        _ if pickup.runs_dry.is_some() => ", all that fits",
        true => ", no more than you sweat",
        false => "",
    };
    Some(format!("sip {rate}{held}, about {in_all} in all"))
}

/// A number of flasks, by the quarter.
fn flasks(count: f64) -> String {
    let quarters = (count * 4.0).round().max(1.0) as u32;
    match (quarters / 4, quarters % 4) {
        (0, 1) => "a quarter of a flask".to_owned(),
        (0, 2) => "half a flask".to_owned(),
        (0, _) => "three quarters of a flask".to_owned(),
        (1, 0) => "one flask".to_owned(),
        (whole, 0) => format!("{whole} flasks"),
        (whole, part) => format!(
            "{whole} {} flasks",
            ["", "1/4", "1/2", "3/4"][part as usize]
        ),
    }
}

/// The difference of servings and mix from the need.
pub(super) fn differs(view: &View<'_>, pickup: &Pickup) -> Option<String> {
    let (have_g, need_g) = pickup.carbs_g;
    let off_g = have_g - need_g;
    let is_off = off_g.abs() > (CARBS_SHARE * need_g).max(CARBS_G);
    (is_off && !view.inputs.pantry.is_empty()).then(|| {
        let way = if off_g < 0.0 { "below" } else { "above" };
        format!(
            "{have_g:.0} g of carbohydrate, {:.0} {way} the need",
            off_g.abs()
        )
    })
}

fn known<'a>(pantry: &'a [Food], name: &str) -> Option<&'a Food> {
    pantry.iter().find(|food| food.name.value == name)
}

#[cfg(test)]
mod tests {
    /// Common practice, no source: a rhythm is kept by a watch that beeps on round minutes.
    #[test]
    fn nobody_keeps_to_65_minutes() {
        for (minutes, told) in [
            (3.0, 5.0),
            (29.0, 25.0),
            (59.0, 55.0),
            (65.0, 60.0),
            (74.0, 60.0),
            (119.0, 90.0),
        ] {
            assert!(
                (super::by_the_watch(minutes) - told).abs() < 1e-9,
                "{minutes}"
            );
        }
    }
}
