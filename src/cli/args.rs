//! Options that verbs share. Doc comments are the help texts: the first line for `-h`, all for `--help`.

use std::path::PathBuf;

use clap::builder::PossibleValuesParser;
use clap::{ArgGroup, Args as ClapArgs, ValueEnum};

use sutler::inputs::{PastResult, Target};
use sutler::pages::document;
use sutler::reports::formats;
use sutler::time::Elapsed;
use sutler::units::Units;

/// Headings in the help of verbs.
pub(crate) const OUTPUT: &str = "Output";
pub(crate) const RACE: &str = "Race";
const INSTEAD: &str = "Instead of files named in the plan";

#[derive(ClapArgs, Debug)]
pub(crate) struct NewArgs {
    /// The folder to make; it must be new or empty
    pub(crate) folder: PathBuf,
    /// Your own track instead of the example's
    ///
    /// GPX; it becomes `course/route.gpx`. Its waypoints become stations, and the time zone is that of
    /// the nearest place of the IANA list.
    #[arg(long, value_name = "FILE.gpx")]
    pub(crate) route: Option<PathBuf>,
    /// The organiser's station table, as you copied it from a page or a spreadsheet
    ///
    /// Text with tabs, commas, semicolons, bars or blanks between the columns, in any order, with the
    /// usual headings or none: station, km or miles, cutoff, crew, drop bag. Lines that cannot be read
    /// are listed, and kept as comments in the stations.csv that is written.
    #[arg(long, value_name = "FILE", requires = "route")]
    pub(crate) stations: Option<PathBuf>,
    /// Target finish as elapsed time, or a range such as 28:00:00..32:00:00
    #[arg(long, value_name = "H:MM:SS", requires = "route", value_parser = Target::parse)]
    pub(crate) finish: Option<Target>,
    /// A race you have run, such as 100km/4000m/14:20:00; any number of them
    #[arg(long, value_name = "RESULT", requires = "route", value_parser = PastResult::parse)]
    pub(crate) past: Vec<PastResult>,
    /// Official start, local time, such as 2026-06-06T05:00
    #[arg(long, value_name = "TIME", requires = "route", value_parser = local_time)]
    pub(crate) start: Option<chrono::NaiveDateTime>,
    /// Time zone of the race, if the nearest to the route is wrong
    #[arg(long, value_name = "ZONE", requires = "route", value_parser = zone)]
    pub(crate) timezone: Option<chrono_tz::Tz>,
}

#[derive(ClapArgs, Clone, Debug, Default)]
pub(crate) struct SourceArgs {
    /// The plan's settings [default: plan.toml]
    ///
    /// It names the course folder and the runner's other files. Not needed with --route.
    pub(crate) plan: Option<PathBuf>,
    /// A track to plan on, instead of the course folder's
    ///
    /// GPX 1.0 or 1.1: tracks, or routes, with or without heights.
    #[arg(long, value_name = "FILE.gpx", help_heading = INSTEAD)]
    pub(crate) route: Option<PathBuf>,
    /// A station list, instead of the course folder's
    ///
    /// CSV; `name` and `distance_km` (or `_mi`, `_m`) are enough. Stops are 0 min unless given.
    #[arg(long, value_name = "FILE.csv", help_heading = INSTEAD)]
    pub(crate) stations: Option<PathBuf>,
    /// Target finish as elapsed time, h:mm:ss; up to three, or a range
    ///
    /// Time since your own start, stops included. The first is planned, any others are shown beside
    /// it. Of a range such as 28:00:00..32:00:00 the middle is planned, with both ends beside it.
    /// Without --finish the plan's `finish` and `other_finishes` count; failing those, what its
    /// `[[past]]` results support.
    #[arg(long, value_name = "H:MM:SS", value_parser = Target::parse, help_heading = RACE)]
    pub(crate) finish: Vec<Target>,
    /// A race you have run, such as 100km/4000m/14:20:00; any number of them
    ///
    /// Distance, climb and time; the climb may be left out. They join the plan's `[[past]]`, and
    /// together show how far off the target the real finish may be.
    #[arg(long, value_name = "RESULT", value_parser = PastResult::parse, help_heading = RACE)]
    pub(crate) past: Vec<PastResult>,
    /// Official start, local time, such as 2026-06-06T05:00
    ///
    /// Local date and time in --timezone. Without it the course's `start` holds; without either,
    /// times are elapsed and it is always day.
    #[arg(long, value_name = "TIME", requires = "timezone", value_parser = local_time, help_heading = RACE)]
    pub(crate) start: Option<chrono::NaiveDateTime>,
    /// Time zone of the race, such as Europe/Vienna
    #[arg(long, value_name = "ZONE", requires = "start", value_parser = zone, help_heading = RACE)]
    pub(crate) timezone: Option<chrono_tz::Tz>,
}

