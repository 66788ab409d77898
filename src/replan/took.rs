//! Caffeine that was really taken, read from `food=servings` or milligrams as typed.

use crate::diagnostics::{Diagnostic, Notes, Sources, did_you_mean};
use crate::findings::{About, Finding, FindingKind, Weight};
use crate::fueling::Taken;
use crate::fueling::caffeine::Caps;
use crate::inputs::Inputs;
use crate::inputs::pantry_csv::Food;
use crate::plan::Plan;
use crate::time::S_PER_HOUR;
use crate::units::Phrase;
use crate::words::{folded, same_name};

use super::RestPlanner;

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

/// Servings that count as taken where the runner is at a station, or has left it: those said, else
/// all that the plan has there. Also, where the plan's doses are packed.
///
/// Nobody says when it was: it counts as of the last segment, so that the next dose is never early.
pub(super) fn taken(
    (plan, inputs): (&Plan, &Inputs),
    (here, has_left): (usize, bool),
    took_mg: Option<f64>,
) -> Taken {
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
    let needs = plan.fueling.segments.iter();
    let mut packed_mg: Vec<f64> = needs.map(|need| need.caffeine_mg).collect();
    if !inputs.pantry.is_empty() {
        packed_mg.fill(0.0);
        for pickup in &plan.packing.pickups {
            packed_mg[pickup.station] = pickup.caffeine_mg.1;
        }
    }
    Taken {
        by_segment_mg,
        under_way: has_left.then_some(here),
        packed_mg,
    }
}

/// Caffeine counted as taken, that ahead, and doses of the plan that are left out.
pub(super) fn caffeine(told: &RestPlanner<'_>, now: &Plan) -> Option<Finding> {
    let taken_mg = told.taken.total_mg();
    let ahead = now.packing.caffeine.iter().enumerate();
    let ahead: Vec<String> = ahead
        .skip(told.supplies_from)
        .filter(|(_, share)| share.mg > 0.0)
        .map(|(station, share)| {
            let name = &told.race.course.stations[station].name;
            let at = now.schedule.show(now.schedule.splits[station].arrival);
            format!("{:.0} mg at `{name}` ({at})", share.mg)
        })
        .collect();
    let left_out = left_out(told, now);
    if taken_mg <= 0.0 && ahead.is_empty() && left_out.is_empty() {
        return None;
    }
    let counted = match (told.is_told, taken_mg > 0.0) {
        (true, _) => format!("{taken_mg:.0} mg of caffeine taken"),
        (false, true) => format!("{taken_mg:.0} mg of caffeine counted as taken, as planned"),
        (false, false) => "no caffeine so far".to_owned(),
    };
    let ahead = match ahead.is_empty() {
        true => "none ahead".to_owned(),
        false => format!("ahead: {}", ahead.join(", ")),
    };
    let says = Phrase::new(format!("{counted}; {ahead}"));
    let kind = FindingKind::CaffeineAhead;
    let too_much = || too_much(told.inputs, told.plan, taken_mg, told.so_far.leave_s);
    if let Some(too_much) = told.is_told.then(too_much).flatten() {
        return Some(too_much);
    }
    let weight = match left_out.is_empty() {
        true => Weight::Note,
        false => Weight::Warning,
    };
    let finding = Finding::new(kind, weight, About::Race, says);
    let finding = left_out
        .into_iter()
        .map(Phrase::new)
        .fold(finding, Finding::way_out);
    Some(match told.is_told || taken_mg <= 0.0 {
        true => finding,
        false => finding.way_out(Phrase::new(
            "if it was another amount, say so, such as --took 100mg",
        )),
    })
}

/// Doses on the sheet that are not to be taken on this day, and why.
fn left_out(told: &RestPlanner<'_>, now: &Plan) -> Vec<String> {
    let is_dropped = |station: &usize| {
        let mut pickups = now.packing.pickups.iter();
        let here = pickups.find(|pickup| pickup.station == *station);
        here.is_none_or(|pickup| pickup.caffeine_mg.1 <= 0.0)
    };
    let packed = told.taken.packed_mg.iter().enumerate();
    let packed = packed.filter(|(_, mg)| **mg > 0.0).map(|(at, _)| at);
    let dropped = packed
        .filter(|at| *at >= told.supplies_from)
        .filter(is_dropped);
    dropped
        .map(|at| {
            let name = &told.race.course.stations[at].name;
            // the needs know of hours and limits, not of what is lost
            let why = match now.fueling.segments[at].caffeine_mg > 0.0 {
                true => "it is not there",
                false => "too soon after the last, too late in the race, or too much in 24 h",
            };
            format!("leave out the caffeine that the plan has at `{name}`: {why}")
        })
        .collect()
}

/// More caffeine said than the runner may take in 24 hours, at so many seconds of the race.
fn too_much(inputs: &Inputs, plan: &Plan, taken_mg: f64, now_s: f64) -> Option<Finding> {
    let mass_kg = plan.fueling.finish_mass.start_kg;
    let most_mg = Caps::of(&inputs.runner, &inputs.plan, mass_kg).in_a_day_mg;
    if taken_mg <= most_mg {
        return None;
    }
    let above = match now_s > 24.0 * S_PER_HOUR {
        _ if most_mg <= 0.0 => {
            ", and by your health none is safe unless a doctor agreed".to_owned()
        }
        true => format!(": above {most_mg:.0} mg, unless some of it was over 24 h ago"),
        false => format!(": above {most_mg:.0} mg in 24 h"),
    };
    let says = Phrase::new(format!("{taken_mg:.0} mg of caffeine taken{above}"));
    let way = "no more gels, no cola; with palpitations, chest pain or trembling go to the \
               medical team";
    let kind = FindingKind::CaffeineAhead;
    let finding = Finding::new(kind, Weight::Failure, About::Race, says);
    Some(finding.way_out(Phrase::new(way)))
}
