//! What each segment asks of the body, with the findings and the cautions.

use crate::fueling::{SegmentNeed, SweatSource};
use crate::plan::Plan;
use crate::time::S_PER_HOUR;
use crate::units::Quantity;

use super::document::{Block, Cell, Column, Document, Table};
use super::parts::{self, fact};
use super::{Report, View, json};

/// `sutler fuel`
pub(super) const REPORT: Report = Report {
    name: "fuel",
    about: "fluid, sodium, carbohydrate and energy per segment, with cautions",
    needs_plan: true,
    build,
    json: json::fuel,
    findings: |plan| {
        plan.fueling
            .findings
            .iter()
            .chain(&plan.packing.findings)
            .collect()
    },
};

fn build(view: &View<'_>) -> Document {
    let mut document = Document::titled(format!("Needs: {}", view.race.course.name));
    let Some(plan) = view.plans.first() else {
        return document;
    };
    let mut facts = parts::opening(view);
    facts.extend(body_facts(view, plan));
    document.push(Block::Facts(facts));
    push_needs(&mut document, view, plan);
    parts::push_findings(
        &mut document,
        "Findings",
        (REPORT.findings)(plan),
        view.units,
    );
    parts::push_cautions(&mut document, plan);
    document
}

/// A row a segment, the totals, and how to read them.
pub(super) fn push_needs(document: &mut Document, view: &View<'_>, plan: &Plan) {
    document.section("Per segment, the stop before it included");
    document.push(Block::Table(needs(view, plan)));
    document.say(totals(view, plan));
    document.say(format!(
        "Sweat, drink and carry in {}; drink counts the water in food. Estimates to plan and carry \
         by, not a drinking schedule: thirst decides below them. Na is sodium, not salt.",
        view.units.volume_symbol()
    ));
}

/// Where the figures come from, and the body mass to expect.
pub(super) fn body_facts(view: &View<'_>, plan: &Plan) -> Vec<(String, String)> {
    let fueling = &plan.fueling;
    let last = (view.inputs.runner.sweat.iter())
        .filter_map(|run| run.date)
        .max();
    let last = last.map_or_else(String::new, |date| format!(", last on {date}"));
    let sweat = match fueling.sweat_from {
        SweatSource::Predicted => "predicted from mass, effort and weather".to_owned(),
        SweatSource::Scaled(runs) => {
            format!("predicted, scaled to {} measured{last}", runs_text(runs))
        }
        SweatSource::Measured(runs) => format!("measured on {}{last}", runs_text(runs)),
    };
    let band = |more: fn(&SegmentNeed) -> f64| {
        let most = fueling.segments.iter().map(more).fold(0.0, f64::max);
        view.units.show(Quantity::VolumeRate {
            ml_per_h: most * 1000.0,
        })
    };
    let sweat = format!(
        "{sweat}; may be up to {} less or {} more",
        band(|need| need.sweat_l_per_h - need.sweat_band_l_per_h.0),
        band(|need| need.sweat_band_l_per_h.1 - need.sweat_l_per_h)
    );
    let mut facts = vec![fact("Sweat rate", sweat)];
    let mass = &fueling.finish_mass;
    if mass.start_kg > 0.0 {
        facts.push(fact(
            "Body mass",
            format!(
                "{} at the start; {} less at the finish is water balance ({:.1} to {:.1} %)",
                view.units.show(Quantity::Mass { kg: mass.start_kg }),
                view.units.show(Quantity::Mass {
                    kg: mass.expected_loss_kg
                }),
                mass.loss_window_pct.0,
                mass.loss_window_pct.1,
            ),
        ));
    }
    facts.extend(caffeine_fact(view, plan));
    if !fueling.assumed.is_empty() {
        let assumed: Vec<String> = fueling.assumed.iter().map(|a| a.show(view.units)).collect();
        facts.push(fact("Assumed", assumed.join("; ")));
    }
    facts
}

