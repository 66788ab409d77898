//! Arguments of `sutler debrief`.

use std::path::PathBuf;

use chrono::{NaiveDate, NaiveTime};
use clap::Args as ClapArgs;

use sutler::inputs::limits::{self, Range};
use sutler::time::Elapsed;
use sutler::words::folded;

use crate::cli::args::OutputArgs;

#[derive(ClapArgs, Debug)]
pub(crate) struct DebriefArgs {
    /// The recording of the run
    ///
    /// GPX with times, 10 km or more. Without one give --hours and --date.
    #[arg(value_name = "RUN.gpx")]
    pub(super) recording: Option<PathBuf>,
    /// Log of what was drunk, eaten and noted
    ///
    /// CSV: `kind` is drink, food, refused, urine, stomach, hot-spot, gear or tested; `what` is a
    /// food of the pantry, `water`, a place on the skin, a piece of gear or a routine; `servings`,
    /// `water_ml` (or `_floz`), `mass_g`, `carbs_g`, `sodium_mg` and `caffeine_mg` are amounts,
    /// `stomach` a score from 0 to 10 (as at breakfast), `urine_ml` a volume; `elapsed` or `clock`
    /// say when; `met` is what gear met: dark, cold, rain, sun, heat; `note` is yours.
    #[arg(long, value_name = "LOG.csv")]
    pub(super) log: Option<PathBuf>,
    /// The plan of the race, which names the runner's files [default: plan.toml]
    #[arg(long, value_name = "PLAN.toml")]
    pub(super) plan: Option<PathBuf>,
    /// Name of the run [default: the recording's name]
    #[arg(long, value_name = "WORDS")]
    pub(super) name: Option<String>,
    /// The day of the run [default: the recording's]
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub(super) date: Option<NaiveDate>,
    /// Start of the run, for clock times in the log [default: the recording's]
    #[arg(long, value_name = "HH:MM", value_parser = wall_time)]
    pub(super) start: Option<NaiveTime>,
    /// Start to finish, where there is no recording
    #[arg(long, value_name = "H:MM", value_parser = Elapsed::parse)]
    pub(super) hours: Option<Elapsed>,
    /// Body mass before, kg (or 155lb): towelled dry, in dry clothes or none
    #[arg(long, value_name = "KG", value_parser = |text: &str| amount(text, &limits::MASS_BEFORE), requires = "mass_after", help_heading = "Measured")]
    pub(super) mass_before: Option<f64>,
    /// Body mass after, kg (or 152lb): the same way
    #[arg(long, value_name = "KG", value_parser = |text: &str| amount(text, &limits::MASS_AFTER), requires = "mass_before", help_heading = "Measured")]
    pub(super) mass_after: Option<f64>,
    /// The step of the scale's display, kg [default: 0.1]
    #[arg(long, value_name = "KG", value_parser = scale_step, help_heading = "Measured")]
    pub(super) scale_step_kg: Option<f64>,
    /// Urine passed between the two weighings; without it the log's
    #[arg(long, value_name = "ML", value_parser = |text: &str| number(text, &limits::URINE), help_heading = "Measured")]
    pub(super) urine_ml: Option<f64>,
    /// Air temperature, mean over the run, °C (or 61F)
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true, value_parser = temperature, help_heading = "Measured")]
    pub(super) temp: Option<f64>,
    /// Relative humidity
    #[arg(long, value_name = "PCT", value_parser = |text: &str| number(text, &limits::HUMIDITY), help_heading = "Measured")]
    pub(super) humidity_pct: Option<f64>,
    /// Wind
    #[arg(long, value_name = "KMH", value_parser = |text: &str| number(text, &limits::WIND), help_heading = "Measured")]
    pub(super) wind_kmh: Option<f64>,
    /// Rain
    #[arg(long, value_name = "MM", value_parser = |text: &str| number(text, &limits::RAIN_RATE), help_heading = "Measured")]
    pub(super) rain_mm_per_h: Option<f64>,
    /// Add the run to the record, and change the runner file as proposed
    ///
    /// Without it nothing is written. Lines that the runner file loses are kept in the record.
    #[arg(long)]
    pub(super) write: bool,
    /// With --write: leave the runner file as it is
    #[arg(long, requires = "write")]
    pub(super) keep_runner: bool,
    /// Put this in the place of the run that the record has already
    #[arg(long)]
    pub(super) correct: bool,
    /// Take a run out of the record, by its day or name
    #[arg(long, value_name = "RUN", conflicts_with_all = ["recording", "log", "correct"])]
    pub(super) remove: Option<String>,
    #[command(flatten)]
    pub(super) output: OutputArgs,
}

fn number(text: &str, range: &Range) -> Result<f64, String> {
    let number: f64 = text
        .trim()
        .parse()
        .map_err(|_| "expected a number".to_owned())?;
    range.check(number, range.units[0])
}

/// A number in the usual unit, or in the one that stands behind it.
fn amount(text: &str, range: &Range) -> Result<f64, String> {
    let typed = folded(text);
    for unit in range.units {
        if let Some(amount) = typed.strip_suffix(unit.suffix) {
            let amount = amount.trim_end_matches('°').trim();
            let amount: f64 = amount.parse().map_err(|_| "expected a number")?;
            return range.check(amount, *unit);
        }
    }
    number(&typed, range)
}

/// Degrees Celsius, or Fahrenheit where it says so.
pub(crate) fn temperature(text: &str) -> Result<f64, String> {
    amount(text, &limits::TEMPERATURE)
}

fn scale_step(text: &str) -> Result<f64, String> {
    number(text, &limits::SCALE_RESOLUTION)
}

fn wall_time(text: &str) -> Result<NaiveTime, String> {
    NaiveTime::parse_from_str(text, "%H:%M")
        .map_err(|_| "expected a clock time, such as `06:30`".to_owned())
}

#[cfg(test)]
mod tests;
