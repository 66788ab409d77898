//! One long run, what it showed beside the plan, and what the record proposes.

mod json;
mod words;

use crate::debrief::{Debrief, Proposal};
use crate::inputs::RunRecord;
use crate::inputs::record_toml::Intake;
use crate::plan::Plan;
use crate::time::Elapsed;
use crate::units::{Quantity, Units};

use super::View;
use super::document::{Block, Cell, Column, Document, Item, Table, Tone};
use super::parts::{self, fact};

pub use json::json;

/// `sutler debrief` as a document. The view's first plan is the race's.
#[must_use]
pub fn document(view: &View<'_>, debrief: &Debrief, proposal: &Proposal) -> Document {
    let run = &debrief.run;
    let mut document = Document::titled(format!("Debrief: {}, {}", run.name.value, run.date));
    document.push(Block::Facts(facts(debrief, view.units)));
    push_moving(&mut document, debrief, view.units);
    if let Some(plan) = view.plans.first() {
        push_intake(&mut document, debrief, plan, view.units);
    }
    if !debrief.remarks.is_empty() {
        document.section("Noted");
        document.push(Block::List(debrief.remarks.iter().map(remark).collect()));
    }
    document.section("Proposed for the runner");
    let proposed = words::proposed(proposal, run, view.units);
    document.push(Block::List(
        (proposed.into_iter())
            .map(|line| Item::new(Tone::Plain, line))
            .collect(),
    ));
    document.say(super::unknowns::THIRST);
    if let Some(plan) = view.plans.first() {
        parts::push_cautions(&mut document, plan);
    }
    document
}

fn facts(debrief: &Debrief, units: Units) -> Vec<(String, String)> {
    let run = &debrief.run;
    let mut facts = vec![fact("Time", run.time.to_string())];
    if let Some(moving) = &debrief.moving {
        let ground = &moving.ground;
        let distance_m = ground.distance_m.unwrap_or_default();
        let height = |m: Option<f64>| {
            units.show(Quantity::Height {
                m: m.unwrap_or(0.0),
            })
        };
        facts.push(fact(
            "Way",
            format!(
                "{}, {} up, {} down",
                units.show(Quantity::Distance { m: distance_m }),
                height(ground.climb_m),
                height(ground.descent_m)
            ),
        ));
        let s_per_m = moving.moving_s / distance_m.max(f64::MIN_POSITIVE);
        facts.push(fact(
            "Moving",
            format!(
                "{} at {}",
                Elapsed::from_s(moving.moving_s),
                units.show(Quantity::Pace { s_per_m })
            ),
        ));
        facts.push(fact("Stops", words::stops(moving)));
        facts.push(fact("Drift", words::drift(moving)));
    }
    if let Some(weather) = words::weather(run, units) {
        facts.push(fact("Weather", weather));
    }
    facts.push(fact("Sweat rate", words::sweat(debrief, units)));
    if let Some(score) = run.stomach {
        facts.push(fact("Stomach", format!("{score} of 10 at worst")));
    }
    if !run.hot_spots.is_empty() {
        facts.push(fact("Hot spots", run.hot_spots.join(", ")));
    }
    facts
}

fn push_moving(document: &mut Document, debrief: &Debrief, units: Units) {
    let Some(moving) = &debrief.moving else {
        return;
    };
    document.section("Moving");
    let distance = format!("Length {}", units.distance_symbol());
    let pace = format!("Pace /{}", units.distance_symbol());
    let rows = ["Down", "Level", "Up"].into_iter().zip(moving.slopes);
    document.push(Block::Table(Table {
        columns: vec![
            Column::left("Ground", "ground"),
            Column::right(distance, "length_m"),
            Column::right(pace, "pace_s_per_km"),
        ],
        rows: rows
            .map(|(name, slope)| {
                vec![
                    Cell::new(name).tone(Tone::Strong),
                    parts::distance_cell(units, slope.length_m),
                    slope.pace_s_per_m().map_or_else(Cell::empty, |pace| {
                        Cell::with_raw(units.pace_number(pace), (pace * 1000.0).round())
                    }),
                ]
            })
            .collect(),
    }));
    document.say(
        "Up and down: steeper than 2.5 % over 200 m. What this says of your fade, climbs and \
         descents by itself is in the record; what all its runs say together is below.",
    );
}

