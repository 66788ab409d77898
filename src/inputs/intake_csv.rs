//! The log of a long run: what was drunk and eaten, and how stomach, skin and gear did, one row
//! each.

use chrono::NaiveTime;

use crate::diagnostics::{Diagnostic, FileId, Notes, SourceFile, Span, Spanned};
use crate::time::Elapsed;

use super::gear_csv::GearRule;
use super::headings::{KnownColumn, Shape};
use super::limits;
use super::record_toml::{MET, Tested};
use super::table::{CellTable, TableRow};
use super::values::{self, quoted};

/// One row of the log.
#[derive(Clone, Debug, PartialEq)]
pub struct LogRow {
    /// `elapsed` or `clock`: when; `None` where the row does not say.
    pub at: Option<LogTime>,
    /// `kind`, with what belongs to it.
    pub entry: LogEntry,
    /// `note`
    pub note: Option<String>,
    /// The row.
    pub span: Option<Span>,
}

/// The time at which something was written down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LogTime {
    /// `elapsed`: since the start of the run.
    Elapsed(Elapsed),
    /// `clock`: on the wall there.
    Clock(NaiveTime),
}

/// The contents of a row of the log.
#[derive(Clone, Debug, PartialEq)]
pub enum LogEntry {
    /// `drink`
    Drink(Helping),
    /// `food`
    Food(Helping),
    /// `refused`: came back up or would not go down; it counts as not eaten.
    Refused(Helping),
    /// `urine`, millilitres passed.
    Urine(f64),
    /// `stomach`: 10 is as at breakfast, 0 is nothing stayed down.
    Stomach(f64),
    /// `hot-spot`: where the skin rubs.
    HotSpot(String),
    /// `gear`: a piece that was used, and the conditions it met.
    Gear(Spanned<String>, Vec<GearRule>),
    /// `tested`: a routine that was practised.
    Tested(Tested),
}

/// An amount of one food or drink. What is `None` follows from the pantry.
#[derive(Clone, Debug, PartialEq)]
pub struct Helping {
    /// `what`, as in the pantry, or `water`.
    pub name: Spanned<String>,
    /// `servings`
    pub servings: Option<f64>,
    /// `water_ml` (or `_floz`): what was drunk, or the water in a food, of the whole row.
    pub water_ml: Option<f64>,
    /// `mass_g`, of the whole row.
    pub mass_g: Option<f64>,
    /// `carbs_g`, of the whole row.
    pub carbs_g: Option<f64>,
    /// `sodium_mg`, of the whole row.
    pub sodium_mg: Option<f64>,
    /// `caffeine_mg`, of the whole row.
    pub caffeine_mg: Option<f64>,
}

/// `kind` as written.
#[derive(Clone, Copy, PartialEq, Eq)]
enum EntryKind {
    Drink,
    Food,
    Refused,
    Urine,
    Stomach,
    HotSpot,
    Gear,
    Tested,
}

const KINDS: [(&str, EntryKind); 8] = [
    ("drink", EntryKind::Drink),
    ("food", EntryKind::Food),
    ("refused", EntryKind::Refused),
    ("urine", EntryKind::Urine),
    ("stomach", EntryKind::Stomach),
    ("hot-spot", EntryKind::HotSpot),
    ("gear", EntryKind::Gear),
    ("tested", EntryKind::Tested),
];

const SHAPE: Shape = Shape {
    columns: &[
        KnownColumn::text("elapsed"),
        KnownColumn::text("clock"),
        KnownColumn::text("kind").required(),
        KnownColumn::text("what"),
        KnownColumn::number(&limits::SERVINGS_EATEN),
        KnownColumn::number(&limits::LOG_WATER),
        KnownColumn::number(&limits::SERVING_MASS),
        KnownColumn::number(&limits::CARBS),
        KnownColumn::number(&limits::SODIUM),
        KnownColumn::number(&limits::CAFFEINE),
        KnownColumn::number(&limits::STOMACH),
        KnownColumn::number(&limits::URINE),
        KnownColumn::text("met"),
        KnownColumn::text("note"),
    ],
    most_rows: limits::LOG_ROWS,
};

/// The first line of a log to write down into; other columns may stand there too.
pub const HEAD: &str = "elapsed,kind,what,servings,water_ml,urine_ml,stomach,met,note";

