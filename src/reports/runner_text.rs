//! `runner.toml` with figures changed: everything else in it, comments and order, stays.

use chrono::NaiveDate;
use toml_edit::{Datetime, DocumentMut, Item, RawString, Table, TableLike, Value};

use crate::fit::{Fit, OwnPace, USUAL_STOPS};
use crate::words::count;

use super::parts;

/// The beginning of comments of ours, so that the next fit or debrief replaces them.
const OURS: [&str; 2] = ["# Fitted to ", "# Measured on "];

/// The fade for `[pacing]`, and what it rests on.
pub(super) struct PacingFigures {
    fade: f64,
    /// One line.
    comment: String,
    last: Option<NaiveDate>,
    runs: usize,
}

/// The lines that belong into `runner.toml`.
#[must_use]
pub fn pacing_lines(fit: &Fit) -> Vec<String> {
    with_pacing("", fit)
        .unwrap_or_default()
        .lines()
        .map(str::to_owned)
        .collect()
}

/// The text of a `runner.toml` with a fit's figures in its `[pacing]`, which is added at the end
/// where there is none.
///
/// # Errors
/// In words, where the text is no TOML or `pacing` is something else than a section.
pub fn with_pacing(text: &str, fit: &Fit) -> Result<String, String> {
    let mut document = parts::toml(text)?;
    put_pacing(&mut document, &PacingFigures::fitted(fit))?;
    Ok(document.to_string())
}

/// Puts figures into `[pacing]`.
pub(super) fn put_pacing(document: &mut DocumentMut, change: &PacingFigures) -> Result<(), String> {
    if !document.contains_key("pacing") {
        add_section(document, "pacing");
    }
    let pacing = document.get_mut("pacing");
    // a section in braces or of dotted keys has no lines of its own for a comment
    let has_lines = pacing
        .as_ref()
        .and_then(|item| item.as_table())
        .is_some_and(|table| !table.is_dotted());
    let section = pacing
        .and_then(Item::as_table_like_mut)
        .ok_or("`pacing` is not a section")?;
    // to a hundredth
    set(
        section,
        "fade",
        ((change.fade * 100.0).round() / 100.0).into(),
    );
    set(section, "stop_multiplier", USUAL_STOPS.into());
    if let Some(last) = change.last {
        let date: Datetime =
            (last.to_string().parse()).map_err(|error| format!("{last} is not a date: {error}"))?;
        set(section, "measured_on", date.into());
        set(section, "runs", (change.runs as i64).into());
    } else {
        // those of an earlier change are not what these rest on
        section.remove("measured_on");
        section.remove("runs");
    }
    if has_lines {
        explain(section, "fade", &change.comment);
    }
    // the blank before a closing brace belonged to what was last
    if let Some(braces) = document
        .get_mut("pacing")
        .and_then(Item::as_inline_table_mut)
    {
        braces.fmt();
    }
    Ok(())
}

impl PacingFigures {
    fn fitted(fit: &Fit) -> PacingFigures {
        PacingFigures {
            fade: fit.own.fade.value,
            comment: comment(fit),
            last: fit.own.last,
            runs: fit.runs.len(),
        }
    }

    /// Those of a record.
    pub(super) fn debriefed(own: &OwnPace) -> PacingFigures {
        let runs = count(own.runs, "long run");
        PacingFigures {
            fade: own.fade.value,
            comment: match own.last {
                Some(last) => format!("{}{runs}, the last on {last}.", OURS[1]),
                None => format!("{}{runs}.", OURS[1]),
            },
            last: own.last,
            runs: own.runs,
        }
    }
}

/// One line on what the figures rest on.
fn comment(fit: &Fit) -> String {
    let hours: Vec<f64> = fit.runs.iter().map(|run| run.recording.hours()).collect();
    let longest_h = hours.iter().copied().fold(0.0, f64::max);
    let shortest_h = hours.iter().copied().fold(longest_h, f64::min);
    let runs = count(fit.runs.len(), "recording");
    let hours = match fit.runs.len() {
        1 => format!("{longest_h:.1} h"),
        _ => format!("{shortest_h:.1} to {longest_h:.1} h"),
    };
    let days: Option<Vec<NaiveDate>> = fit.runs.iter().map(|run| run.recording.day()).collect();
    let days = days.unwrap_or_default();
    let days = match (days.iter().min(), days.iter().max()) {
        (Some(first), Some(last)) if first == last => format!(", {first}"),
        (Some(first), Some(last)) => format!(", {first} to {last}"),
        _ => String::new(),
    };
    format!("{}{runs} of {hours}{days}.", OURS[0])
}

/// An empty section after everything else, comments at the end of the file too.
pub(super) fn add_section(document: &mut DocumentMut, name: &str) {
    let trailing = document.trailing().as_str().unwrap_or_default().to_owned();
    let empty = document.is_empty() && trailing.trim().is_empty();
    let mut prefix = trailing;
    if !empty {
        if !prefix.is_empty() && !prefix.ends_with('\n') {
            prefix.push('\n');
        }
        prefix.push('\n');
    }
    let mut section = Table::new();
    section.decor_mut().set_prefix(prefix);
    document.insert(name, Item::Table(section));
    document.set_trailing("");
}

/// Changes a number and nothing around it.
pub(super) fn set(section: &mut dyn TableLike, key: &str, number: Value) {
    match section.get_mut(key).and_then(Item::as_value_mut) {
        Some(old) => {
            let decor = old.decor().clone();
            *old = number;
            *old.decor_mut() = decor;
        }
        None => {
            section.insert(key, Item::Value(number));
        }
    }
}

/// Puts a comment before a key, in place of the last one of ours.
fn explain(section: &mut dyn TableLike, key: &str, comment: &str) {
    let Some(mut key) = section.key_mut(key) else {
        return;
    };
    let decor = key.leaf_decor_mut();
    let before = decor
        .prefix()
        .and_then(RawString::as_str)
        .unwrap_or_default();
    let mut lines: Vec<&str> = before
        .lines()
        .filter(|line| !OURS.iter().any(|ours| line.starts_with(ours)))
        .collect();
    lines.push(comment);
    let prefix = lines.join("\n") + "\n";
    decor.set_prefix(prefix);
}
