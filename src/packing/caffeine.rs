//! Caffeine as the chosen servings deliver it, and what they fall short by.

use crate::findings::{Finding, FindingKind, Weight};
use crate::fueling::caffeine::{Dose, HALF_LIFE_H, left_mg};
use crate::inputs::pantry_csv::Food;
use crate::units::Phrase;

use super::doses::LEAST_SHARE;
use super::given::Given;
use super::menu::Feeding;
use super::packed::CaffeineShare;

/// Caffeine taken on each segment and left of it at its end; as needed, where nothing is chosen.
pub(super) fn along(day: &Feeding<'_>, given: &Given<'_>) -> Vec<CaffeineShare> {
    let splits = &given.schedule.splits;
    let mut doses: Vec<Dose> = Vec::new();
    let segments = given.fueling.segments.iter().enumerate();
    segments
        .map(|(segment, need)| {
            let both = day.points.iter().zip(&day.meals);
            let here = both.filter(|(point, _)| point.station == segment);
            let behind = given.fueling.taken.by_segment_mg.get(segment);
            let mg = match behind {
                Some(taken_mg) => *taken_mg,
                None if day.stores.pantry.is_empty() => need.caffeine_mg,
                None => here.map(|(_, meal)| meal.supply.caffeine_mg).sum(),
            };
            let at_h = splits[segment].arrival.as_hours();
            doses.push(Dose { at_h, mg });
            // the next dose is taken after the arrival that this segment ends with
            let end_h = splits[segment + 1].arrival.as_hours();
            CaffeineShare {
                mg,
                left_mg: left_mg(&doses, end_h, HALF_LIFE_H),
            }
        })
        .collect()
}

/// Caffeine that was planned and that no food delivers.
pub(super) fn short(given: &Given<'_>, day: &Feeding<'_>) -> Option<Finding> {
    let planned_mg: f64 = given.fueling.segments.iter().map(|s| s.caffeine_mg).sum();
    let have_mg: f64 = day.meals.iter().map(|meal| meal.supply.caffeine_mg).sum();
    if have_mg >= planned_mg * (1.0 - LEAST_SHARE / 2.0) {
        return None;
    }
    let says = format!(
        "{planned_mg:.0} mg of caffeine would fit the race, but tested foods deliver {have_mg:.0} mg"
    );
    let finding = Finding::of_race(FindingKind::CaffeineShort, Weight::Note, Phrase::new(says));
    let way = more_stock(day, planned_mg - have_mg).unwrap_or_else(|| {
        Phrase::new("add a tested food to the pantry whose caffeine fits the dose")
    });
    Some(finding.way_out(way))
}

/// A tested food that the rhythm leaves out, or servings of one that ran out, as many as hold what
/// is missing.
fn more_stock(day: &Feeding<'_>, missing_mg: f64) -> Option<Phrase> {
    let fit = |food: &&Food| food.caffeine_mg > 0.0 && food.tested && food.own;
    let gone = |food: &&Food| fit(food) && food.stock.is_some();
    let refused =
        |food: &&Food| fit(food) && !day.beats.iter().any(|beat| beat.habit.may_eat(food));
    let pantry = || day.stores.pantry.iter();
    if let Some(food) = pantry().find(refused) {
        let name = &food.name.value;
        let way = format!("let your rhythm take `{name}`: `eat` and `caffeine` under `[[rhythm]]`");
        return Some(Phrase::new(way));
    }
    let food = pantry().find(gone)?;
    let more = (missing_mg / food.caffeine_mg).ceil();
    Some(Phrase::new(format!(
        "have {more:.0} more of `{}` in stock",
        food.name.value
    )))
}
