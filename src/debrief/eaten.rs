//! The log against the pantry: what went in, in all and hour by hour.

use crate::diagnostics::{Diagnostic, Notes};
use crate::inputs::intake_csv::{Helping, LogEntry};
use crate::inputs::pantry_csv::FoodKind;
use crate::inputs::record_toml::{FOOD_WINDOW_H, FoodEaten, Intake};
use crate::inputs::stations_csv::is_water;
use crate::inputs::{Food, LogRow};
use crate::time::Elapsed;
use crate::words::same_name;

use super::{NOTHING, add_food};

/// The intake of one hour of a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HourOfIntake {
    /// Since the start, hours.
    pub from_h: f64,
    /// 1, but for the last.
    pub length_h: f64,
    /// The intake.
    pub intake: Intake,
}

/// The sums of a log.
pub(super) struct Eaten {
    pub(super) total: Intake,
    pub(super) foods: Vec<FoodEaten>,
}

/// Adds a log up. A food that neither the pantry nor the row knows is said.
pub(super) fn of(
    rows: &[LogRow],
    pantry: &[Food],
    when: &dyn Fn(&LogRow) -> Option<Elapsed>,
    notes: &mut Notes,
) -> Eaten {
    let mut eaten = Eaten {
        total: NOTHING,
        foods: Vec::new(),
    };
    for row in rows {
        let (helping, refused) = match &row.entry {
            LogEntry::Drink(helping) | LogEntry::Food(helping) => (helping, false),
            LogEntry::Refused(helping) => (helping, true),
            _ => continue,
        };
        let food = known(helping, pantry);
        if food.is_none() && !refused && helping.carbs_g.is_none() && !is_water(&helping.name.value)
        {
            notes.push(unknown(helping));
        }
        // what would not stay down is kept whether it is in the pantry or not
        if food.is_some() || refused {
            let servings = food.map_or(helping.servings, |food| Some(servings(helping, food)));
            let servings = servings.unwrap_or(1.0);
            let name = food.map_or(&helping.name.value, |food| &food.name.value);
            let name = crate::diagnostics::Spanned::unwritten(name.clone());
            add_food(
                &mut eaten.foods,
                FoodEaten {
                    name,
                    servings,
                    most_in_3h: None,
                    refused,
                },
            );
        }
        add(&mut eaten.total, content(row, pantry));
    }
    for food in eaten.foods.iter_mut().filter(|food| !food.refused) {
        food.most_in_3h = most_in_window(rows, &food.name.value, pantry, when);
    }
    eaten
}

/// The most servings of a food within [`FOOD_WINDOW_H`]; `None` where a row of it has no time.
fn most_in_window(
    rows: &[LogRow],
    name: &str,
    pantry: &[Food],
    when: &dyn Fn(&LogRow) -> Option<Elapsed>,
) -> Option<f64> {
    let own = rows.iter().filter_map(|row| {
        let (LogEntry::Drink(helping) | LogEntry::Food(helping)) = &row.entry else {
            return None;
        };
        let food = known(helping, pantry)?;
        same_name(&food.name.value, name)
            .then(|| Some((when(row)?.as_hours(), servings(helping, food))))
    });
    let taken: Vec<(f64, f64)> = own.collect::<Option<_>>()?;
    let from = |from_h: f64| {
        let within = taken
            .iter()
            .filter(|(at_h, _)| (from_h..from_h + FOOD_WINDOW_H).contains(at_h));
        within.map(|(_, servings)| servings).sum::<f64>()
    };
    Some(
        taken
            .iter()
            .map(|(at_h, _)| from(*at_h))
            .fold(0.0, f64::max),
    )
}

