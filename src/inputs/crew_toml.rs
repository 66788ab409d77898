//! `crew.toml`: who helps, whom to call, where to park, and how long they drive between places.

use crate::diagnostics::{Diagnostic, FileId, Notes, SourceFile, Spanned};

use super::asked::{By, Each, Or, Sentence, Within, section};
use super::limits;
use super::toml_reader::{self, Reading, Section};

section! {
    /// The crew.
    #[derive(Clone, Debug, PartialEq, Default)]
    pub struct CrewFile {
        /// `crew`: names.
        pub crew: Vec<String> = "crew",
        /// `phone`: printed on what they carry.
        pub phone: Option<String> = "phone",
        /// `race_control`: the organiser's number on race day.
        pub race_control: Option<String> = "race_control",
        /// `[phones]`: `"Name" = "number"`, of anybody whom the crew may have to call.
        pub phones: Vec<(String, String)> = Within("phones", phones),
        /// `buffer_min`: how long before the early arrival they want to stand there; 15 by default.
        pub buffer_s: f64 = Or(&limits::CREW_BUFFER, USUAL_BUFFER_S),
        /// `[[drive]]`
        pub drives: Vec<Drive> = Each("drive", Drive::read),
        /// `[[pacer]]`
        pub pacers: Vec<Pacer> = Each("pacer", Pacer::read),
        /// `[bring]`: `"Place" = ["thing", ...]`, to hand over besides food and gear.
        pub bring: Vec<(Spanned<String>, Vec<String>)> = Within("bring", bring),
        /// `[[place]]`
        pub places: Vec<PlaceNote> = Each("place", PlaceNote::read),
    }

    /// A place where the crew meets the runner: `[[place]]`.
    #[derive(Clone, Debug, PartialEq)]
    pub struct PlaceNote {
        /// `name`: a place or a station.
        pub name: Spanned<String> = "name",
        /// `directions`: how to get there.
        pub directions: Option<String> = Sentence("directions"),
        /// `parking`: where to leave the car, and the walk from there.
        pub parking: Option<String> = Sentence("parking"),
        /// `coordinates`: of the parking, latitude and longitude in degrees.
        pub coordinates_deg: Option<(f64, f64)> = By(coordinates),
        /// `phone`: whom to call there.
        pub phone: Option<String> = "phone",
        /// `notes`: anything else, such as where there is no signal.
        pub notes: Option<String> = Sentence("notes"),
    }

    /// One drive: `[[drive]]`, good in both directions.
    #[derive(Clone, Debug, PartialEq)]
    pub struct Drive {
        /// `from`: a place.
        pub from: Spanned<String> = "from",
        /// `to`: a place.
        pub to: Spanned<String> = "to",
        /// `minutes`
        pub drive_s: f64 = &limits::DRIVE,
        /// `who`: the one at the wheel, where that is settled.
        pub who: Option<String> = "who",
    }

    /// Someone who runs along: `[[pacer]]`.
    #[derive(Clone, Debug, PartialEq)]
    pub struct Pacer {
        /// `name`
        pub name: String = "name",
        /// `from`: the station where they join.
        pub from: Spanned<String> = "from",
        /// `to`: the station where they stop.
        pub to: Spanned<String> = "to",
    }
}

/// The time before the early arrival at which the crew is there where the file does not say.
const USUAL_BUFFER_S: f64 = 15.0 * 60.0;

/// Reads `crew.toml`.
pub fn read(file: &SourceFile, id: FileId, notes: &mut Notes) -> Option<CrewFile> {
    toml_reader::read(file, id, notes, CrewFile::read).flatten()
}

fn phones(section: &mut Section<'_>, r: &mut Reading) -> Option<Vec<(String, String)>> {
    let mut numbers = Vec::new();
    for entry in section.take_all() {
        let (name, number) = (entry.named("name", r), entry.words(limits::NAME_CHARS, r));
        numbers.extend(
            name.zip(number)
                .map(|(name, number)| (name.value, number.value)),
        );
    }
    Some(numbers)
}

fn bring(
    section: &mut Section<'_>,
    r: &mut Reading,
) -> Option<Vec<(Spanned<String>, Vec<String>)>> {
    let mut things = Vec::new();
    for entry in section.take_all() {
        let place = entry.named("place", r);
        let listed = entry.list("text in quotes", r, |entry, r| {
            entry.words(limits::NAME_CHARS, r)
        });
        let listed = listed.into_iter().map(|thing| thing.value).collect();
        things.extend(place.map(|place| (place, listed)));
    }
    Some(things)
}

/// Latitude and longitude in decimal degrees, south and west negative.
fn coordinates(section: &mut Section<'_>, r: &mut Reading) -> Option<(f64, f64)> {
    let written = section.words("coordinates", limits::NAME_CHARS, r)?;
    let degrees = |text: &str, most: f64| -> Option<f64> {
        let number = text.trim().parse().ok()?;
        (-most..=most).contains(&number).then_some(number)
    };
    let pair = written.value.split_once(',');
    let pair = pair.and_then(|(lat, lon)| Some((degrees(lat, 90.0)?, degrees(lon, 180.0)?)));
    if pair.is_none() {
        r.notes.push(
            Diagnostic::error("`coordinates` are not two numbers of degrees").at(
                written.span,
                "expected latitude and longitude, such as \"46.7712, 11.6543\"",
            ),
        );
    }
    pair
}
