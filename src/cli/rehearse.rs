//! `sutler rehearse`: a long run that tries the plan out.

use std::path::{Path, PathBuf};

use chrono::{NaiveDate, NaiveTime};
use clap::Args as ClapArgs;
use clap::builder::PossibleValuesParser;

use sutler::diagnostics::{Diagnostic, FileId, SourceFile};
use sutler::facts::{Facts, RehearsalFacts};
use sutler::inputs::plan_toml::{DayAndNight, Forecast};
use sutler::inputs::surfaces_csv::Surface;
use sutler::inputs::{route_gpx, weather_csv};
use sutler::rehearsal::{self, Day, DayWeather, Rehearsal, RunRoute};

use super::args::{OutputArgs, SourceArgs};
use super::calendar::{self, CalendarArgs};
use super::debrief::temperature;
use super::load::{Loaded, load};
use super::report::{make, print, view};
use super::show::Stop;
use super::typed::{date, length_m};
use super::{DONE, show};

#[derive(ClapArgs, Debug)]
pub(crate) struct RehearseArgs {
    /// The plan to try out [default: plan.toml]
    pub(crate) plan: Option<PathBuf>,
    /// A route to run at home, GPX; given more than once, the most race-like is planned
    #[arg(long, value_name = "FILE.gpx", help_heading = "Rehearsal")]
    pub(crate) route: Vec<PathBuf>,
    /// Distance, such as 32km or 20mi, without --route: on ground like the race's
    #[arg(long, value_name = "LENGTH", value_parser = length_m, conflicts_with = "route",
        help_heading = "Rehearsal")]
    pub(crate) distance: Option<f64>,
    /// Surface of the routes, for the most part
    #[arg(long, value_name = "SURFACE", conflicts_with = "distance", value_parser = surfaces(), help_heading = "Rehearsal")]
    pub(crate) surface: Option<String>,
    /// The day of the run, such as 2026-09-12
    #[arg(long, value_name = "DATE", value_parser = date, required_unless_present = "calendar",
        help_heading = "Rehearsal")]
    pub(crate) date: Option<NaiveDate>,
    /// Start, on the clock there
    #[arg(long, value_name = "H:MM", default_value = "6:00", value_parser = clock, help_heading = "Rehearsal")]
    pub(crate) start: NaiveTime,
    /// The temperature to expect, °C (or 61F); with --night that of the warmest hour
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true, value_parser = temperature,
        help_heading = "Rehearsal")]
    pub(crate) temp: Option<f64>,
    /// The temperature of the coldest hour; hours between follow the sun
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true, value_parser = temperature,
        requires = "temp", help_heading = "Rehearsal")]
    pub(crate) night: Option<f64>,
    /// That day's hours, a table like weather.csv
    #[arg(long, value_name = "FILE.csv", conflicts_with_all = ["temp", "calendar"],
        help_heading = "Rehearsal")]
    pub(crate) weather: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) calendar: CalendarArgs,
    #[command(flatten)]
    pub(crate) output: OutputArgs,
}

/// Prints the sheet of the rehearsal.
pub(crate) fn run(args: &RehearseArgs) -> Result<u8, Stop> {
    let source = SourceArgs {
        plan: args.plan.clone(),
        ..SourceArgs::default()
    };
    let mut loaded = load(&source);
    if args.calendar.calendar {
        return calendar::run(&args.calendar, args.start, &args.output, loaded);
    }
    let Some((race, plans)) = make(&mut loaded, true) else {
        show::problems(&loaded.sources, loaded.notes.all());
        return Err(Stop::Shown);
    };
    let routes = routes(args, &mut loaded);
    let day = Day {
        date: args.date.unwrap_or_default(),
        start: args.start,
        weather: weather(args, &mut loaded),
    };
    let mut planned: Vec<Rehearsal> = Vec::new();
    if let (Some(plan), false) = (plans.first(), loaded.notes.has_errors()) {
        for route in &routes {
            let inputs = &loaded.inputs;
            let made = rehearsal::rehearse(&race, inputs, plan, route, &day, &mut loaded.notes);
            planned.extend(made);
        }
    }
    show::problems(&loaded.sources, loaded.notes.all());
    if loaded.notes.has_errors() || planned.is_empty() {
        return Err(Stop::Shown);
    }
    rehearsal::rank(&mut planned);
    let view = view(&race, &plans, &loaded, args.output.units);
    let runs = planned.iter();
    let facts = Facts {
        rehearsals: runs.map(|run| RehearsalFacts::of(&view, run)).collect(),
        ..Facts::of(&view)
    };
    print("rehearse", &facts, &args.output, &loaded.read)?;
    Ok(DONE)
}

