//! `course.toml`: what the organiser says about the race.

use chrono::NaiveDateTime;
use chrono_tz::Tz;

use crate::diagnostics::{FileId, Notes, SourceFile, Spanned};

use super::stations_csv::CutoffOn;
use super::surfaces_csv::Surface;

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
            rules: Vec::new(),
        }
    }
}

/// Where the heights of a route come from, which decides how hard they are filtered.
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

/// Reads `course.toml`.
pub fn read(_file: &SourceFile, _id: FileId, _notes: &mut Notes) -> CourseFile {
    CourseFile::default()
}
