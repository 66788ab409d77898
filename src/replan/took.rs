//! Caffeine that was really taken, read from `food=servings` or milligrams as typed.

use crate::diagnostics::{Diagnostic, Notes, Sources, did_you_mean};
use crate::fueling::Taken;
use crate::inputs::pantry_csv::Food;
use crate::plan::Plan;
use crate::words::{folded, same_name};

const EXPECTED: &str = "expected a food and its servings, such as `caffeine gel=2`, or `95mg`";
/// Nobody takes more and goes on: ten times what is safe at once.
const MOST_MG: f64 = 2000.0;
/// Nobody eats more of one food and goes on.
const MOST_SERVINGS: f64 = 50.0;

/// Reads what was typed after `--took`: milligrams of caffeine in all, `None` where nothing was
/// typed. What is wrong with it is said in `notes`, all at once.
///
/// The arguments become a text called `command line` among the `sources`, one on a line.
pub fn took(
    typed: &[String],
    pantry: &[Food],
    sources: &mut Sources,
    notes: &mut Notes,
) -> Option<f64> {
    if typed.is_empty() {
        return None;
    }
    let mut sum_mg = 0.0;
    for argument in sources.add_typed(typed.iter().map(|typed| ("--took", typed))) {
        match amount_mg(&argument.text, pantry) {
            Ok(mg) => sum_mg += mg,
            Err(problem) => notes.push(problem.at(argument.whole(), EXPECTED)),
        }
    }
    Some(sum_mg)
}

/// Caffeine of one argument, milligrams.
fn amount_mg(argument: &str, pantry: &[Food]) -> Result<f64, Diagnostic> {
    let number = |text: &str, most: f64| {
        let number: Option<f64> = text.trim().parse().ok();
        number.filter(|number| (0.0..=most).contains(number))
    };
    let lower = folded(argument);
    let Some((name, servings)) = argument.rsplit_once('=') else {
        let mg = lower.strip_suffix("mg").and_then(|mg| number(mg, MOST_MG));
        return mg.ok_or_else(|| {
            let says = format!("`{}` is not an amount of caffeine", argument.trim());
            Diagnostic::error(says).hint("for nothing at all, give `0mg`")
        });
    };
    let known = |food: &&Food| same_name(&food.name.value, name);
    let Some(food) = pantry.iter().find(known) else {
        let problem = Diagnostic::error(format!("the pantry has no `{}`", name.trim()));
        let with_caffeine = pantry.iter().filter(|food| food.caffeine_mg > 0.0);
        let names = with_caffeine.map(|food| food.name.value.as_str());
        let near = did_you_mean(name.trim(), names);
        return Err(problem.hint(
            near.unwrap_or_else(|| "name a food of pantry.csv, or give milligrams".to_owned()),
        ));
    };
    if food.caffeine_mg <= 0.0 {
        let says = format!("`{}` has no caffeine", food.name.value);
        return Err(Diagnostic::error(says).hint("only caffeine is counted: leave it out"));
    }
    number(servings, MOST_SERVINGS)
        .map(|servings| servings * food.caffeine_mg)
        .ok_or_else(|| {
            Diagnostic::error(format!("`{}` is not a number of servings", servings.trim()))
        })
}

/// Servings that count as taken where the runner is at a station, or has left it: those said, else all that the plan has there.
///
/// Nobody says when it was: it counts as of the last segment, so that the next dose is never early.
pub(super) fn taken(plan: &Plan, (here, has_left): (usize, bool), took_mg: Option<f64>) -> Taken {
    let before = here + usize::from(has_left);
    let planned = plan.packing.caffeine.iter().take(before);
    let mut by_segment_mg: Vec<f64> = planned.map(|share| share.mg).collect();
    if let Some(mg) = took_mg {
        by_segment_mg.fill(0.0);
        match by_segment_mg.last_mut() {
            Some(last) => *last = mg,
            // at the start, before anything is behind the runner
            None => by_segment_mg.push(mg),
        }
    }
    Taken {
        by_segment_mg,
        under_way: has_left.then_some(here),
    }
}
