//! Advice from one long run.

use crate::fit::Recording;
use crate::fueling::sweat::{Body, predicted};
use crate::inputs::intake_csv::LogEntry;
use crate::inputs::record_toml::Tested;
use crate::inputs::{Food, LogRow};
use crate::plan::{Plan, Race};
use crate::time::Elapsed;
use crate::units::{Phrase, Quantity};
use crate::words::same_name;

use super::eaten::content;
use super::proposal::STOMACH_HELD;
use super::sweat_times::effort_of;
use super::{Debrief, scale};

/// Off the plan's effort by less than this, the pace is as planned. Our choice.
const AS_PLANNED: f64 = 0.05;
/// After trouble with a rate so much of it is tried next. Our choice.
const STEP_BACK: f64 = 2.0 / 3.0;
/// Below this a rate says nothing of what the stomach held, grams per hour.
const LEAST_HELD_G_PER_H: f64 = 20.0;

/// The stomach's worst time, and what went in before it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct StomachTrouble {
    at: Elapsed,
    score: Option<f64>,
    /// Carbohydrate and water within the hour before.
    hour_g: f64,
    hour_ml: f64,
    /// Carbohydrate per hour up to then.
    held_g_per_h: f64,
}

impl StomachTrouble {
    /// The first bad score or refused food of a log whose times are known.
    pub(super) fn of(
        rows: &[LogRow],
        pantry: &[Food],
        when: &dyn Fn(&LogRow) -> Option<Elapsed>,
    ) -> Option<StomachTrouble> {
        let bad = |row: &LogRow| match row.entry {
            LogEntry::Stomach(score) => (score < STOMACH_HELD).then_some(Some(score)),
            LogEntry::Refused(_) => Some(None),
            _ => None,
        };
        let first = rows.iter().filter_map(|row| Some((when(row)?, bad(row)?)));
        let (at, score) = first.min_by_key(|(at, _)| *at)?;
        let (at_h, mut hour_g, mut hour_ml, mut before_g) = (at.as_hours(), 0.0, 0.0, 0.0);
        for (row, own) in rows.iter().filter_map(|row| Some((row, when(row)?))) {
            let intake = content(row, pantry);
            let ago_h = at_h - own.as_hours();
            if (0.0..=1.0).contains(&ago_h) {
                hour_g += intake.carbs_g.unwrap_or(0.0);
                hour_ml += intake.drank_ml.unwrap_or(0.0) + intake.food_water_ml.unwrap_or(0.0);
            } else if ago_h > 1.0 {
                before_g += intake.carbs_g.unwrap_or(0.0);
            }
        }
        let before_h = at_h - 1.0;
        Some(StomachTrouble {
            at,
            score,
            hour_g,
            hour_ml,
            held_g_per_h: if before_h > 0.5 {
                before_g / before_h
            } else {
                0.0
            },
        })
    }

    fn says(&self, planned_g_per_h: f64) -> Phrase {
        let what = self.score.map_or("food came back up".to_owned(), |score| {
            format!("stomach {score} of 10")
        });
        let held = self.held_g_per_h.min(self.hour_g);
        // back to what stayed down, or by a third towards the plan
        let next = held.max((STEP_BACK * self.hour_g).min(planned_g_per_h));
        let next = (next / 5.0).floor() * 5.0;
        let says = Phrase::new(format!(
            "{what} at {}, after {:.0} g of carbohydrate and ",
            self.at, self.hour_g
        ))
        .and(Quantity::Volume { ml: self.hour_ml })
        .and(" in the hour before");
        if self.hour_g < LEAST_HELD_G_PER_H {
            return says
                .and(": not the rate; think of heat, pace and what was eaten before the run");
        }
        let says = says.and(format!(
            ": hold {next:.0} g/h next time, little and often, with water"
        ));
        if planned_g_per_h > next + 1.0 {
            return says.and(format!(
                "; the plan asks {planned_g_per_h:.0} g/h: set `carbs_g_per_h = {next:.0}` in \
                 runner.toml, or raise it by 10 g/h from run to run"
            ));
        }
        says
    }
}