/// Food and drink by the hour; empty where some row that counts has no time.
pub(super) fn hours(
    rows: &[LogRow],
    pantry: &[Food],
    time: Elapsed,
    when: &dyn Fn(&LogRow) -> Option<Elapsed>,
) -> Vec<HourOfIntake> {
    let run_h = time.as_hours();
    let mut hours: Vec<HourOfIntake> = (0..run_h.ceil() as usize)
        .map(|hour| HourOfIntake {
            from_h: hour as f64,
            length_h: (run_h - hour as f64).min(1.0),
            intake: NOTHING,
        })
        .collect();
    let counts = |row: &&LogRow| matches!(row.entry, LogEntry::Drink(_) | LogEntry::Food(_));
    if !rows.iter().any(|row| counts(&row)) {
        return Vec::new();
    }
    for row in rows.iter().filter(counts) {
        let Some(at) = when(row) else {
            return Vec::new();
        };
        let hour = (at.as_hours().max(0.0) as usize).min(hours.len().saturating_sub(1));
        if let Some(hour) = hours.get_mut(hour) {
            add(&mut hour.intake, content(row, pantry));
        }
    }
    hours
}

fn known<'p>(helping: &Helping, pantry: &'p [Food]) -> Option<&'p Food> {
    pantry
        .iter()
        .find(|food| same_name(&food.name.value, &helping.name.value))
}

/// The number of servings of the pantry's food.
fn servings(helping: &Helping, food: &Food) -> f64 {
    let share = |own: Option<f64>, of: f64| own.filter(|_| of > 0.0).map(|own| own / of);
    (helping.servings)
        .or(share(helping.water_ml, food.water_ml))
        .or(share(helping.mass_g, food.mass_g))
        .or(share(helping.carbs_g, food.carbs_g))
        .unwrap_or(0.0)
}

/// Food and drink of a row; nothing where it is refused or of another kind.
pub(super) fn content(row: &LogRow, pantry: &[Food]) -> Intake {
    let (helping, is_drink) = match &row.entry {
        LogEntry::Drink(helping) => (helping, true),
        LogEntry::Food(helping) => (helping, false),
        _ => return NOTHING,
    };
    let food = known(helping, pantry);
    let count = food.map_or(0.0, |food| servings(helping, food));
    let of = |own: Option<f64>, each: fn(&Food) -> f64| {
        own.unwrap_or_else(|| food.map_or(0.0, |food| count * each(food)))
    };
    let water_ml = of(helping.water_ml, |food| food.water_ml);
    // a drink's mass is the dry powder; what stations serve and what is eaten is weighed wet
    let dry_g = match food {
        Some(food) if food.kind == FoodKind::Drink => of(helping.mass_g, |food| food.mass_g),
        _ if is_drink => of(helping.mass_g, |food| food.mass_g - food.water_ml).max(0.0),
        _ => of(helping.mass_g, |food| food.mass_g),
    };
    Intake {
        drank_ml: Some(if is_drink { water_ml } else { 0.0 }),
        food_water_ml: Some(if is_drink { 0.0 } else { water_ml }),
        eaten_g: Some(dry_g),
        sodium_mg: Some(of(helping.sodium_mg, |food| food.sodium_mg)),
        carbs_g: Some(of(helping.carbs_g, |food| food.carbs_g)),
        caffeine_mg: Some(of(helping.caffeine_mg, |food| food.caffeine_mg)),
    }
}

fn add(total: &mut Intake, more: Intake) {
    let sum = |a: &mut Option<f64>, b: Option<f64>| *a = a.zip(b).map(|(a, b)| a + b).or(b);
    sum(&mut total.drank_ml, more.drank_ml);
    sum(&mut total.food_water_ml, more.food_water_ml);
    sum(&mut total.eaten_g, more.eaten_g);
    sum(&mut total.sodium_mg, more.sodium_mg);
    sum(&mut total.carbs_g, more.carbs_g);
    sum(&mut total.caffeine_mg, more.caffeine_mg);
}

fn unknown(helping: &Helping) -> Diagnostic {
    Diagnostic::warning(format!("`{}` is not in the pantry", helping.name.value))
        .at(helping.name.span, "counted without carbohydrate and sodium")
        .hint("add it to pantry.csv, or give the row's `carbs_g` and `sodium_mg`")
}
