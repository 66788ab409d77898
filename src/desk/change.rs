//! Changes as the page asks for them, each held against what the page was shown: where the file
//! says something else by now, neither is lost.

use serde::Deserialize;
use sutler::inputs::limits::{Range, Unit};

use super::columns::{head_of, range_of};
use super::edits::settings::{self, Settings, Step};
use super::edits::table::{self, Sheet};
use super::fields::{self, Kind};
use super::refused::Refused;
use super::role::Role;
use super::session::Session;
use super::written::{converted, written};

/// A key, or a place in a list of tables.
#[derive(Clone, Debug, Deserialize)]
#[serde(untagged)]
pub(super) enum PathStep {
    At(usize),
    Key(String),
}

/// A change.
#[derive(Debug, Deserialize)]
#[serde(tag = "do", rename_all = "kebab-case")]
pub(super) enum Change {
    /// A value of a file of settings; typed as nothing it goes.
    Set {
        file: String,
        path: Vec<PathStep>,
        value: String,
        /// What the page was shown; nothing is not compared.
        was: Option<String>,
    },
    /// A number in another unit.
    Unit {
        file: String,
        path: Vec<PathStep>,
        to: String,
    },
    /// One more table of a list.
    Push { file: String, path: Vec<String> },
    /// One table of a list less.
    Pull {
        file: String,
        path: Vec<String>,
        at: usize,
    },
    /// A cell of a table.
    Cell {
        file: String,
        row: usize,
        /// The row as the page was shown it.
        line: String,
        column: String,
        value: String,
    },
    /// One more column, empty everywhere.
    Column { file: String, column: String },
    /// A column of numbers in another unit.
    Convert {
        file: String,
        column: String,
        to: String,
    },
    /// A new row.
    Insert {
        file: String,
        before: usize,
        values: Vec<(String, String)>,
    },
    /// A row less.
    Remove {
        file: String,
        row: usize,
        line: String,
    },
    /// A whole file.
    Text {
        file: String,
        value: String,
        was: Option<String>,
    },
}

impl Session {
    /// Makes a change and saves it.
    pub(super) fn change(&mut self, change: &Change) -> Result<(), Refused> {
        self.look();
        match change {
            Change::Set {
                file,
                path,
                value,
                was,
            } => self.set(edited(file)?, &steps(path), value, was.as_deref()),
            Change::Unit { file, path, to } => self.unit(edited(file)?, &steps(path), to),
            Change::Push { file, path } => {
                let role = edited(file)?;
                let group = fields::list_of(role, path).ok_or_else(unknown)?;
                let text = self.text(role).unwrap_or_default();
                let new = settings::push(&text, group.path, &[]);
                self.save(role, &new.ok_or_else(|| no_settings(role))?)
            }
            Change::Pull { file, path, at } => {
                let role = edited(file)?;
                let group = fields::list_of(role, path).ok_or_else(unknown)?;
                let text = self.text(role).unwrap_or_default();
                let new = settings::pull(&text, group.path, *at);
                self.save(role, &new.ok_or_else(|| no_settings(role))?)
            }
            Change::Cell {
                file,
                row,
                line,
                column,
                value,
            } => {
                let role = edited_table(file)?;
                let text = self.text(role).unwrap_or_default();
                let Some(row) = table::found(&text, *row, line) else {
                    return Err(row_changed(role, &text, *row, value));
                };
                self.save(role, &table::set(&text, row, column, value))
            }
            Change::Column { file, column } => {
                let role = edited_table(file)?;
                let text = self.text(role).unwrap_or_default();
                let is_new = Sheet::of(&text).column(column).is_none();
                if !is_new || !is_plain(column) {
                    return Err(unknown());
                }
                self.save(role, &table::with_column(&text, column))
            }
            Change::Convert { file, column, to } => {
                let role = edited_table(file)?;
                let range = range_of(column).ok_or_else(unknown)?;
                let (from, unit) = units(range, column, to)?;
                let text = self.text(role).unwrap_or_default();
                let convert = |typed: &str| converted(from, unit, typed);
                let new = table::renamed_column(&text, column, to, convert);
                self.save(role, &new.ok_or_else(unknown)?)
            }
            Change::Insert {
                file,
                before,
                values,
            } => {
                let role = edited_table(file)?;
                let text = self.text(role).unwrap_or_default();
                let text = if text.trim().is_empty() {
                    format!("{}\n", head_of(role, self.units))
                } else {
                    text
                };
                let values: Vec<(&str, &str)> = values
                    .iter()
                    .map(|(c, v)| (c.as_str(), v.as_str()))
                    .collect();
                self.save(role, &table::insert(&text, *before, &values))
            }
            Change::Remove { file, row, line } => {
                let role = edited_table(file)?;
                let text = self.text(role).unwrap_or_default();
                let Some(row) = table::found(&text, *row, line) else {
                    return Err(row_changed(role, &text, *row, line));
                };
                self.save(role, &table::remove(&text, row))
            }
            Change::Text { file, value, was } => {
                let role = edited(file)?;
                let now = self.text(role);
                if was.is_some()
                    && now.as_deref().unwrap_or_default() != was.as_deref().unwrap_or_default()
                {
                    return Err(Refused::Conflict {
                        file: role,
                        what: format!("{} was changed elsewhere meanwhile", role.file()),
                        here: value.clone(),
                        disk: now.unwrap_or_default(),
                    });
                }
                self.save(role, value)
            }
        }
    }