/// The routes given, or the distance.
fn routes(args: &RehearseArgs, loaded: &mut Loaded) -> Vec<RunRoute> {
    if args.distance.is_none() && args.route.is_empty() {
        loaded
            .notes
            .push(Diagnostic::error("no route given").hint(
                "add `--route FILE.gpx`, or `--distance 20km` for ground as the race has it",
            ));
    }
    let mut routes: Vec<RunRoute> = args.distance.map(RunRoute::RaceLike).into_iter().collect();
    let named = |name: &String| Surface::NAMES.iter().find(|known| known.0 == *name);
    let surface = args.surface.as_ref().and_then(named).map(|known| known.1);
    for path in &args.route {
        match track(path, surface, loaded) {
            Ok(route) => routes.push(route),
            Err(problem) => loaded.notes.push(problem),
        }
    }
    routes
}

/// The day's weather as typed.
fn weather(args: &RehearseArgs, loaded: &mut Loaded) -> DayWeather {
    let [day, night] = [args.temp, args.night].map(|temp| temp.map(Forecast::of_temp_c));
    match (&args.weather, day, night) {
        (Some(path), ..) => match opened(path, "a table of hours", loaded) {
            Ok((file, id)) => DayWeather::Hours(weather_csv::read(&file, id, &mut loaded.notes)),
            Err(problem) => {
                loaded.notes.push(problem);
                DayWeather::Unsaid
            }
        },
        (None, Some(day), Some(night)) => DayWeather::DayAndNight(DayAndNight { day, night }),
        (None, Some(day), None) => DayWeather::Same(day),
        (None, None, _) => DayWeather::Unsaid,
    }
}

/// The text of a file that the command line names.
fn opened(
    path: &Path,
    what: &str,
    loaded: &mut Loaded,
) -> Result<(SourceFile, FileId), Diagnostic> {
    let name = path.display().to_string();
    let bytes = crate::cli::read_file::bytes(path).map_err(|e| {
        Diagnostic::error(format!("could not read `{name}`: {}", show::reason(&e)))
            .hint(format!("give the path of {what}"))
    })?;
    loaded.read.push(path.to_owned());
    let file = route_gpx::decode(&name, bytes)?;
    let id = loaded.sources.add(file.clone());
    Ok((file, id))
}

fn track(
    path: &Path,
    surface: Option<Surface>,
    loaded: &mut Loaded,
) -> Result<RunRoute, Diagnostic> {
    let (file, id) = opened(path, "a GPX file", loaded)?;
    let mut track = route_gpx::read(&file, id, &mut loaded.notes);
    track.name = track.name.or_else(|| {
        let stem = path.file_stem()?;
        Some(stem.to_string_lossy().into_owned())
    });
    Ok(RunRoute::Track(track, surface))
}

fn surfaces() -> PossibleValuesParser {
    PossibleValuesParser::new(Surface::NAMES.map(|(name, _)| name))
}

fn clock(text: &str) -> Result<NaiveTime, String> {
    NaiveTime::parse_from_str(text, "%H:%M")
        .map_err(|_| "expected a time of day such as `6:00`".to_owned())
}
