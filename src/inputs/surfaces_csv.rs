//! `surfaces.csv`: what the ground is, stretch by stretch.

use crate::diagnostics::{FileId, Notes, SourceFile, Span};

/// A stretch of one surface. Columns `from_km`, `to_km` (or `_mi`), `surface`; official distances.
#[derive(Clone, Debug, PartialEq)]
pub struct SurfaceRow {
    /// Official distance at which it starts.
    pub from_m: f64,
    /// Official distance at which it ends.
    pub to_m: f64,
    /// What it is.
    pub surface: Surface,
    /// The row.
    pub span: Option<Span>,
}

/// The ground underfoot.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Surface {
    /// `paved`
    Paved,
    /// `track`: dirt or grass double track, forest road.
    Track,
    /// `smooth-trail`
    #[default]
    SmoothTrail,
    /// `rocky`: stones and roots that must be watched.
    Rocky,
    /// `rough`: boulders, river beds, off any path.
    Rough,
    /// `sand`: loose sand.
    Sand,
}

impl Surface {
    /// Every surface with its name in files.
    pub const NAMES: [(&'static str, Surface); 6] = [
        ("paved", Surface::Paved),
        ("track", Surface::Track),
        ("smooth-trail", Surface::SmoothTrail),
        ("rocky", Surface::Rocky),
        ("rough", Surface::Rough),
        ("sand", Surface::Sand),
    ];
}

/// Reads `surfaces.csv`.
pub fn read(_file: &SourceFile, _id: FileId, _notes: &mut Notes) -> Vec<SurfaceRow> {
    Vec::new()
}