/// The words for `kind`.
pub fn kinds() -> impl Iterator<Item = &'static str> {
    KINDS.iter().map(|(name, _)| *name)
}

/// Reads the log of a long run.
pub fn read(file: &SourceFile, id: FileId, notes: &mut Notes) -> Vec<LogRow> {
    CellTable::read(file, id, &SHAPE, notes).records(notes, entry)
}

fn entry(row: &TableRow, notes: &mut Notes) -> Option<LogRow> {
    let at = time(row, notes);
    let kind = row.needed_choice("kind", &KINDS, notes);
    let note = row.text("note", notes).map(|note| note.value);
    let entry = match kind? {
        EntryKind::Drink => LogEntry::Drink(helping(row, notes)?),
        EntryKind::Food => LogEntry::Food(helping(row, notes)?),
        EntryKind::Refused => LogEntry::Refused(helping(row, notes)?),
        EntryKind::Urine => LogEntry::Urine(row.needed(&limits::URINE, notes)?),
        EntryKind::Stomach => LogEntry::Stomach(row.needed(&limits::STOMACH, notes)?),
        EntryKind::HotSpot => LogEntry::HotSpot(row.name("what", notes)?.value),
        EntryKind::Gear => LogEntry::Gear(row.name("what", notes)?, met(row, notes)),
        EntryKind::Tested => LogEntry::Tested(row.needed_choice("what", &Tested::NAMES, notes)?),
    };
    Some(LogRow {
        at,
        entry,
        note,
        span: Some(row.span),
    })
}

fn helping(row: &TableRow, notes: &mut Notes) -> Option<Helping> {
    let name = row.name("what", notes);
    let mut amount = |range| row.number(range, notes).map(|number| number.value);
    let helping = Helping {
        servings: amount(&limits::SERVINGS_EATEN),
        water_ml: amount(&limits::LOG_WATER),
        mass_g: amount(&limits::SERVING_MASS),
        carbs_g: amount(&limits::CARBS),
        sodium_mg: amount(&limits::SODIUM),
        caffeine_mg: amount(&limits::CAFFEINE),
        name: name?,
    };
    let amounts = [
        helping.servings,
        helping.water_ml,
        helping.mass_g,
        helping.carbs_g,
    ];
    let written = ["servings", "water", "mass", "carbs"]
        .into_iter()
        .any(|column| row.cell(column).is_some());
    if amounts.iter().all(Option::is_none) && !written && !row.ragged {
        notes.push(
            Diagnostic::error(format!(
                "the row of {} has no amount",
                quoted(&helping.name.value)
            ))
            .at(helping.name.span, "expected `servings` or `water_ml`"),
        );
        return None;
    }
    Some(helping)
}

fn met(row: &TableRow, notes: &mut Notes) -> Vec<GearRule> {
    let listed = row.list("met", notes);
    listed
        .into_iter()
        .filter_map(|word| {
            let span = word.span.unwrap_or(row.span);
            match values::choose("met", &word.value, &MET, span) {
                Ok(rule) => Some(rule),
                Err(problem) => {
                    notes.push(problem);
                    None
                }
            }
        })
        .collect()
}

fn time(row: &TableRow, notes: &mut Notes) -> Option<LogTime> {
    let cell = row.cell("elapsed").or_else(|| row.cell("clock"))?;
    if let (Some(_), Some(clock)) = (row.cell("elapsed"), row.cell("clock")) {
        notes.push(
            Diagnostic::error("`elapsed` and `clock` say the same thing")
                .at(clock.span, "expected one of the two"),
        );
    }
    let (read, wanted) = if cell.column == "elapsed" {
        let read = values::race_time(&cell.text).map(LogTime::Elapsed);
        (
            read.ok(),
            "expected the time since the start, such as `1:25`",
        )
    } else {
        let read = NaiveTime::parse_from_str(&cell.text, "%H:%M").ok();
        (
            read.map(LogTime::Clock),
            "expected a clock time, such as `14:05`",
        )
    };
    if read.is_none() {
        notes.push(
            Diagnostic::error(format!("`{}` is {}", cell.column, quoted(&cell.text)))
                .at(cell.span, wanted),
        );
    }
    read
}
