//! How sure the arrivals are: what early and late mean, and the chance of making each cutoff.

use crate::inputs::plan_toml::Evidence;
use crate::inputs::stations_csv::CutoffOn;
use crate::plan::Plan;
use crate::windows::figures::UNSAID;

use super::View;
use super::document::{Block, Cell, Column, Document, Table, Tone};
use super::parts;

/// A section with every cutoff, its margin and its chance; nothing where there is no cutoff.
pub(super) fn push(document: &mut Document, view: &View<'_>, plan: &Plan) {
    if plan.schedule.splits.iter().all(|s| s.cutoff.is_none()) {
        return;
    }
    document.section("Cutoffs");
    document.push(Block::Table(table(view, plan)));
    let evidence = view.inputs.plan.windows.evidence;
    let basis = rests_on(evidence.unwrap_or(UNSAID));
    let unsaid = if evidence.is_none() {
        " Say what it rests on in the plan, under [windows]."
    } else {
        ""
    };
    document.say(format!(
        "Chance: of making this cutoff and all before it, counted over simulated races with a \
         target that rests on {basis}; dropping out for other reasons is not counted.{unsaid}"
    ));
}

fn table(view: &View<'_>, plan: &Plan) -> Table {
    let (course, schedule) = (&view.race.course, &plan.schedule);
    let mut columns = parts::station_columns().to_vec();
    columns.extend([
        Column::right("Arrive", "arrival_s"),
        Column::right("Late", "late_s"),
        Column::right("Cutoff", "cutoff_s"),
        Column::left("on", "cutoff_on"),
        Column::right("Margin", "margin_s"),
        Column::right("Chance", "cutoff_chance"),
    ]);
    let rows = schedule
        .splits
        .iter()
        .filter_map(|split| {
            let limit = split.cutoff?;
            let mut row = parts::station_cells(course, split.station).to_vec();
            row.extend([
                parts::time_cell(schedule, split.arrival),
                parts::short_time_cell(schedule, split.late).tone(Tone::Faint),
                parts::time_cell(schedule, limit.elapsed),
                Cell::new(match limit.on {
                    CutoffOn::Arrival => "arrival",
                    CutoffOn::Departure => "departure",
                }),
                parts::margin_cell(split.margin),
                chance_cell(split.cutoff_chance),
            ]);
            Some(row)
        })
        .collect();
    Table { columns, rows }
}

/// What early and late mean, under every table that has them.
pub(super) fn meaning(view: &View<'_>) -> String {
    match view.inputs.plan.windows.evidence {
        None => "Early and late: of ten races that finish on target, one arrives before early and \
                 one after late."
            .to_owned(),
        Some(evidence) => format!(
            "Early and late: of ten races with a target that rests on {}, one arrives before \
             early and one after late, of those that get so far.",
            rests_on(evidence)
        ),
    }
}

/// What a target rests on, in a sentence.
fn rests_on(evidence: Evidence) -> &'static str {
    match evidence {
        Evidence::Race => "a race like it",
        Evidence::LongRuns => "long runs",
        Evidence::Hope => "hope",
    }
}

/// A chance in percent, its tone saying how good; a simulation knows neither never nor always.
fn chance_cell(chance: Option<f64>) -> Cell {
    let Some(chance) = chance else {
        return Cell::empty();
    };
    let shown = match (100.0 * chance).round() {
        percent if percent < 1.0 => "< 1 %".to_owned(),
        percent if percent > 99.0 => "> 99 %".to_owned(),
        percent => format!("{percent:.0} %"),
    };
    let tone = match chance {
        c if c < crate::schedule::UNLIKELY => Tone::Bad,
        c if c < crate::schedule::DOUBTFUL => Tone::Warning,
        _ => Tone::Good,
    };
    Cell::with_raw(shown, format!("{chance:.3}")).tone(tone)
}
