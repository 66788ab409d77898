//! `route.gpx`: the track of the course, GPX 1.0 or 1.1.
//!
//! [`decode()`] makes text of the bytes, [`read`] makes a [`Track`] of the text, in one pass:
//!
//! 1. The prologue says whether it is a GPX file at all (`prologue`); a file that declares
//!    entities stops here, so nothing is ever expanded.
//! 2. The elements of GPX (`document`) give their points to `lines`; the markup under them
//!    (`markup`, on `quick-xml`) borrows from the text and goes no deeper than 100 elements.
//! 3. The route is picked out of what was found, and what a runner should know about it is said
//!    (`gather`).
//!
//! The route: all segments of all tracks, in the order of the file; where there is no
//! track of two points, all routes likewise. Source of the structure: the GPX 1.1 and 1.0 schemas,
//! <https://www.topografix.com/GPX/1/1/> and <https://www.topografix.com/GPX/1/0/>.

mod decode;
mod prologue;

mod document;
mod lines;
mod markup;
mod place;
mod problems;
mod times;
mod values;

mod found;
mod gather;
#[cfg(test)]
mod tests;

use crate::diagnostics::{FileId, Notes, SourceFile, Span, Spanned};

pub use decode::decode;

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
    /// when it was recorded, seconds since 1970-01-01T00:00:00Z, where the file has it
    pub time_s: Option<f64>,
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

/// The most bytes that are read: a 100-mile run recorded every second with every sensor is below
/// 60 MB.
pub const MOST_BYTES: usize = 200_000_000;

/// The most points that are read: eleven days at a point per second.
pub const MOST_POINTS: usize = 1_000_000;

/// Reads a track.
///
/// Says in `notes` what is wrong. Where that includes errors, the track is what could be made out.
///
/// ```
/// use sutler::diagnostics::{Notes, Sources};
/// use sutler::inputs::route_gpx;
///
/// let bytes = br#"<gpx version="1.1"><trk><trkseg>
///     <trkpt lat="46.51" lon="7.12"><ele>880</ele><time>1970-01-01T01:00:00Z</time></trkpt>
///     <trkpt lat="46.52" lon="7.13"/>
/// </trkseg></trk></gpx>"#;
/// let file = route_gpx::decode("route.gpx", bytes.to_vec()).map_err(|d| d.message)?;
/// let (mut sources, mut notes) = (Sources::default(), Notes::new());
/// let track = route_gpx::read(&file, sources.add(file.clone()), &mut notes);
/// assert!(notes.is_empty());
/// assert_eq!(track.points.len(), 2);
/// assert_eq!(track.points[0].elevation_m, Some(880.0));
/// assert_eq!(track.points[0].time_s, Some(3600.0));
/// # Ok::<(), String>(())
/// ```
pub fn read(file: &SourceFile, id: FileId, notes: &mut Notes) -> Track {
    let prologue = match prologue::read(file, id) {
        Ok(prologue) => prologue,
        Err(problem) => {
            notes.push(*problem);
            return Track {
                span: Some(Span::new(id, 0..file.text.len())),
                ..Track::default()
            };
        }
    };
    let found = document::read(&file.text, prologue.body, id, MOST_POINTS);
    gather::track(found, &prologue, file, id, notes)
}

/// Blanks between elements, and what stands for them in files that a crash padded.
fn is_blank(c: char) -> bool {
    c.is_whitespace() || c == '\u{feff}' || c == '\0'
}