/// When caffeine is taken, and what is left of it when the next comes and at the finish.
fn caffeine_fact(view: &View<'_>, plan: &Plan) -> Option<(String, String)> {
    let course = &view.race.course;
    let shares = &plan.packing.caffeine;
    let taken = |segment: &usize| shares[*segment].mg > 0.0;
    let doses: Vec<usize> = (0..shares.len()).filter(taken).collect();
    let texts: Vec<String> = doses
        .iter()
        .map(|&segment| {
            let before = match segment.checked_sub(1).map(|s| shares[s].left_mg) {
                Some(left_mg) if left_mg >= 1.0 => format!(" on top of {left_mg:.0} mg left"),
                _ => String::new(),
            };
            format!(
                "{:.0} mg at {} ({}){before}",
                shares[segment].mg,
                course.stations[segment].name,
                plan.schedule.show(plan.schedule.splits[segment].arrival),
            )
        })
        .collect();
    let left_mg = shares.last()?.left_mg;
    (!texts.is_empty()).then(|| {
        let end = format!("about {left_mg:.0} mg left at the finish, halved every 5 h or so");
        fact("Caffeine", format!("{}; {end}", texts.join("; ")))
    })
}

fn runs_text(runs: u32) -> String {
    if runs == 1 {
        "one long run".to_owned()
    } else {
        format!("{runs} long runs")
    }
}

fn needs(view: &View<'_>, plan: &Plan) -> Table {
    let (course, units) = (&view.race.course, view.units);
    let caffeine_mg = |segment: usize| plan.packing.caffeine.get(segment).map_or(0.0, |c| c.mg);
    let caffeine = plan.packing.caffeine.iter().any(|share| share.mg > 0.0);
    let mut columns = vec![
        Column::right("", "number"),
        Column::left("To", "to"),
        Column::right("Time", "time_s"),
        Column::right(units.temperature_symbol(), "temp_c"),
        Column::right("sweat/h", "sweat_ml_per_h"),
        Column::right("drink", "fluid_ml"),
        Column::right("carry", "carry_ml"),
        Column::right("Na mg", "sodium_mg"),
        Column::right("carb g", "carbs_g"),
        Column::right("kcal", "energy_kcal"),
    ];
    if caffeine {
        columns.push(Column::right("caf mg", "caffeine_mg"));
    }
    let volume = |ml: f64| Cell::with_raw(units.volume_number(ml), format!("{ml:.0}"));
    let rows = course
        .segments
        .iter()
        .zip(&plan.fueling.segments)
        .map(|(segment, need)| {
            let [number, name] = parts::station_cells(course, segment.from + 1);
            let seconds = crate::time::Elapsed::from_s(need.hours * S_PER_HOUR);
            let mut row = vec![
                number,
                name,
                Cell::with_raw(seconds.to_string(), seconds.as_secs()),
                need.temp_c.map_or(Cell::empty(), |c| {
                    Cell::with_raw(units.temperature_number(c), format!("{c:.1}"))
                }),
                volume(need.sweat_l_per_h * 1000.0),
                volume(need.fluid_ml),
                volume(need.carry_ml),
                parts::whole_cell(need.sodium_mg),
                parts::whole_cell(need.carbs_g),
                parts::whole_cell(need.energy_kcal),
            ];
            if caffeine {
                row.push(parts::whole_cell(caffeine_mg(segment.from)));
            }
            row
        })
        .collect();
    Table { columns, rows }
}

/// The whole race in one line.
fn totals(view: &View<'_>, plan: &Plan) -> String {
    let sum = |of: fn(&SegmentNeed) -> f64| -> f64 { plan.fueling.segments.iter().map(of).sum() };
    let caffeine_mg: f64 = plan.packing.caffeine.iter().map(|share| share.mg).sum();
    let caffeine = if caffeine_mg > 0.0 {
        format!(", {caffeine_mg:.0} mg of caffeine")
    } else {
        String::new()
    };
    format!(
        "In all: {} to drink, {:.0} mg of sodium, {:.0} g of carbohydrate, {:.0} kcal burned{caffeine}.",
        view.units.show(Quantity::Volume {
            ml: sum(|need| need.fluid_ml)
        }),
        sum(|need| need.sodium_mg),
        sum(|need| need.carbs_g),
        sum(|need| need.energy_kcal),
    )
}
