//! `runner.toml` with what long runs measured: sweat rates, rates of eating and drinking that were
//! held, and pacing. Comments and order stay.

use toml_edit::{ArrayOfTables, Datetime, DocumentMut, Item, Table, Value, value};

use crate::debrief::Proposal;
use crate::inputs::RunRecord;

use super::parts;
use super::runner_text::{PacingFigures, add_section, put_pacing, set};

/// The text of a `runner.toml` with what the record proposes in it.
///
/// # Errors
/// In words, where the text is no TOML or a section is something else.
pub fn with_proposal(text: &str, proposal: &Proposal) -> Result<String, String> {
    let mut document = parts::toml(text)?;
    if !proposal.sweat.is_empty() {
        let measured = measured(&mut document)?;
        for run in &proposal.sweat {
            measured.push(entry(run)?);
        }
    }
    let rates = [
        ("carbs_rehearsed_g_per_h", proposal.carbs_g_per_h),
        ("fluid_rehearsed_ml_per_h", proposal.fluid_ml_per_h),
    ];
    for (key, rate) in rates {
        let Some((rate, _)) = rate else { continue };
        if !document.contains_key("fueling") {
            add_section(&mut document, "fueling");
        }
        let section = document
            .get_mut("fueling")
            .and_then(Item::as_table_like_mut)
            .ok_or("`fueling` is not a section")?;
        set(section, key, plain(rate));
    }
    if let Some(own) = proposal.new_pace() {
        put_pacing(&mut document, &PacingFigures::debriefed(own))?;
    }
    Ok(document.to_string())
}

/// A number as people write it: without a point where it is whole.
fn plain(number: f64) -> Value {
    if number.fract() == 0.0 {
        (number as i64).into()
    } else {
        number.into()
    }
}

/// The list of measured long runs, made where there is none.
fn measured(document: &mut DocumentMut) -> Result<&mut ArrayOfTables, String> {
    let sweat = document.entry("sweat").or_insert_with(|| {
        let mut section = Table::new();
        section.set_implicit(true);
        Item::Table(section)
    });
    let measured = sweat
        .as_table_like_mut()
        .ok_or("`sweat` is not a section")?
        .entry("measured")
        .or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()));
    if measured.is_array() {
        // a list in brackets becomes sections, which are the same to every reader
        let listed = std::mem::take(measured);
        *measured = listed
            .into_array_of_tables()
            .map(Item::ArrayOfTables)
            .map_err(|_| "`sweat.measured` holds something that is not a run")?;
    }
    measured
        .as_array_of_tables_mut()
        .ok_or_else(|| "`sweat.measured` is not a list of runs".to_owned())
}

fn entry(run: &RunRecord) -> Result<Table, String> {
    let mut table = Table::new();
    let off = run.body.sweat_uncertainty_l_per_h.unwrap_or(0.0);
    table.decor_mut().set_prefix(format!(
        "\n# By mass balance, give or take {:.2} L/h.\n",
        2.0 * off
    ));
    let date: Datetime = (run.date.to_string().parse())
        .map_err(|error| format!("{} is not a date: {error}", run.date))?;
    table.insert("date", value(date));
    let rounded = |number: f64, one: f64| (number * one).round() / one;
    let rate = run.body.sweat_l_per_h.unwrap_or_default();
    table.insert("rate_l_per_h", value(rounded(rate, 100.0)));
    if let Some(temp_c) = run.sky.temp_c {
        table.insert("temp_c", value(plain(rounded(temp_c, 10.0))));
    }
    if let Some(energy) = run.body.energy_kcal_per_h {
        table.insert("energy_kcal_per_h", value(energy.round() as i64));
    }
    Ok(table)
}

/// The text of a runner file without what was measured on a day: its sweat, and pacing that rests
/// on that run alone.
///
/// # Errors
/// In words, where the text is no TOML.
pub fn without_day(text: &str, day: chrono::NaiveDate) -> Result<String, String> {
    let mut document = parts::toml(text)?;
    let day = day.to_string();
    let is = |item: Option<&Item>, value: &str| {
        item.is_some_and(|item| item.to_string().trim() == value)
    };
    let measured = document
        .get_mut("sweat")
        .and_then(|sweat| sweat.get_mut("measured"));
    if let Some(runs) = measured.and_then(|item| item.as_array_of_tables_mut()) {
        runs.retain(|run| !is(run.get("date"), &day));
    }
    let pacing = document.get_mut("pacing");
    if let Some(own) = pacing.and_then(Item::as_table_like_mut)
        && is(own.get("measured_on"), &day)
        && is(own.get("runs"), "1")
    {
        for key in ["fade", "stop_multiplier", "measured_on", "runs"] {
            own.remove(key);
        }
    }
    Ok(document.to_string())
}
