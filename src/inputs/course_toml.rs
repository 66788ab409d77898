//! `course.toml`: what the organiser says about the race.

use chrono::NaiveDateTime;
use chrono_tz::Tz;

use crate::diagnostics::{Diagnostic, FileId, Notes, SourceFile, Spanned, did_you_mean};
use crate::words::folded;

use super::limits;
use super::stations_csv::CutoffOn;
use super::surfaces_csv::Surface;
use super::toml_reader::{self, Entry, Reading, Section};
use super::values::{quoted, with_hint};

/// The organiser's settings. In the file, keys are those in the comments; distances may be given
/// as `_km` or `_mi`, climbs as `_m` or `_ft`.
#[derive(Clone, Debug, PartialEq)]
pub struct CourseFile {
    /// `name`: the course's name.
    pub name: Option<String>,
    /// `origin`: where the course data came from, printed with the course.
    pub origin: Option<String>,
    /// `timezone`: an IANA zone such as `Europe/Vienna`.
    pub timezone: Option<Spanned<Tz>>,
    /// `start`: the official start on the wall there, such as `2026-10-24T06:00`.
    pub start: Option<Spanned<NaiveDateTime>>,
    /// `official_distance_km`
    pub official_distance_m: Option<Spanned<f64>>,
    /// `official_climb_m`: scales the measured climb where given.
    pub official_climb_m: Option<Spanned<f64>>,
    /// `cutoffs_on`: `arrival` (default) or `departure`, for stations that do not say.
    pub cutoffs_on: CutoffOn,
    /// `laps`: how often the route file is run in all, 1 by default.
    pub laps: u32,
    /// `surface`: what the ground is where `surfaces.csv` says nothing.
    pub surface: Surface,
    /// `heights`: where the heights of the route file come from.
    pub heights: HeightSource,
    /// `mandatory_kit`: items the organiser demands; each should be in `gear.csv`.
    pub mandatory_kit: Vec<Spanned<String>>,
    /// `hand_in`: when and where the organiser takes the drop bags, as printed on their labels.
    pub hand_in: Option<String>,
    /// `rules`: sentences from the race rules worth printing, such as where poles are forbidden.
    pub rules: Vec<String>,
}

impl Default for CourseFile {
    fn default() -> Self {
        CourseFile {
            name: None,
            origin: None,
            timezone: None,
            start: None,
            official_distance_m: None,
            official_climb_m: None,
            cutoffs_on: CutoffOn::Arrival,
            laps: 1,
            surface: Surface::SmoothTrail,
            heights: HeightSource::Unknown,
            mandatory_kit: Vec::new(),
            hand_in: None,
            rules: Vec::new(),
        }
    }
}

/// The origin of a route's heights, which decides how hard they are filtered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum HeightSource {
    /// `unknown`: turning points of 5 m count.
    #[default]
    Unknown,
    /// `barometer`: recorded with a pressure sensor; turning points of 3 m count.
    Barometer,
    /// `satellite`: satellite fixes alone; averaged over 50 m, turning points of 10 m count.
    Satellite,
    /// `terrain-model`: looked up in a height model; turning points of 3 m count.
    TerrainModel,
}

impl HeightSource {
    /// Every source with its name in files.
    pub const NAMES: [(&'static str, HeightSource); 4] = [
        ("unknown", HeightSource::Unknown),
        ("barometer", HeightSource::Barometer),
        ("satellite", HeightSource::Satellite),
        ("terrain-model", HeightSource::TerrainModel),
    ];
}

/// Reads `course.toml`.
pub fn read(file: &SourceFile, id: FileId, notes: &mut Notes) -> CourseFile {
    toml_reader::read(file, id, notes, course).unwrap_or_default()
}

fn course(top: &mut Section<'_>, r: &mut Reading) -> CourseFile {
    CourseFile {
        name: top.text("name", r).map(|name| name.value),
        origin: top.sentence("origin", r).map(|origin| origin.value),
        timezone: top.take("timezone", r).and_then(|entry| zone(&entry, r)),
        start: top.local_time("start", r),
        official_distance_m: top.number(&limits::OFFICIAL_DISTANCE, r),
        official_climb_m: top.number(&limits::OFFICIAL_CLIMB, r),
        cutoffs_on: top
            .choice("cutoffs_on", &CutoffOn::NAMES, r)
            .unwrap_or_default(),
        laps: top.whole(&limits::LAPS, r).unwrap_or(1),
        surface: top
            .choice("surface", &Surface::NAMES, r)
            .unwrap_or_default(),
        heights: top
            .choice("heights", &HeightSource::NAMES, r)
            .unwrap_or_default(),
        mandatory_kit: top.texts("mandatory_kit", limits::NAME_CHARS, r),
        hand_in: top.sentence("hand_in", r).map(|words| words.value),
        rules: top
            .texts("rules", limits::SENTENCE_CHARS, r)
            .into_iter()
            .map(|rule| rule.value)
            .collect(),
    }
}

fn zone(entry: &Entry<'_>, r: &mut Reading) -> Option<Spanned<Tz>> {
    let typed = entry.words(limits::NAME_CHARS, r)?.value;
    let known = || chrono_tz::TZ_VARIANTS.iter();
    if let Some(zone) = known().find(|zone| folded(zone.name()) == folded(&typed)) {
        return Some(Spanned::at(*zone, entry.span));
    }
    let problem = Diagnostic::error(format!("`timezone` is {}", quoted(&typed))).at(
        entry.span,
        "expected a zone of the IANA list, such as `Europe/Vienna`",
    );
    let hint = did_you_mean(&typed, known().map(|zone| zone.name()));
    r.notes.push(with_hint(problem, hint));
    None
}
