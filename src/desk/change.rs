//! Changes as the page asks for them, each held against what the page was shown: where the file
//! says something else by now, neither is lost.

use serde::Deserialize;
use sutler::inputs::limits::{Range, Unit};

use super::columns::{head_of, range_of};
use super::edits::settings::{self, KeyStep, Settings};
use super::edits::table::{self, CsvTable};
use super::fields::{self, Typed};
use super::refused::Refused;
use super::role::Role;
use super::session::Session;
use super::written::{converted, written};

/// A change of a file.
#[derive(Debug, Deserialize)]
pub(super) struct Edit {
    /// The file, by what it is for.
    file: String,
    #[serde(flatten)]
    change: FileChange,
}

/// The part that is changed.
#[derive(Debug, Deserialize)]
#[serde(tag = "do", rename_all = "kebab-case")]
enum FileChange {
    /// A value of a file of settings; typed as nothing it goes. `was` is what the page was shown;
    /// nothing is not compared.
    Set {
        path: Vec<KeyStep>,
        value: String,
        was: Option<String>,
    },
    /// A number in another unit.
    Unit { path: Vec<KeyStep>, to: String },
    /// One more table of a list.
    Push { path: Vec<String> },
    /// One table of a list less.
    Pull { path: Vec<String>, at: usize },
    /// A cell of a table; `line` is the row as the page was shown it.
    Cell {
        row: usize,
        line: String,
        column: String,
        value: String,
    },
    /// One more column, empty everywhere.
    Column { column: String },
    /// A column of numbers in another unit.
    Convert { column: String, to: String },
    /// A new row.
    Insert {
        before: usize,
        values: Vec<(String, String)>,
    },
    /// A row less.
    Remove { row: usize, line: String },
    /// A whole file.
    Text { value: String, was: Option<String> },
}

impl FileChange {
    fn is_of_a_table(&self) -> bool {
        use FileChange::{Cell, Column, Convert, Insert, Remove};
        matches!(
            self,
            Cell { .. } | Column { .. } | Convert { .. } | Insert { .. } | Remove { .. }
        )
    }
}

impl Session {
    /// Makes a change and saves it.
    pub(super) fn change(&mut self, edit: &Edit) -> Result<(), Refused> {
        self.look();
        let role = Role::named(&edit.file).filter(|role| role.is_edited());
        let role = role.ok_or_else(unknown)?;
        if edit.change.is_of_a_table() && !role.is_table() {
            return Err(unknown());
        }
        let text = self.text(role).unwrap_or_default();
        let of_settings = |new: Option<String>| new.ok_or_else(|| no_settings(role));
        let list = |path| fields::list_of(role, path).ok_or_else(unknown);
        let new = match &edit.change {
            FileChange::Set { path, value, was } => {
                of_settings(set(role, &text, path, value, was.as_deref())?)?
            }
            FileChange::Unit { path, to } => of_settings(unit(role, &text, path, to)?)?,
            FileChange::Push { path } => of_settings(settings::push(&text, list(path)?.path))?,
            FileChange::Pull { path, at } => {
                of_settings(settings::pull(&text, list(path)?.path, *at))?
            }
            FileChange::Cell {
                row,
                line,
                column,
                value,
            } => table::set(
                &text,
                found(role, &text, (*row, line), value)?,
                column,
                value,
            ),
            FileChange::Column { column } => {
                if CsvTable::of(&text).column(column).is_some() || !is_plain(column) {
                    return Err(unknown());
                }
                table::with_column(&text, column)
            }
            FileChange::Convert { column, to } => {
                let (from, unit) = units(range_of(column).ok_or_else(unknown)?, column, to)?;
                let convert = |typed: &str| converted(from, unit, typed);
                table::renamed_column(&text, column, to, convert).ok_or_else(unknown)?
            }
            FileChange::Insert { before, values } => {
                let is_new = text.trim().is_empty();
                let head = format!("{}\n", head_of(role, self.units));
                let values = values
                    .iter()
                    .map(|(column, value)| (column.as_str(), value.as_str()));
                let values: Vec<(&str, &str)> = values.collect();
                table::insert(if is_new { &head } else { &text }, *before, &values)
            }
            FileChange::Remove { row, line } => {
                table::remove(&text, found(role, &text, (*row, line), line)?)
            }
            FileChange::Text { value, was } => {
                if was.as_ref().is_some_and(|was| *was != text) {
                    return Err(changed_elsewhere(role, role.file(), value, text));
                }
                value.clone()
            }
        };
        self.save(role, &new)
    }
}

fn set(
    role: Role,
    text: &str,
    path: &[KeyStep],
    value: &str,
    was: Option<&str>,
) -> Result<Option<String>, Refused> {
    let kind = fields::kind_of(role, path).ok_or_else(unknown)?;
    let own = Settings::of(text).ok_or_else(|| no_settings(role))?;
    let now = own.typed(path).unwrap_or_default();
    if was.is_some_and(|was| now != was) && now != value {
        let key = match path.last() {
            Some(KeyStep::Key(key)) => format!("`{key}` in {}", role.file()),
            _ => role.file().to_owned(),
        };
        return Err(changed_elsewhere(role, &key, value, now));
    }
    let raw = own.range(path).and_then(|range| text.get(range));
    Ok(match written(kind, value, raw, text) {
        Some(written) => settings::set(text, path, &written),
        None => settings::unset(text, path),
    })
}

fn unit(role: Role, text: &str, path: &[KeyStep], to: &str) -> Result<Option<String>, Refused> {
    let Some((Typed::Number(range), (KeyStep::Key(key), above))) =
        fields::kind_of(role, path).zip(path.split_last())
    else {
        return Err(unknown());
    };
    let own = Settings::of(text).ok_or_else(|| no_settings(role))?;
    let (from, to) = units(range, key, to)?;
    let typed = own.typed(path).ok_or_else(unknown)?;
    let number = converted(from, to, &typed)
        .ok_or_else(|| Refused::Said(format!("`{typed}` is not a number")))?;
    Ok(settings::renamed(text, above, key, &range.key(to), &number))
}

/// The row that the page was shown: where it stands now.
fn found(role: Role, text: &str, (row, line): (usize, &str), here: &str) -> Result<usize, Refused> {
    table::found(text, row, line).ok_or_else(|| {
        let what = format!("this row of {}", role.file());
        let disk = CsvTable::of(text).rows.get(row).map(|row| row.line.clone());
        changed_elsewhere(role, &what, here, disk.unwrap_or_default())
    })
}

fn changed_elsewhere(file: Role, what: &str, here: &str, disk: String) -> Refused {
    Refused::Conflict {
        file,
        what: format!("{what} was changed elsewhere meanwhile"),
        here: here.to_owned(),
        disk,
    }
}

/// True where a column's name needs no quotes.
fn is_plain(column: &str) -> bool {
    let plain = |c: char| c.is_ascii_lowercase() || c == '_';
    !column.is_empty() && column.chars().all(plain)
}

/// The units of two keys of a range.
fn units(range: &Range, from: &str, to: &str) -> Result<(Unit, Unit), Refused> {
    let unit = |key: &str| range.units.iter().find(|unit| range.key(**unit) == key);
    let (from, to) = unit(from).zip(unit(to)).ok_or_else(unknown)?;
    Ok((*from, *to))
}

fn unknown() -> Refused {
    Refused::Said("the desk does not change that".to_owned())
}

fn no_settings(role: Role) -> Refused {
    let name = role.file();
    Refused::Said(format!(
        "{name} cannot be read as it is; mend it under Files first"
    ))
}