    fn set(
        &mut self,
        role: Role,
        path: &[Step],
        value: &str,
        was: Option<&str>,
    ) -> Result<(), Refused> {
        let kind = fields::kind_of(role, path).ok_or_else(unknown)?;
        let text = self.text(role).unwrap_or_default();
        let own = Settings::of(&text).ok_or_else(|| no_settings(role))?;
        let now = own.typed(path);
        if let Some(was) = was
            && now.as_deref().unwrap_or_default() != was
            && now.as_deref() != Some(value)
        {
            let key = match path.last() {
                Some(Step::Key(key)) => key.as_str(),
                _ => "it",
            };
            return Err(Refused::Conflict {
                file: role,
                what: format!("`{key}` in {} was changed elsewhere meanwhile", role.file()),
                here: value.to_owned(),
                disk: now.unwrap_or_default(),
            });
        }
        let raw = own.range(path).and_then(|range| text.get(range));
        let new = match written(kind, value, raw, &text) {
            Some(written) => settings::set(&text, path, &written),
            None => settings::unset(&text, path),
        };
        self.save(role, &new.ok_or_else(|| no_settings(role))?)
    }

    fn unit(&mut self, role: Role, path: &[Step], to: &str) -> Result<(), Refused> {
        let Some(Kind::Number(range)) = fields::kind_of(role, path) else {
            return Err(unknown());
        };
        let text = self.text(role).unwrap_or_default();
        let own = Settings::of(&text).ok_or_else(|| no_settings(role))?;
        let Some((Step::Key(key), above)) = path.split_last() else {
            return Err(unknown());
        };
        let (from, to) = units(range, key, to)?;
        let typed = own.typed(path).ok_or_else(unknown)?;
        let number = converted(from, to, &typed)
            .ok_or_else(|| Refused::Said(format!("`{typed}` is no number")))?;
        let new = settings::renamed(&text, above, key, &range.key(to), &number);
        self.save(role, &new.ok_or_else(|| no_settings(role))?)
    }
}

/// Whether a column's name needs no quotes.
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

fn steps(path: &[PathStep]) -> Vec<Step> {
    let step = |step: &PathStep| match step {
        PathStep::At(at) => Step::At(*at),
        PathStep::Key(key) => Step::Key(key.clone()),
    };
    path.iter().map(step).collect()
}

fn edited(file: &str) -> Result<Role, Refused> {
    let role = Role::named(file).filter(|role| role.is_edited());
    role.ok_or_else(unknown)
}

fn edited_table(file: &str) -> Result<Role, Refused> {
    Ok(edited(file)?).and_then(|role| role.is_table().then_some(role).ok_or_else(unknown))
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

fn row_changed(role: Role, text: &str, row: usize, here: &str) -> Refused {
    let sheet = Sheet::of(text);
    Refused::Conflict {
        file: role,
        what: format!(
            "this row of {} was changed elsewhere meanwhile",
            role.file()
        ),
        here: here.to_owned(),
        disk: sheet
            .rows
            .get(row)
            .map_or(String::new(), |row| row.line.clone()),
    }
}
