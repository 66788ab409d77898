//! `crew.toml`: who helps, whom to call, where to park, and how long they drive between places.

use crate::diagnostics::{Diagnostic, FileId, Notes, SourceFile, Spanned};

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
    /// `race_control`: the organiser's number on race day.
    pub race_control: Option<String>,
    /// `[phones]`: `"Name" = "number"`, of anybody whom the crew may have to call.
    pub phones: Vec<(String, String)>,
    /// `buffer_min`: how long before the early arrival they want to stand there; 15 by default.
    pub buffer_s: f64,
    /// `[[drive]]`
    pub drives: Vec<Drive>,
    /// `[[pacer]]`
    pub pacers: Vec<Pacer>,
    /// `[bring]`: `"Place" = ["thing", ...]`, to hand over besides food and gear.
    pub bring: Vec<(Spanned<String>, Vec<String>)>,
    /// `[[place]]`
    pub places: Vec<PlaceNote>,
}

/// A place where the crew meets the runner: `[[place]]`.
#[derive(Clone, Debug, PartialEq)]
pub struct PlaceNote {
    /// `name`: a place or a station.
    pub name: Spanned<String>,
    /// `directions`: how to get there.
    pub directions: Option<String>,
    /// `parking`: where to leave the car, and the walk from there.
    pub parking: Option<String>,
    /// `coordinates`: of the parking, latitude and longitude in degrees.
    pub coordinates_deg: Option<(f64, f64)>,
    /// `phone`: whom to call there.
    pub phone: Option<String>,
    /// `notes`: anything else, such as where there is no signal.
    pub notes: Option<String>,
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
    /// `who`: the one at the wheel, where that is settled.
    pub who: Option<String>,
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

/// The time before the early arrival at which the crew is there where the file does not say.
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
        race_control: top.text("race_control", r).map(|phone| phone.value),
        phones: top.section("phones", r, phones),
        buffer_s: top
            .number(&limits::CREW_BUFFER, r)
            .map_or(USUAL_BUFFER_S, |buffer| buffer.value),
        drives: top.sections("drive", r, drive),
        pacers: top.sections("pacer", r, pacer),
        bring: top.section("bring", r, bring),
        places: top.sections("place", r, place),
    }
}

fn phones(section: &mut Section<'_>, r: &mut Reading) -> Vec<(String, String)> {
    let mut numbers = Vec::new();
    for entry in section.take_all() {
        let name = check_text("name", entry.key, limits::NAME_CHARS, entry.key_span)
            .map_err(|problem| r.notes.push(problem));
        let number = entry.words(limits::NAME_CHARS, r);
        if let (Ok(name), Some(number)) = (name, number) {
            numbers.push((name, number.value));
        }
    }
    numbers
}

fn place(section: &mut Section<'_>, r: &mut Reading) -> Option<PlaceNote> {
    let name = section.name("name", r);
    let mut said = |key| section.sentence(key, r).map(|words| words.value);
    let (directions, parking, notes) = (said("directions"), said("parking"), said("notes"));
    let phone = section.text("phone", r).map(|phone| phone.value);
    let coordinates = section.text("coordinates", r).and_then(|written| {
        let read = coordinates(&written.value);
        if read.is_none() {
            r.notes.push(
                Diagnostic::error("`coordinates` are not two numbers of degrees").at(
                    written.span,
                    "expected latitude and longitude, such as \"46.7712, 11.6543\"",
                ),
            );
        }
        read
    });
    Some(PlaceNote {
        name: name?,
        directions,
        parking,
        coordinates_deg: coordinates,
        phone,
        notes,
    })
}

/// Latitude and longitude in decimal degrees, south and west negative.
fn coordinates(written: &str) -> Option<(f64, f64)> {
    let (lat, lon) = written.split_once(',')?;
    let (lat, lon): (f64, f64) = (lat.trim().parse().ok()?, lon.trim().parse().ok()?);
    ((-90.0..=90.0).contains(&lat) && (-180.0..=180.0).contains(&lon)).then_some((lat, lon))
}

fn drive(section: &mut Section<'_>, r: &mut Reading) -> Option<Drive> {
    let (from, to) = (section.name("from", r), section.name("to", r));
    let drive_s = section.needed(&limits::DRIVE, r);
    let who = section.text("who", r).map(|who| who.value);
    Some(Drive {
        from: from?,
        to: to?,
        drive_s: drive_s?,
        who,
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
