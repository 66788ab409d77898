//! Text to plain records: file formats, no arithmetic of the trade.
//!
//! Each file of the runner and of the course folder has a module that owns its record and its
//! reader. A reader takes a text, says what is wrong with it in [`Notes`] and returns what it
//! could make out, so that one run shows every problem of every file. Allowed ranges stand in one
//! table, [`limits`].

pub mod course_toml;
pub mod crew_toml;
pub mod gear_csv;
pub mod limits;
pub mod pantry_csv;
pub mod plan_toml;
pub mod route_gpx;
pub mod runner_toml;
pub mod stations_csv;
pub mod surfaces_csv;
pub mod weather_csv;

mod table;
mod toml_reader;

use crate::diagnostics::{Notes, SourceFile, Sources};

pub use course_toml::CourseFile;
pub use crew_toml::CrewFile;
pub use gear_csv::GearItem;
pub use pantry_csv::Food;
pub use plan_toml::PlanFile;
pub use route_gpx::Track;
pub use runner_toml::RunnerFile;
pub use stations_csv::StationRow;
pub use surfaces_csv::SurfaceRow;
pub use weather_csv::WeatherRow;

/// The texts of one plan, not yet read; a file the user does not have is `None`.
#[derive(Clone, Debug, Default)]
pub struct Texts {
    /// `plan.toml`
    pub plan: Option<SourceFile>,
    /// `course.toml`
    pub course: Option<SourceFile>,
    /// `route.gpx`
    pub route: Option<SourceFile>,
    /// `stations.csv`
    pub stations: Option<SourceFile>,
    /// `surfaces.csv`
    pub surfaces: Option<SourceFile>,
    /// `runner.toml`
    pub runner: Option<SourceFile>,
    /// `pantry.csv`
    pub pantry: Option<SourceFile>,
    /// `gear.csv`
    pub gear: Option<SourceFile>,
    /// `weather.csv`
    pub weather: Option<SourceFile>,
    /// `crew.toml`
    pub crew: Option<SourceFile>,
}

/// Everything the user wrote, as records.
#[derive(Clone, Debug, Default)]
pub struct Inputs {
    /// The plan's settings; defaults where there is no file.
    pub plan: PlanFile,
    /// The course's settings; defaults where there is no file.
    pub course: CourseFile,
    /// The route.
    pub track: Track,
    /// The stations in course order, as listed; empty where there is no list.
    pub stations: Vec<StationRow>,
    /// Stretches of surface; the course's default elsewhere.
    pub surfaces: Vec<SurfaceRow>,
    /// The runner; defaults where there is no file.
    pub runner: RunnerFile,
    /// Foods the runner owns or stations offer.
    pub pantry: Vec<Food>,
    /// Gear that may be carried.
    pub gear: Vec<GearItem>,
    /// Forecast rows; empty where there is no forecast.
    pub weather: Vec<WeatherRow>,
    /// The crew, where there is one.
    pub crew: Option<CrewFile>,
}

/// Reads every text, and the contradictions between them.
///
/// `sources` keeps the texts for messages. Where `notes` has errors afterwards, the records are
/// what could be made out and no plan should be made from them.
pub fn read(texts: Texts, sources: &mut Sources, notes: &mut Notes) -> Inputs {
    let mut inputs = Inputs::default();
    let mut each =
        |file: Option<SourceFile>,
         reader: &mut dyn FnMut(&SourceFile, crate::diagnostics::FileId, &mut Notes)| {
            if let Some(file) = file {
                let id = sources.add(file.clone());
                reader(&file, id, notes);
            }
        };
    each(texts.plan, &mut |f, id, n| {
        inputs.plan = plan_toml::read(f, id, n)
    });
    each(texts.course, &mut |f, id, n| {
        inputs.course = course_toml::read(f, id, n)
    });
    each(texts.route, &mut |f, id, n| {
        inputs.track = route_gpx::read(f, id, n)
    });
    each(texts.stations, &mut |f, id, n| {
        inputs.stations = stations_csv::read(f, id, n)
    });
    each(texts.surfaces, &mut |f, id, n| {
        inputs.surfaces = surfaces_csv::read(f, id, n)
    });
    each(texts.runner, &mut |f, id, n| {
        inputs.runner = runner_toml::read(f, id, n)
    });
    each(texts.pantry, &mut |f, id, n| {
        inputs.pantry = pantry_csv::read(f, id, n)
    });
    each(texts.gear, &mut |f, id, n| {
        inputs.gear = gear_csv::read(f, id, n)
    });
    each(texts.weather, &mut |f, id, n| {
        inputs.weather = weather_csv::read(f, id, n)
    });
    each(texts.crew, &mut |f, id, n| {
        inputs.crew = crew_toml::read(f, id, n)
    });
    inputs
}
