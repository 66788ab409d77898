//! `crew.toml`: who helps, and how long they drive between places.

use crate::diagnostics::{FileId, Notes, SourceFile, Spanned};

/// The crew.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct CrewFile {
    /// `crew`: names.
    pub crew: Vec<String>,
    /// `phone`: printed on what they carry.
    pub phone: Option<String>,
    /// `buffer_min`: how long before the early arrival they want to stand there; 15 by default.
    pub buffer_s: f64,
    /// `[[drive]]`
    pub drives: Vec<Drive>,
    /// `[[pacer]]`
    pub pacers: Vec<Pacer>,
    /// `[bring]`: `"Place" = ["thing", ...]`, to hand over besides food and gear.
    pub bring: Vec<(Spanned<String>, Vec<String>)>,
}

/// One drive: `[[drive]]`, good in both directions.
#[derive(Clone, Debug, PartialEq)]
pub struct Drive {
    /// `from`: a place.
    pub from: Spanned<String>,
    /// `to`: a place.
    pub to: Spanned<String>,
    /// `minutes`
    pub drive_s: f64,
}

/// Someone who runs along: `[[pacer]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct Pacer {
    /// `name`
    pub name: String,
    /// `from`: the station where they join.
    pub from: Spanned<String>,
    /// `to`: the station where they stop.
    pub to: Spanned<String>,
}

/// Reads `crew.toml`.
pub fn read(_file: &SourceFile, _id: FileId, _notes: &mut Notes) -> Option<CrewFile> {
    None
}