/// Advice of a run, what can hurt most first. `recording` is its own.
#[must_use]
pub fn advice(
    debrief: &Debrief,
    recording: Option<&Recording>,
    race: &Race,
    plan: &Plan,
    body: Body,
) -> Vec<Phrase> {
    let planned_g_per_h = plan.fueling.mean_per_h(|need| need.carbs_g);
    let mut all: Vec<Phrase> = (debrief.trouble.iter())
        .map(|trouble| trouble.says(planned_g_per_h))
        .collect();
    all.extend(gained(debrief));
    all.extend(unexpected_sweat(debrief, plan, body));
    all.extend(failed_foods(debrief, plan));
    all.extend(recording.and_then(|own| pace(debrief, own, race, plan)));
    all
}

fn gained(debrief: &Debrief) -> Option<Phrase> {
    let sweat = debrief.sweat.as_ref().ok()?;
    (sweat.lost_kg < 0.0).then(|| {
        Phrase::new(
            "weighing more after than before means too much was drunk: drink less, to thirst, and \
                     do not make it up with salt",
        )
    })
}

/// Sweat outside of what the weather lets expect.
fn unexpected_sweat(debrief: &Debrief, plan: &Plan, body: Body) -> Option<Phrase> {
    let run = &debrief.run;
    let sweat = scale::relied_on(run)?;
    let usual_kcal_per_h = plan.fueling.mean_per_h(|need| need.energy_kcal);
    let effort = effort_of(run, usual_kcal_per_h)?;
    let (low, high) = predicted(body, effort).band_l_per_h();
    let (least, most) = sweat.band_l_per_h();
    let rate = |l_per_h: f64| Quantity::VolumeRate {
        ml_per_h: 1000.0 * l_per_h,
    };
    let expected = |side: &str| {
        Phrase::new("sweat of ")
            .and(rate(sweat.l_per_h))
            .and(format!(" is {side} the "))
            .and(rate(low))
            .and(" to ")
            .and(rate(high))
            .and(" expected at ")
            .and(Quantity::Temperature { c: effort.temp_c })
    };
    if least > high {
        Some(
            expected("above")
                .and(": weigh yourself once more in similar weather before you drink by it"),
        )
    } else if most < low {
        Some(expected("below").and(": drink to thirst, no more than this run asked for"))
    } else {
        None
    }
}

fn failed_foods(debrief: &Debrief, plan: &Plan) -> Vec<Phrase> {
    let refused = debrief.run.foods.iter().filter(|food| food.refused);
    let planned = |name: &str| -> u32 {
        let pickups = plan.packing.pickups.iter();
        let servings = pickups.flat_map(|p| p.take.iter().chain(&p.here));
        servings
            .filter(|s| same_name(&s.food, name))
            .map(|s| s.count)
            .sum()
    };
    let says = |name: &str| {
        let says =
            format!("{name} would not stay down: try something else like it on the next run");
        Phrase::new(match planned(name) {
            0 => says,
            n => format!(
                "{says}; the plan has {n} of it: set `liking = 1` and `tested = no` in the pantry, \
                 or take it out"
            ),
        })
    };
    refused.map(|food| says(&food.name.value)).collect()
}

/// The moving time against the plan's effort on the same ground.
fn pace(debrief: &Debrief, recording: &Recording, race: &Race, plan: &Plan) -> Option<Phrase> {
    let stops_s = vec![0.0; recording.course.stations.len()];
    let there = (plan.pacing).elsewhere(
        &race.course,
        &recording.course,
        &recording.plain_day(),
        &stops_s,
    );
    let moving_s = recording.finish_s - recording.stopped_s();
    let off = moving_s / there.finish_s - 1.0;
    let times = format!(
        "moving {} where the plan's effort takes {} on this ground",
        Elapsed::from_s(moving_s),
        Elapsed::from_s(there.finish_s)
    );
    if !off.is_finite() || off.abs() < AS_PLANNED {
        return None;
    }
    let as_race = debrief.run.tested.contains(&Tested::RaceEffort);
    Some(Phrase::new(match (off > 0.0, as_race) {
        (true, true) => format!(
            "{times}, {:.0} % slower at race effort: the finish is set too early, or the day was \
             bad; `sutler finish` tells which targets are in reach",
            100.0 * off
        ),
        (true, false) => format!(
            "{times}, {:.0} % slower: easier than the race will be",
            100.0 * off
        ),
        (false, _) => format!(
            "{times}, {:.0} % faster: on race day hold back, this is not the effort of {}",
            -100.0 * off,
            plan.finish
        ),
    }))
}
