//! `gear.csv`: what may be worn or carried besides food.

use crate::diagnostics::{Diagnostic, FileId, Notes, SourceFile, Span, Spanned};

use super::headings::{KnownColumn, Shape};
use super::limits;
use super::table::{CellTable, TableRow};
use crate::words::named;

/// One piece of gear.
#[derive(Clone, Debug, PartialEq)]
pub struct GearItem {
    /// `name`, as in the course's mandatory kit.
    pub name: Spanned<String>,
    /// `when`: what calls for it.
    pub when: GearRule,
    /// `after`: for `after-station`, the station's name.
    pub after: Option<Spanned<String>>,
    /// `mass_g`
    pub mass_g: Option<f64>,
    /// `burn_h`: hours a lamp or battery lasts.
    pub burn_h: Option<f64>,
    /// The row.
    pub span: Option<Span>,
}

named! {
    /// The occasion for a piece of gear.
    pub enum GearRule {
        /// `always`: from start to finish.
        Always = "always",
        /// `dark`: before dusk until after dawn.
        Dark = "dark",
        /// `cold`
        Cold = "cold",
        /// `rain`
        Rain = "rain",
        /// `sun`
        Sun = "sun",
        /// `heat`
        Heat = "heat",
        /// `after-station`: put on or changed at one station, such as dry socks.
        AfterStation = "after-station",
    }
}

const SHAPE: Shape = Shape {
    columns: &[
        KnownColumn::text("name").required(),
        KnownColumn::text("when").required(),
        KnownColumn::text("after"),
        KnownColumn::number(&limits::GEAR_MASS),
        KnownColumn::number(&limits::BURN_TIME),
    ],
    most_rows: limits::GEAR_ROWS,
};

/// Reads `gear.csv`.
pub fn read(file: &SourceFile, id: FileId, notes: &mut Notes) -> Vec<GearItem> {
    CellTable::read(file, id, &SHAPE, notes).records(notes, item)
}

fn item(row: &TableRow, notes: &mut Notes) -> Option<GearItem> {
    let name = row.name("name", notes);
    let when = row.needed_choice("when", &GearRule::NAMES, notes);
    let after = row.text("after", notes);
    match (when, row.cell("when"), row.cell("after")) {
        (Some(GearRule::AfterStation), Some(cell), None) => notes.push(
            Diagnostic::error("`after-station` without a station")
                .at(cell.span, "expected a station's name under `after`"),
        ),
        (Some(rule), _, Some(cell)) if rule != GearRule::AfterStation => notes.push(
            Diagnostic::error("`after` names a station, but `when` is not `after-station`")
                .at(cell.span, "expected nothing here")
                .hint("write `after-station` under `when`, or leave `after` empty"),
        ),
        _ => {}
    }
    Some(GearItem {
        when: when.unwrap_or(GearRule::Always),
        after,
        mass_g: row.number(&limits::GEAR_MASS, notes).map(|mass| mass.value),
        burn_h: row.number(&limits::BURN_TIME, notes).map(|time| time.value),
        span: Some(row.span),
        name: name?,
    })
}
