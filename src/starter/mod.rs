//! The folder of a new race as texts: the example, or one's own route with what is known of it.

mod edits;
mod known;
mod own;

pub use known::OwnRace;
pub use own::{NewFolder, StationSource, own_race};

/// One file of a new folder.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewFile {
    /// Its path in the folder, with forward slashes.
    pub path: String,
    /// Its contents.
    pub bytes: Vec<u8>,
}

impl NewFile {
    fn new(path: &str, text: impl Into<Vec<u8>>) -> NewFile {
        NewFile {
            path: path.to_owned(),
            bytes: text.into(),
        }
    }
}

/// The foods of the example, generic ones with their sources.
pub const PANTRY: &str = include_str!("files/pantry.csv");
/// The runner of the example.
pub const RUNNER: &str = include_str!("files/runner.toml");
const PLAN: &str = include_str!("files/plan.toml");
const GEAR: &str = include_str!("files/gear.csv");
const WEATHER: &str = include_str!("files/weather.csv");
const CREW: &str = include_str!("files/crew.toml");
const COURSE: &str = include_str!("files/course/course.toml");
const STATIONS: &str = include_str!("files/course/stations.csv");
const SURFACES: &str = include_str!("files/course/surfaces.csv");
const ROUTE: &str = include_str!("files/course/route.gpx");

/// The example: an invented hill race that plans as it is.
#[must_use]
pub fn example() -> Vec<NewFile> {
    [
        ("plan.toml", PLAN),
        ("runner.toml", RUNNER),
        ("pantry.csv", PANTRY),
        ("gear.csv", GEAR),
        ("weather.csv", WEATHER),
        ("crew.toml", CREW),
        ("course/course.toml", COURSE),
        ("course/stations.csv", STATIONS),
        ("course/surfaces.csv", SURFACES),
        ("course/route.gpx", ROUTE),
    ]
    .map(|(path, text)| NewFile::new(path, text))
    .into()
}