#[derive(ClapArgs, Debug, Default)]
pub(crate) struct ReportArgs {
    #[command(flatten)]
    pub(crate) source: SourceArgs,
    #[command(flatten)]
    pub(crate) output: OutputArgs,
}

#[derive(ClapArgs, Debug)]
pub(crate) struct FitArgs {
    /// Recorded runs, or folders of them
    ///
    /// GPX with times, all of one runner: races and long runs of 10 km and more. A folder stands
    /// for the `.gpx` files in it. What cannot be used is named and left out.
    #[arg(required = true, value_name = "RUN.gpx")]
    pub(crate) runs: Vec<PathBuf>,
    /// Write the figures into this runner file
    ///
    /// Comments and order are kept, and the change is shown first. Figures that do not predict your
    /// own runs better than the defaults are not written.
    #[arg(long, value_name = "RUNNER.toml")]
    pub(crate) write: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) output: OutputArgs,
}

#[derive(ClapArgs, Debug, Default)]
#[command(group(ArgGroup::new("files").multiple(true)))]
pub(crate) struct OutputArgs {
    /// Format of the report
    ///
    /// table: for a terminal or a printer. markdown: headings and pipe tables. csv: the tables,
    /// units in the column names. html: a page to read and print. json: everything, units in the
    /// keys, times in seconds from the runner's own start.
    #[arg(long, value_name = "FORMAT", default_value = "table", value_parser = formats(), help_heading = OUTPUT)]
    pub(crate) format: String,
    /// Units to print in
    #[arg(long, value_name = "UNITS", default_value = "metric", help_heading = OUTPUT)]
    pub(crate) units: UnitsArg,
    /// Write to this file instead of the terminal, whole or not at all
    #[arg(short, long, value_name = "FILE", group = "files", help_heading = OUTPUT)]
    pub(crate) output: Option<PathBuf>,
    /// Replace the file if it exists
    #[arg(long, requires = "files", help_heading = OUTPUT)]
    pub(crate) overwrite: bool,
}

#[derive(ClapArgs, Debug)]
pub(crate) struct FinishArgs {
    #[command(flatten)]
    pub(crate) report: ReportArgs,
    /// Time to have in hand at every cutoff, h:mm [default: 0:20]
    ///
    /// Without it the plan's `cushion` holds.
    #[arg(long, value_name = "H:MM", value_parser = Elapsed::parse, help_heading = RACE)]
    pub(crate) cushion: Option<Elapsed>,
}

#[derive(ClapArgs, Debug)]
pub(crate) struct HelpArgs {
    /// A topic or a verb; without one, the list of topics
    pub(crate) about: Option<String>,
}

#[derive(ValueEnum, Clone, Copy, Debug, Default)]
pub(crate) enum UnitsArg {
    /// Kilometres, metres, millilitres, °C
    #[default]
    Metric,
    /// Miles, feet, US fluid ounces, °F
    Imperial,
}

impl From<UnitsArg> for Units {
    fn from(arg: UnitsArg) -> Self {
        match arg {
            UnitsArg::Metric => Units::Metric,
            UnitsArg::Imperial => Units::Imperial,
        }
    }
}

/// Every format but JSON, which has no document.
pub(crate) fn every_format() -> impl Iterator<Item = &'static formats::Format> {
    formats::FORMATS.iter().chain([&document::FORMAT])
}

/// Every format of a report; only JSON has a writer of its own.
fn formats() -> PossibleValuesParser {
    PossibleValuesParser::new(every_format().map(|f| f.name).chain(["json"]))
}

fn local_time(text: &str) -> Result<chrono::NaiveDateTime, String> {
    sutler::inputs::local_time(text)
        .ok_or_else(|| "expected a local date and time, such as `2026-06-06T05:00`".to_owned())
}

fn zone(text: &str) -> Result<chrono_tz::Tz, String> {
    text.parse().map_err(|_| {
        let names = chrono_tz::TZ_VARIANTS.iter().map(|zone| zone.name());
        let hint = sutler::diagnostics::did_you_mean(text, names)
            .map(|hint| format!("; {hint}"))
            .unwrap_or_default();
        format!("expected an IANA zone, such as `Europe/Vienna`{hint}")
    })
}
