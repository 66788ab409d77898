//! Text to plain records: file formats, no arithmetic of the trade.
//!
//! Each file of the runner and of the course folder has a module that owns its record and its
//! reader. A reader takes a text, says what is wrong with it in [`Notes`] and returns what it
//! could make out, so that one run shows every problem of every file. Allowed ranges stand in one
//! table, [`limits`].

pub mod course_toml;
pub mod crew_toml;
pub mod delimited;
pub mod gear_csv;
pub mod intake_csv;
pub mod limits;
pub mod pantry_csv;
pub mod pasted;
pub mod plan_toml;
mod record_lines;
pub mod record_toml;
pub mod results_csv;
pub mod rhythm;
pub mod route_gpx;
pub mod runner_toml;
pub mod stations_csv;
pub mod surfaces_csv;
pub mod weather_csv;
pub mod zones;

mod asked;
mod cells;
mod contradictions;
mod cutoff;
mod cutoff_order;
mod headings;
mod mentions;
mod moments;
mod past;
mod plausible;
mod said;
mod serving_unit;
mod settings;
mod synonyms;
mod table;
mod target;
mod toml_reader;
mod toml_words;
mod values;
mod word_lists;

use crate::diagnostics::{Diagnostic, FileId, Notes, Severity, SourceFile, Sources};
use crate::time::Elapsed;

pub use course_toml::CourseFile;
pub use crew_toml::CrewFile;
pub use gear_csv::GearItem;
pub use intake_csv::LogRow;
pub use pantry_csv::Food;
pub use past::PastResult;
pub use plan_toml::PlanFile;
pub use record_toml::RunRecord;
pub use route_gpx::Track;
pub use runner_toml::RunnerFile;
pub use serving_unit::counted;
pub use stations_csv::StationRow;
pub use surfaces_csv::SurfaceRow;
pub use target::Target;
pub use values::{date, local_time};
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
    /// `results.csv`
    pub results: Option<SourceFile>,
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
    /// `long-runs/record.toml`
    pub record: Option<SourceFile>,
    /// The log of one long run, where it is debriefed.
    pub log: Option<SourceFile>,
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
    /// Finish times of a former edition; empty where there is no list.
    pub results: Vec<Elapsed>,
    /// The runner; defaults where there is no file.
    pub runner: RunnerFile,
    /// Foods the runner owns or stations offer.
    pub pantry: Vec<Food>,
    /// True where the foods are generic ones that the runner did not write.
    pub generic_foods: bool,
    /// Gear that may be carried.
    pub gear: Vec<GearItem>,
    /// Forecast rows; empty where there is no forecast.
    pub weather: Vec<WeatherRow>,
    /// The crew, where there is one.
    pub crew: Option<CrewFile>,
    /// Long runs that were debriefed, in the order of the record.
    pub record: Vec<RunRecord>,
    /// The log of the long run that is debriefed.
    pub log: Vec<LogRow>,
}

/// Reads every text, and the contradictions between them.
///
/// `sources` keeps the texts for messages. Where `notes` has errors afterwards, the records are
/// what could be made out and no plan should be made from them.
pub fn read(texts: Texts, sources: &mut Sources, notes: &mut Notes) -> Inputs {
    let mut reader = TextReader { sources, notes };
    let routed = texts.route.is_some() || texts.stations.is_some();
    let inputs = Inputs {
        plan: reader.read(texts.plan, plan_toml::read),
        course: reader.read(texts.course, course_toml::read),
        track: reader.read(texts.route, route_gpx::read),
        stations: reader.read(texts.stations, stations_csv::read),
        surfaces: reader.read(texts.surfaces, surfaces_csv::read),
        results: reader.read(texts.results, results_csv::read),
        runner: reader.read(texts.runner, runner_toml::read),
        pantry: reader.read(texts.pantry, pantry_csv::read),
        generic_foods: false,
        gear: reader.read(texts.gear, gear_csv::read),
        weather: reader.read(texts.weather, weather_csv::read),
        crew: reader.read(texts.crew, crew_toml::read),
        record: reader.read(texts.record, record_toml::read),
        log: reader.read(texts.log, intake_csv::read),
    };
    contradictions::check(&inputs, routed, sources, notes);
    inputs
}

/// A reader of texts one after the other.
struct TextReader<'a> {
    sources: &'a mut Sources,
    notes: &'a mut Notes,
}

impl TextReader<'_> {
    fn read<T: Default>(
        &mut self,
        file: Option<SourceFile>,
        reader: impl FnOnce(&SourceFile, FileId, &mut Notes) -> T,
    ) -> T {
        let Some(file) = file else {
            return T::default();
        };
        let id = self.sources.add(file.clone());
        let mut said = Notes::new();
        let record = reader(&file, id, &mut said);
        self.notes.extend(in_order(&file, said));
        record
    }
}

/// Notes about one file, top-down, and no more than anyone reads.
fn in_order(file: &SourceFile, said: Notes) -> Notes {
    let mut all: Vec<&Diagnostic> = said.all().iter().collect();
    all.sort_by_key(|problem| problem.at.map_or(usize::MAX, |span| span.start));
    let mut kept = Notes::new();
    if all.len() <= limits::PROBLEMS_SHOWN {
        all.into_iter()
            .for_each(|problem| kept.push(problem.clone()));
        return kept;
    }
    // Errors first: a warning must not push one out.
    all.sort_by_key(|problem| std::cmp::Reverse(problem.severity));
    let left = all.split_off(limits::PROBLEMS_SHOWN);
    all.into_iter()
        .for_each(|problem| kept.push(problem.clone()));
    kept.push(Diagnostic {
        severity: left.first().map_or(Severity::Error, |first| first.severity),
        ..Diagnostic::error(format!("{} more problems in `{}`", left.len(), file.name))
    });
    kept
}
