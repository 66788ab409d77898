//! `record.toml` with one more run: what stands in it already stays as it is.

use toml_edit::DocumentMut;

use crate::diagnostics::{Notes, Severity, SourceFile, Sources};
use crate::inputs::RunRecord;
use crate::inputs::record_toml;

use super::parts;

/// The first lines of a new record.
const HEAD: &str = "\
# What each long run showed, one [[run]] each. `sutler debrief` adds them; `sutler check` and
# `sutler plan` read them. They may be edited by hand: leave out what nobody measured.
# Figures that end in _uncertainty are one standard deviation.
";

/// The text of a record with one more run at its end.
///
/// # Errors
/// In words, where the text is no record that can be added to.
pub fn with_run(text: &str, run: &RunRecord) -> Result<String, String> {
    let before = match text.trim_end() {
        "" => HEAD.trim_end(),
        kept => kept,
    };
    let new = format!("{before}\n\n{}", run.to_toml());
    // a record that cannot be read again would stop every plan
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let file = SourceFile::new("record.toml", new.as_str());
    record_toml::read(&file, sources.add(file.clone()), &mut notes);
    let error = (notes.all().iter()).find(|note| note.severity == Severity::Error);
    match error {
        Some(error) => Err(error.message.clone()),
        None => Ok(new),
    }
}

/// The text of a record without one of its runs.
///
/// # Errors
/// In words, where the text is no record or does not hold the run.
pub fn without_run(text: &str, run: &RunRecord) -> Result<String, String> {
    let mut document = parts::toml(text)?;
    let runs = runs(&mut document)?;
    let of = |own: &toml_edit::Table, key: &str| own.get(key).map(|item| item.to_string());
    let date = run.date.to_string();
    let is_it = |own: &toml_edit::Table| {
        let name = own.get("name").and_then(|name| name.as_str());
        let print = own.get("fingerprint").and_then(|print| print.as_str());
        of(own, "date").is_some_and(|own| own.trim() == date)
            && name == Some(&run.name.value)
            && print == run.fingerprint.as_deref()
    };
    let at = runs.iter().position(is_it).ok_or("the run is not in it")?;
    runs.remove(at);
    Ok(document.to_string())
}

/// The text of a record in which one run keeps lines of `runner.toml` that it replaced.
///
/// # Errors
/// In words, where the text is no record or does not hold the run.
pub fn with_replaced(text: &str, fingerprint: &str, lines: &[String]) -> Result<String, String> {
    let mut document = parts::toml(text)?;
    let runs = runs(&mut document)?;
    let run = runs
        .iter_mut()
        .find(|run| run.get("fingerprint").and_then(|f| f.as_str()) == Some(fingerprint))
        .ok_or("the run is not in it")?;
    let mut kept = run
        .get("replaced")
        .and_then(|item| item.as_array())
        .cloned()
        .unwrap_or_default();
    for line in lines {
        if !kept.iter().any(|old| old.as_str() == Some(line)) {
            kept.push(line.as_str());
        }
    }
    if !kept.is_empty() {
        run.insert("replaced", toml_edit::value(kept));
    }
    Ok(document.to_string())
}

fn runs(record: &mut DocumentMut) -> Result<&mut toml_edit::ArrayOfTables, String> {
    let runs = record.get_mut("run");
    let runs = runs.and_then(|item| item.as_array_of_tables_mut());
    runs.ok_or_else(|| "there is no run in it".to_owned())
}
