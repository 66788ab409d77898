//! Races planned through the library, as the command would plan them.

use std::path::Path;

use sutler::diagnostics::{Notes, SourceFile, Sources, Spanned, render};
use sutler::facts::Facts;
use sutler::inputs::{self, Inputs, Texts};
use sutler::plan::{Plan, Race};
use sutler::reports::formats::{FORMATS, TextSurface};
use sutler::reports::{self, View};
use sutler::time::Elapsed;
use sutler::units::Units;

use super::case::in_repository;

/// A race read and prepared, with all that was said about its files.
pub struct Prepared {
    pub inputs: Inputs,
    pub race: Race,
    pub notes: Notes,
    pub sources: Sources,
}

/// A race and its plans, the plan's own finish first.
pub struct Planned {
    pub prepared: Prepared,
    pub plans: Vec<Plan>,
}

/// A report of some facts in a format, nothing wrapped.
pub fn report(facts: &Facts, name: &str, format: &str) -> String {
    let report = reports::by_name(name).unwrap();
    let format = FORMATS.iter().find(|one| one.name == format).unwrap();
    let page = TextSurface {
        width: 10_000,
        colour: false,
    };
    (format.write)(&(report.build)(facts), &page)
}

/// The folder and file of every plan that is shipped.
pub const PLANS: [&str; 4] = [
    "demo-data/plan.toml",
    "demo-data/plan-50k.toml",
    "demo-data/plan-100k.toml",
    "src/starter/files/plan.toml",
];

/// The texts that a plan of the repository names, found as the command finds them.
pub fn texts_of_plan(plan: &str) -> Texts {
    let folder = Path::new(plan).parent().unwrap().to_str().unwrap();
    let file = |below: String| {
        let text = std::fs::read_to_string(in_repository(&below)).ok()?;
        Some(SourceFile::new(below, text))
    };
    let text = file(plan.to_owned()).unwrap_or_else(|| panic!("no {plan}"));
    let settings: toml::Table = text.text.parse().unwrap();
    let named = |key: &str, usual: &str| {
        let own = settings
            .get("files")
            .and_then(|files| files.get(key)?.as_str());
        file(format!("{folder}/{}", own.unwrap_or(usual)))
    };
    let course = format!("{folder}/{}", settings["course"].as_str().unwrap());
    let one_forecast = settings.contains_key("forecast");
    Texts {
        course: file(format!("{course}/course.toml")),
        route: file(format!("{course}/route.gpx")),
        stations: file(format!("{course}/stations.csv")),
        surfaces: file(format!("{course}/surfaces.csv")),
        results: file(format!("{course}/results.csv")),
        runner: named("runner", "runner.toml"),
        pantry: named("pantry", "pantry.csv"),
        gear: named("gear", "gear.csv"),
        record: named("record", "long-runs/record.toml"),
        log: None,
        weather: (!one_forecast)
            .then(|| named("weather", "weather.csv"))
            .flatten(),
        crew: named("crew", "crew.toml"),
        plan: Some(text),
    }
}

impl Prepared {
    /// Reads and prepares, for finishes up to the longest.
    #[track_caller]
    pub fn read(texts: Texts, longest: Elapsed) -> Prepared {
        let (mut sources, mut notes) = (Sources::default(), Notes::new());
        let inputs = inputs::read(texts, &mut sources, &mut notes);
        let race = Race::prepare(&inputs, longest, &mut notes);
        match race {
            Some(race) if !notes.has_errors() => Prepared {
                inputs,
                race,
                notes,
                sources,
            },
            _ => panic!("no race:\n{}", render(&sources, notes.all(), false)),
        }
    }

    /// Plans one finish.
    #[track_caller]
    pub fn plan(&self, finish: Elapsed) -> Plan {
        self.try_plan(finish)
            .unwrap_or_else(|said| panic!("{said}"))
    }

    /// Plans one finish, or tells what was said instead.
    pub fn try_plan(&self, finish: Elapsed) -> Result<Plan, String> {
        let mut notes = Notes::new();
        self.race
            .plan(&self.inputs, Spanned::unwritten(finish), &mut notes)
            .ok_or_else(|| render(&self.sources, notes.all(), false))
    }

    /// As [`Prepared::try_plan`] for a runner without foods: times alone, far from any meal.
    pub fn try_times(&self, finish: Elapsed) -> Result<Plan, String> {
        let inputs = Inputs {
            pantry: Vec::new(),
            ..self.inputs.clone()
        };
        let mut notes = Notes::new();
        self.race
            .plan(&inputs, Spanned::unwritten(finish), &mut notes)
            .ok_or_else(|| render(&self.sources, notes.all(), false))
    }

    /// Everything that was said about the files, in words.
    pub fn said(&self) -> String {
        render(&self.sources, self.notes.all(), false)
    }
}

impl Planned {
    /// One of the shipped plans with all its finishes.
    #[track_caller]
    pub fn shipped(plan: &str) -> Planned {
        let texts = texts_of_plan(plan);
        let (mut sources, mut notes) = (Sources::default(), Notes::new());
        let settings = texts.plan.clone().map(|file| {
            let id = sources.add(file.clone());
            inputs::plan_toml::read(&file, id, &mut notes)
        });
        let settings = settings.unwrap_or_default();
        let finishes = settings.finish.iter().chain(&settings.other_finishes);
        Planned::of(
            texts,
            &finishes.map(|finish| finish.value).collect::<Vec<_>>(),
        )
    }

    /// Any texts with any finishes.
    #[track_caller]
    pub fn of(texts: Texts, finishes: &[Elapsed]) -> Planned {
        let longest = finishes.iter().copied().max().unwrap_or_default();
        let prepared = Prepared::read(texts, longest);
        let plans = finishes
            .iter()
            .map(|finish| prepared.plan(*finish))
            .collect();
        Planned { prepared, plans }
    }

    /// Everything that outputs say of it.
    pub fn facts(&self, units: Units) -> Facts {
        Facts::of(&self.view(units))
    }

    /// What facts are made from.
    pub fn view(&self, units: Units) -> View<'_> {
        View {
            race: &self.prepared.race,
            inputs: &self.prepared.inputs,
            plans: &self.plans,
            units,
            before: None,
            warnings: self.prepared.notes.all(),
        }
    }
}
