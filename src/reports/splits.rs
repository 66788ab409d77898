//! When the runner is where, and how much time is in hand; several finishes side by side.

use crate::plan::Plan;
use crate::schedule::Split;
use crate::units::Quantity;

use super::document::{Block, Cell, Column, Document, Table, Tone};
use super::parts::{self, fact};
use super::{Report, View, cutoffs, json};

/// `sutler splits`
pub(super) const REPORT: Report = Report {
    name: "splits",
    about: "arrivals, stops, cutoffs and margins; several finishes side by side",
    needs_plan: true,
    build,
    json: json::splits,
    findings: |plan| plan.schedule.findings.iter().collect(),
};

fn build(view: &View<'_>) -> Document {
    let mut document = Document::titled(format!("Splits: {}", view.race.course.name));
    let Some(plan) = view.plans.first() else {
        return document;
    };
    let mut facts = parts::opening(view);
    facts.push(fact("Effort", effort(view, plan)));
    document.push(Block::Facts(facts));
    document.section("Stations");
    document.push(Block::Table(stations(view, plan)));
    cutoffs::push(&mut document, view, plan);
    document.section("Between stations");
    document.push(Block::Table(legs(view, plan)));
    if view.plans.len() > 1 {
        document.section("Other finishes");
        document.push(Block::Table(side_by_side(view)));
    }
    document.say(format!(
        "{} {LEAVE_BY}{}",
        cutoffs::meaning(view),
        parts::repeated_hour(plan)
    ));
    parts::push_findings(
        &mut document,
        "Findings",
        plan.schedule.findings.iter(),
        view.units,
    );
    document
}

/// How hard the race is, as a pace on level ground.
pub(super) fn effort(view: &View<'_>, plan: &Plan) -> String {
    let s_per_m = 1.0 / plan.pacing.level_speed_mps;
    format!(
        "as hard as {} on level ground, {}",
        view.units.show(Quantity::Pace { s_per_m }),
        plan.pacing.settings.cost.about
    )
}

/// What the columns about leaving mean, under every table of splits.
const LEAVE_BY: &str = "Leave by: the latest departure that still meets every later cutoff at the \
                        planned effort, and the station whose cutoff decides.";

fn stations(view: &View<'_>, plan: &Plan) -> Table {
    let (course, units) = (&view.race.course, view.units);
    let schedule = &plan.schedule;
    let has_cutoffs = schedule.splits.iter().any(|s| s.cutoff.is_some());
    let mut columns = parts::station_columns().to_vec();
    columns.extend([
        Column::right(units.distance_symbol(), "official_m"),
        Column::right("Arrive", "arrival_s"),
        Column::right("Early", "early_s"),
        Column::right("Late", "late_s"),
    ]);
    if has_cutoffs {
        columns.extend([
            Column::right("Cutoff", "cutoff_s"),
            Column::right("Margin", "margin_s"),
            Column::right("Leave by", "latest_departure_s"),
            Column::right("for", "binding"),
        ]);
    }
    let rows = schedule
        .splits
        .iter()
        .map(|split| {
            let mut row = parts::station_cells(course, split.station).to_vec();
            row.extend([
                parts::distance_cell(units, course.stations[split.station].official_m),
                parts::time_cell(schedule, split.arrival),
                parts::short_time_cell(schedule, split.early).tone(Tone::Faint),
                parts::short_time_cell(schedule, split.late).tone(Tone::Faint),
            ]);
            if has_cutoffs {
                let optional =
                    |time: Option<_>| time.map_or(Cell::empty(), |t| parts::time_cell(schedule, t));
                row.extend([
                    optional(split.cutoff.map(|limit| limit.elapsed)),
                    parts::margin_cell(split.margin),
                    optional(split.latest_departure).tone(Tone::Faint),
                    split.binding.map_or(Cell::empty(), |binding| {
                        Cell::with_raw(
                            parts::number(course, binding),
                            &course.stations[binding].name,
                        )
                        .tone(Tone::Faint)
                    }),
                ]);
            }
            row
        })
        .collect();
    Table { columns, rows }
}

/// Segments: printed times are differences of printed arrivals, so that the page adds up.
pub(super) fn legs(view: &View<'_>, plan: &Plan) -> Table {
    let (course, units) = (&view.race.course, view.units);
    let columns = vec![
        Column::right("", "number"),
        Column::left("To", "to"),
        Column::right(units.distance_symbol(), "official_length_m"),
        Column::right("up", "climb_m"),
        Column::right("down", "descent_m"),
        Column::right("Moving", "moving_s"),
        Column::right("Elapsed", "arrival_s"),
        Column::right("Stop", "stop_s"),
        Column::right(format!("min/{}", units.distance_symbol()), "pace_s_per_km"),
        Column::right("walk", "walk_pct"),
        Column::right("dark", "dark_pct"),
    ];
    let rows = course
        .segments
        .iter()
        .zip(&plan.schedule.legs)
        .map(|(segment, leg)| {
            let (from, to) = (
                &plan.schedule.splits[segment.from],
                &plan.schedule.splits[segment.from + 1],
            );
            let printed = to.arrival.to_minute() - from.departure.to_minute();
            let [number, name] = parts::station_cells(course, segment.from + 1);
            vec![
                number,
                name,
                parts::distance_cell(units, segment.official_length_m),
                parts::height_cell(units, segment.climb_m),
                parts::height_cell(units, segment.descent_m),
                Cell::with_raw(printed.to_string(), leg.moving.as_secs()),
                Cell::with_raw(to.arrival.to_string(), to.arrival.as_secs()),
                stop_cell(to),
                Cell::with_raw(
                    units.pace_number(leg.pace_s_per_m),
                    format!("{:.1}", leg.pace_s_per_m * 1000.0),
                ),
                parts::share_cell(leg.walk_share),
                parts::share_cell(leg.dark_share),
            ]
        })
        .collect();
    Table { columns, rows }
}

/// Minutes stopped, between the printed arrival and departure; nothing where the runner runs
/// through.
fn stop_cell(split: &Split) -> Cell {
    let shown = if split.departure == split.arrival {
        String::new()
    } else {
        (split.departure.to_minute() - split.arrival.to_minute()).to_string()
    };
    Cell::with_raw(shown, (split.departure - split.arrival).as_secs())
}

/// Arrival and margin for up to three finishes.
pub(super) fn side_by_side(view: &View<'_>) -> Table {
    const KEYS: [(&str, &str); 3] = [
        ("arrival_s", "margin_s"),
        ("arrival_2_s", "margin_2_s"),
        ("arrival_3_s", "margin_3_s"),
    ];
    let course = &view.race.course;
    let mut columns = parts::station_columns().to_vec();
    for (plan, (arrival, margin)) in view.plans.iter().zip(KEYS) {
        columns.push(Column::right(plan.finish.to_string(), arrival));
        columns.push(Column::right("margin", margin));
    }
    let rows = (0..course.stations.len())
        .map(|station| {
            let mut row = parts::station_cells(course, station).to_vec();
            for plan in view.plans.iter().take(KEYS.len()) {
                let split = &plan.schedule.splits[station];
                row.push(parts::time_cell(&plan.schedule, split.arrival));
                row.push(parts::margin_cell(split.margin));
            }
            row
        })
        .collect();
    Table { columns, rows }
}
