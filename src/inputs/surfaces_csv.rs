//! `surfaces.csv`: what the ground is, stretch by stretch.

use crate::diagnostics::{Diagnostic, FileId, Notes, SourceFile, Span};

use super::headings::{KnownColumn, Shape};
use super::limits;
use super::table::{CellTable, TableRow};
use crate::words::named;

/// A stretch of one surface. Columns `from_km`, `to_km` (or `_mi`), `surface`; official distances.
#[derive(Clone, Debug, PartialEq)]
pub struct SurfaceRow {
    /// Official distance at which it starts.
    pub from_m: f64,
    /// Official distance at which it ends.
    pub to_m: f64,
    /// Its kind.
    pub surface: Surface,
    /// The row.
    pub span: Option<Span>,
}

named! {
    /// The ground underfoot.
    #[derive(Default)]
    pub enum Surface {
        /// `paved`
        Paved = "paved",
        /// `track`: dirt or grass double track, forest road.
        Track = "track",
        /// `smooth-trail`
        #[default]
        SmoothTrail = "smooth-trail",
        /// `rocky`: stones and roots that must be watched.
        Rocky = "rocky",
        /// `rough`: boulders, river beds, off any path.
        Rough = "rough",
        /// `sand`: loose sand.
        Sand = "sand",
    }
}

const SHAPE: Shape = Shape {
    columns: &[
        KnownColumn::number(&limits::SURFACE_FROM).required(),
        KnownColumn::number(&limits::SURFACE_TO).required(),
        KnownColumn::text("surface").required(),
    ],
    most_rows: limits::SURFACE_ROWS,
};

/// Reads `surfaces.csv`.
pub fn read(file: &SourceFile, id: FileId, notes: &mut Notes) -> Vec<SurfaceRow> {
    CellTable::read(file, id, &SHAPE, notes).records(notes, stretch)
}

fn stretch(row: &TableRow, notes: &mut Notes) -> Option<SurfaceRow> {
    let from = row.needed(&limits::SURFACE_FROM, notes);
    let to = row.needed(&limits::SURFACE_TO, notes);
    let surface = row.needed_choice("surface", &Surface::NAMES, notes);
    let (from_m, to_m) = (from?, to?);
    if to_m <= from_m {
        let (from, to) = (row.cell("from")?, row.cell("to")?);
        notes.push(
            Diagnostic::error(format!(
                "`{}` is {} where `{}` is {}",
                to.header, to.text, from.header, from.text
            ))
            .at(to.span, format!("expected more than {}", from.text)),
        );
        return None;
    }
    Some(SurfaceRow {
        from_m,
        to_m,
        surface: surface?,
        span: Some(row.span),
    })
}
