//! Invented courses, made from a seed and a short description.
//!
//! Every shipped course folder is the output of [`make`], so that nobody need wonder where a
//! track came from. Terrain is drawn with additions, multiplications, divisions and square roots
//! only, which IEEE 754 rounds the same way everywhere, so the files are the same bytes on every
//! machine.

pub mod chance;
mod hill_laps;
mod line;
mod local;
pub mod long_runs;
mod night_hundred;
mod spec;
mod starter;
mod tables;
mod track;
mod traverse;

pub use line::Line;
pub use spec::Spec;
pub use track::Sample;

/// A course folder below the crate's root, and what belongs in it.
pub struct Folder {
    /// Where it lies, with forward slashes.
    pub path: &'static str,
    /// File names with their texts; text files of the starter are written by hand and not here.
    pub files: Vec<(&'static str, String)>,
}

/// Every course that the generator makes, by name.
pub const NAMES: [&str; 4] = ["velprek-50k", "torvena-100k", "wolkenried-100mi", "starter"];

/// Routes of the demo's runner, by name: a track and nothing else.
pub const LOCAL: [&str; 2] = ["local-hills", "local-river"];

/// The description of a course.
#[track_caller]
pub fn spec(name: &str) -> Spec {
    match name {
        "velprek-50k" => hill_laps::spec(),
        "torvena-100k" => traverse::spec(),
        "wolkenried-100mi" => night_hundred::spec(),
        "starter" => starter::spec(),
        "local-hills" => local::hills(),
        "local-river" => local::river(),
        _ => panic!("no course is called {name}"),
    }
}

/// The files of a course: a pure function of its name.
#[track_caller]
pub fn make(name: &str) -> Folder {
    let spec = spec(name);
    let line = Line::lay(&spec);
    let samples = track::sample(&spec, &line);
    let mut files = vec![(
        "route.gpx",
        track::to_gpx(
            spec.title,
            "An invented course: do not try to run it.",
            &samples,
        ),
    )];
    if !spec.stations.is_empty() {
        let places = tables::Placed::find(&spec, &line);
        files.push(("stations.csv", tables::stations(&spec, &places)));
        files.push(("surfaces.csv", tables::surfaces(&spec, &places)));
        files.push(("course.toml", tables::settings(&spec, &line, &places)));
    }
    if let Some(field) = &spec.field {
        files.push(("results.csv", tables::results(&spec, field)));
    }
    Folder {
        path: spec.folder,
        files,
    }
}

/// What the GPS saw beside what is there, for checks of the noise.
#[track_caller]
pub fn samples(name: &str) -> Vec<Sample> {
    let spec = spec(name);
    track::sample(&spec, &Line::lay(&spec))
}
