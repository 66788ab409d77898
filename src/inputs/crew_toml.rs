//! `crew.toml`: who helps, and how long they drive between places.

use crate::diagnostics::{FileId, Notes, SourceFile, Spanned};

use super::limits;
use super::toml_reader::{self, Reading, Section};
use super::values::check_text;

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

/// How long before the early arrival the crew is there where the file does not say.
const USUAL_BUFFER_S: f64 = 15.0 * 60.0;

/// Reads `crew.toml`.
pub fn read(file: &SourceFile, id: FileId, notes: &mut Notes) -> Option<CrewFile> {
    toml_reader::read(file, id, notes, crew)
}

fn crew(top: &mut Section<'_>, r: &mut Reading) -> CrewFile {
    let names = top.texts("crew", limits::NAME_CHARS, r);
    CrewFile {
        crew: names.into_iter().map(|name| name.value).collect(),
        phone: top.text("phone", r).map(|phone| phone.value),
        buffer_s: top
            .number(&limits::CREW_BUFFER, r)
            .map_or(USUAL_BUFFER_S, |buffer| buffer.value),
        drives: top.sections("drive", r, drive),
        pacers: top.sections("pacer", r, pacer),
        bring: top.section("bring", r, bring),
    }
}

fn drive(section: &mut Section<'_>, r: &mut Reading) -> Option<Drive> {
    let (from, to) = (section.name("from", r), section.name("to", r));
    let drive_s = section.needed(&limits::DRIVE, r);
    Some(Drive {
        from: from?,
        to: to?,
        drive_s: drive_s?,
    })
}

fn pacer(section: &mut Section<'_>, r: &mut Reading) -> Option<Pacer> {
    let name = section.name("name", r);
    let (from, to) = (section.name("from", r), section.name("to", r));
    Some(Pacer {
        name: name?.value,
        from: from?,
        to: to?,
    })
}

fn bring(section: &mut Section<'_>, r: &mut Reading) -> Vec<(Spanned<String>, Vec<String>)> {
    let mut things = Vec::new();
    for entry in section.take_all() {
        let place = check_text("place", entry.key, limits::NAME_CHARS, entry.key_span)
            .map_err(|problem| r.notes.push(problem));
        let listed = entry.list("text in quotes", r, |entry, r| {
            entry.words(limits::NAME_CHARS, r)
        });
        if let Ok(place) = place {
            let listed = listed.into_iter().map(|thing| thing.value).collect();
            things.push((Spanned::at(place, entry.key_span), listed));
        }
    }
    things
}