fn push_intake(document: &mut Document, debrief: &Debrief, plan: &Plan, units: Units) {
    let run = &debrief.run;
    if run.intake == Intake::default() {
        return;
    }
    document.section("What went in");
    let rows = rates(run, plan).into_iter().map(|rate| {
        let shown = |value: f64| match rate.key {
            "fluid_ml_per_h" => units.volume_number(value),
            _ => format!("{value:.0}"),
        };
        let unit = match rate.key {
            "fluid_ml_per_h" => format!("{}/h", units.volume_symbol()),
            _ => rate.unit.to_owned(),
        };
        let cell = |value: Option<f64>| {
            value.map_or_else(Cell::empty, |v| Cell::with_raw(shown(v), v.round()))
        };
        let share = rate.seen.filter(|_| rate.planned > 0.0);
        vec![
            Cell::with_raw(format!("{} {unit}", rate.name), rate.key).tone(Tone::Strong),
            cell(rate.seen),
            cell(Some(rate.planned)),
            share.map_or_else(Cell::empty, |v| parts::share_cell(v / rate.planned)),
        ]
    });
    document.push(Block::Table(Table {
        columns: vec![
            Column::left("Per hour", "rate"),
            Column::right("This run", "run"),
            Column::right("Race plan", "plan"),
            Column::right("Share", "share_pct"),
        ],
        rows: rows.collect(),
    }));
    push_hours(document, debrief, units);
}

fn push_hours(document: &mut Document, debrief: &Debrief, units: Units) {
    if debrief.hours.is_empty() {
        return;
    }
    let rows = debrief.hours.iter().map(|hour| {
        let fluid = hour.intake.drank_ml.unwrap_or(0.0) + hour.intake.food_water_ml.unwrap_or(0.0);
        let until = Elapsed::from_s((hour.from_h + hour.length_h) * 3600.0);
        vec![
            Cell::with_raw(format!("until {until}"), until.as_secs()),
            Cell::with_raw(units.volume_number(fluid), fluid.round()),
            parts::whole_cell(hour.intake.carbs_g.unwrap_or(0.0)),
            parts::whole_cell(hour.intake.sodium_mg.unwrap_or(0.0)),
        ]
    });
    document.push(Block::Table(Table {
        columns: vec![
            Column::left("Hour", "until_s"),
            Column::right(format!("Fluid {}", units.volume_symbol()), "fluid_ml"),
            Column::right("Carbs g", "carbs_g"),
            Column::right("Na mg", "sodium_mg"),
        ],
        rows: rows.collect(),
    }));
}

/// A rate of the run beside the plan's mean.
struct Rate {
    name: &'static str,
    key: &'static str,
    unit: &'static str,
    seen: Option<f64>,
    planned: f64,
}

fn rates(run: &RunRecord, plan: &Plan) -> [Rate; 4] {
    let planned = |need: fn(&crate::fueling::SegmentNeed) -> f64| plan.fueling.mean_per_h(need);
    let seen = |total: Option<f64>| total.map(|total| run.per_h(total));
    [
        Rate {
            name: "Fluid",
            key: "fluid_ml_per_h",
            unit: "ml/h",
            seen: run.fluid_ml_per_h(),
            planned: planned(|need| need.fluid_ml),
        },
        Rate {
            name: "Carbohydrate",
            key: "carbs_g_per_h",
            unit: "g/h",
            seen: seen(run.intake.carbs_g),
            planned: planned(|need| need.carbs_g),
        },
        Rate {
            name: "Sodium",
            key: "sodium_mg_per_h",
            unit: "mg/h",
            seen: seen(run.intake.sodium_mg),
            planned: planned(|need| need.sodium_mg),
        },
        Rate {
            name: "Caffeine",
            key: "caffeine_mg_per_h",
            unit: "mg/h",
            seen: seen(run.intake.caffeine_mg),
            planned: planned(|need| need.caffeine_mg),
        },
    ]
}

fn remark((at, text): &(Option<Elapsed>, String)) -> Item {
    Item::new(
        Tone::Plain,
        match at {
            Some(at) => format!("{at} {text}"),
            None => text.clone(),
        },
    )
}
