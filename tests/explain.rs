//! Every number of the plan's tables can be asked about, and the answer is the number as printed.

use sutler::explain::{WHATS, explain};
use sutler::reports::document::{Block, Table};
use sutler::reports::of_a_plan;
use sutler::units::Units;

use crate::support::case::Case;
use crate::support::race::{PLANS, Planned};

/// Columns that name a row, repeat another column, or say something that is no number.
const NOT_ASKED: &[&str] = &[
    "number",
    "station",
    "to",
    "marks",
    "cutoff_on",
    "binding",
    "until_number",
];

/// The tables of a report that have a row a station or segment, with the column that names it.
fn tables(blocks: &[Block]) -> impl Iterator<Item = (&Table, usize)> {
    let tables = blocks.iter().filter_map(|block| match block {
        Block::Table(table) => Some(table),
        _ => None,
    });
    tables.filter_map(|table| {
        let named = |column: &sutler::reports::document::Column| {
            matches!(column.key, Some("station" | "to"))
        };
        Some((table, table.columns.iter().position(named)?))
    })
}

#[test]
fn every_number_of_the_tables_is_explained_as_printed() {
    let mut asked = 0;
    for plan in PLANS {
        let planned = Planned::shipped(plan);
        for units in [Units::Metric, Units::Imperial] {
            let (view, facts) = (planned.view(units), planned.facts(units));
            for report in of_a_plan().filter(|report| report.name != "course") {
                let document = (report.build)(&facts);
                for (table, named) in tables(&document.blocks) {
                    for row in &table.rows {
                        for (column, cell) in table.columns.iter().zip(row) {
                            let Some(key) = column.key else { continue };
                            let nothing = matches!(cell.shown.as_str(), "" | "–" | "unknown");
                            // another finish is asked about with its own --finish
                            let other = key.ends_with("_2_s") || key.ends_with("_3_s");
                            if NOT_ASKED.contains(&key) || nothing || other {
                                continue;
                            }
                            let told = explain(
                                &view,
                                &facts,
                                &planned.prepared.sources,
                                &row[named].shown,
                                key,
                            );
                            let told = told.unwrap_or_else(|problem| {
                                panic!("{plan}, {} {key}: {}", report.name, problem.message)
                            });
                            let says = |text: &String| text.contains(&cell.shown);
                            let values = told.steps.iter().map(|step| &step.value);
                            assert!(
                                says(&told.printed) || values.into_iter().any(says),
                                "{plan}, {} {key} of {}: the table has {}, the answer {}",
                                report.name,
                                row[named].shown,
                                cell.shown,
                                told.printed
                            );
                            assert!(!told.steps.is_empty() && !told.source.is_empty());
                            asked += 1;
                        }
                    }
                }
            }
        }
    }
    assert!(asked > 1000, "only {asked} numbers were asked about");
}

#[test]
fn inputs_are_told_with_their_place() {
    let case = Case::new().copied("demo-data").copied("courses");
    let told = case
        .run(&["explain", "Innerfalz", "margin", "demo-data/plan.toml"])
        .exits(0);
    assert!(told.out.contains("stations.csv:"), "{}", told.out);
    // the answer, its meaning, what went in, how, and by whom
    let parts = [
        "Innerfalz: margin",
        "Time in hand",
        "stations.csv:",
        "Formula:",
        "Source:",
    ];
    let places = parts.map(|part| {
        told.out
            .find(part)
            .unwrap_or_else(|| panic!("no {part}: {told}"))
    });
    assert!(places.is_sorted(), "{places:?} {told}");
    case.run(&["explain", "Inerfalz", "margin", "demo-data/plan.toml"])
        .exits(2)
        .says("did you mean `Innerfalz`?");
    case.run(&["explain", "Innerfalz", "marign", "demo-data/plan.toml"])
        .exits(2)
        .says("did you mean `margin`?");
}

#[test]
fn numbers_are_asked_for_by_names_of_their_own() {
    let mut names: Vec<&str> = WHATS.iter().map(|what| what.name).collect();
    names.sort_unstable();
    let count = names.len();
    names.dedup();
    assert_eq!(names.len(), count);
}
