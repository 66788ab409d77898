//! `course.toml`: what the organiser says about the race.

use chrono::NaiveDateTime;
use chrono_tz::Tz;

use crate::diagnostics::{Diagnostic, FileId, Notes, SourceFile, Spanned, did_you_mean};
use crate::words::folded;

use super::asked::{By, Or, Sentence, section};
use super::limits;
use super::stations_csv::CutoffOn;
use super::surfaces_csv::Surface;
use super::toml_reader::{self, Reading, Section};
use super::values::{quoted, with_hint};
use crate::words::named;

section! {
    /// The organiser's settings. In the file, keys are those in the comments; distances may be given
    /// as `_km` or `_mi`, climbs as `_m` or `_ft`.
    #[derive(Clone, Debug, PartialEq, Default)]
    pub struct CourseFile {
        /// `name`: the course's name.
        pub name: Option<String> = "name",
        /// `origin`: where the course data came from, printed with the course.
        pub origin: Option<String> = Sentence("origin"),
        /// `timezone`: an IANA zone such as `Europe/Vienna`.
        pub timezone: Option<Spanned<Tz>> = By(zone),
        /// `start`: the official start on the wall there, such as `2026-10-24T06:00`.
        pub start: Option<Spanned<NaiveDateTime>> = "start",
        /// `official_distance_km`
        pub official_distance_m: Option<Spanned<f64>> = &limits::OFFICIAL_DISTANCE,
        /// `official_climb_m`: scales the measured climb where given.
        pub official_climb_m: Option<Spanned<f64>> = &limits::OFFICIAL_CLIMB,
        /// `cutoffs_on`: `arrival` (default) or `departure`, for stations that do not say.
        pub cutoffs_on: CutoffOn = "cutoffs_on",
        /// `laps`: how often the route file is run in all, 1 by default.
        pub laps: u32 = Or(&limits::LAPS, 1),
        /// `surface`: what the ground is where `surfaces.csv` says nothing.
        pub surface: Surface = "surface",
        /// `heights`: where the heights of the route file come from.
        pub heights: HeightSource = "heights",
        /// `mandatory_kit`: items the organiser demands; each should be in `gear.csv`.
        pub mandatory_kit: Vec<Spanned<String>> = "mandatory_kit",
        /// `hand_in`: when and where the organiser takes the drop bags, as printed on their labels.
        pub hand_in: Option<String> = Sentence("hand_in"),
        /// `rules`: sentences from the race rules worth printing, such as where poles are forbidden.
        pub rules: Vec<String> = Sentence("rules"),
    }
}

named! {
    /// The origin of a route's heights, which decides how hard they are filtered.
    #[derive(Default)]
    pub enum HeightSource {
        /// `unknown`: turning points of 5 m count.
        #[default]
        Unknown = "unknown",
        /// `barometer`: recorded with a pressure sensor; turning points of 3 m count.
        Barometer = "barometer",
        /// `satellite`: satellite fixes alone; averaged over 50 m, turning points of 10 m count.
        Satellite = "satellite",
        /// `terrain-model`: looked up in a height model; turning points of 3 m count.
        TerrainModel = "terrain-model",
    }
}

/// Reads `course.toml`.
pub fn read(file: &SourceFile, id: FileId, notes: &mut Notes) -> CourseFile {
    toml_reader::read(file, id, notes, CourseFile::read)
        .flatten()
        .unwrap_or_default()
}

fn zone(section: &mut Section<'_>, r: &mut Reading) -> Option<Spanned<Tz>> {
    let entry = section.take("timezone", r)?;
    let typed = entry.words(limits::NAME_CHARS, r)?.value;
    let known = || chrono_tz::TZ_VARIANTS.iter();
    if let Some(zone) = known().find(|zone| folded(zone.name()) == folded(&typed)) {
        return Some(Spanned::at(*zone, entry.span));
    }
    let problem = Diagnostic::error(format!("`timezone` is {}", quoted(&typed))).at(
        entry.span,
        "expected a zone of the IANA list, such as `Europe/Vienna`",
    );
    // `CEST` is near `CET` in letters alone
    let is_short = typed.len() <= 5 && typed.chars().all(|c| c.is_ascii_uppercase());
    let hint = match is_short {
        true => Some(
            "an abbreviation is no zone: name a large town of the zone, as in `Europe/Vienna`"
                .to_owned(),
        ),
        false => did_you_mean(&typed, known().map(|zone| zone.name())),
    };
    r.notes.push(with_hint(problem, hint));
    None
}
