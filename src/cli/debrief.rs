//! `sutler debrief`: a long run in, an entry of the record and figures of the runner out.

use std::path::{Path, PathBuf};

use chrono::{NaiveDate, NaiveTime};
use clap::Args as ClapArgs;

use sutler::debrief::{self, Proposal, RunFacts};
use sutler::diagnostics::{Diagnostic, Spanned};
use sutler::fit::{Fit, Recording};
use sutler::fueling;
use sutler::inputs::limits::{self, Range};
use sutler::inputs::record_toml::{BodyRecord, RunSky};
use sutler::plan::Plan;
use sutler::reports::{self, View, debrief as report};
use sutler::time::Elapsed;

use super::args::{OutputArgs, SourceArgs};
use super::fit::{read, say};
use super::load::{Loaded, load_with};
use super::report::{Made, make, page, put};
use super::show::Stop;
use super::{DONE, change, save, show};

#[derive(ClapArgs, Debug)]
pub(crate) struct DebriefArgs {
    /// The recording of the run
    ///
    /// GPX with times, 10 km or more. Without one give --hours and --date.
    #[arg(value_name = "RUN.gpx", required_unless_present = "hours")]
    recording: Option<PathBuf>,
    /// What was drunk, eaten and noted
    ///
    /// CSV: `kind` is drink, food, refused, urine, stomach, hot-spot, gear or tested; `what` is a
    /// food of the pantry, `water`, a place on the skin, a piece of gear or a routine; `servings`,
    /// `water_ml` (or `_floz`), `mass_g`, `carbs_g`, `sodium_mg` and `caffeine_mg` are amounts,
    /// `stomach` a score from 0 to 10 (as at breakfast), `urine_ml` a volume; `elapsed` or `clock`
    /// say when; `met` is what gear met: dark, cold, rain, sun, heat; `note` is yours.
    #[arg(long, value_name = "LOG.csv")]
    log: Option<PathBuf>,
    /// The plan of the race, which names the runner's files [default: plan.toml]
    #[arg(long, value_name = "PLAN.toml")]
    plan: Option<PathBuf>,
    /// What to call the run [default: the recording's name]
    #[arg(long, value_name = "WORDS")]
    name: Option<String>,
    /// The day of the run [default: the recording's]
    #[arg(long, value_name = "YYYY-MM-DD")]
    date: Option<NaiveDate>,
    /// When it started, for clock times in the log [default: the recording's]
    #[arg(long, value_name = "HH:MM", value_parser = wall_time)]
    start: Option<NaiveTime>,
    /// Start to finish, where there is no recording
    #[arg(long, value_name = "H:MM", value_parser = Elapsed::parse)]
    hours: Option<Elapsed>,
    /// Body mass before, kg (or 155lb): towelled dry, in dry clothes or none
    #[arg(long, value_name = "KG", value_parser = |text: &str| amount(text, &limits::MASS_BEFORE), requires = "mass_after", help_heading = "Measured")]
    mass_before: Option<f64>,
    /// Body mass after, kg (or 152lb): the same way
    #[arg(long, value_name = "KG", value_parser = |text: &str| amount(text, &limits::MASS_AFTER), requires = "mass_before", help_heading = "Measured")]
    mass_after: Option<f64>,
    /// The step of the scale's display, kg [default: 0.1]
    #[arg(long, value_name = "KG", value_parser = scale_step, help_heading = "Measured")]
    scale_step_kg: Option<f64>,
    /// Urine passed between the two weighings; without it the log's
    #[arg(long, value_name = "ML", value_parser = |text: &str| number(text, &limits::URINE), help_heading = "Measured")]
    urine_ml: Option<f64>,
    /// Air temperature, mean over the run, °C (or 61F)
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true, value_parser = temperature, help_heading = "Measured")]
    temp: Option<f64>,
    /// Relative humidity
    #[arg(long, value_name = "PCT", value_parser = |text: &str| number(text, &limits::HUMIDITY), help_heading = "Measured")]
    humidity_pct: Option<f64>,
    /// Wind
    #[arg(long, value_name = "KMH", value_parser = |text: &str| number(text, &limits::WIND), help_heading = "Measured")]
    wind_kmh: Option<f64>,
    /// Rain
    #[arg(long, value_name = "MM", value_parser = |text: &str| number(text, &limits::RAIN_RATE), help_heading = "Measured")]
    rain_mm_per_h: Option<f64>,
    /// Change the runner file as proposed; its old lines are kept in the record
    #[arg(long)]
    write: bool,
    #[command(flatten)]
    output: OutputArgs,
}

/// Debriefs a run, prints the report, adds it to the record and changes the runner file if asked.
pub(crate) fn run(args: &DebriefArgs) -> Result<u8, Stop> {
    let source = SourceArgs {
        plan: args.plan.clone(),
        ..SourceArgs::default()
    };
    let mut loaded = load_with(&source, args.log.as_deref());
    let made = make(&mut loaded, true);
    let fit = fitted(args, &mut loaded);
    let facts = facts(args, fit.as_ref(), &mut loaded)?;
    let log = args.log.as_ref().map(|_| loaded.inputs.log.clone());
    let pantry = loaded.inputs.pantry.clone();
    let mass_kg = loaded.inputs.runner.mass_kg.map(|mass| mass.value);
    let debriefed = facts.as_ref().and_then(|facts| {
        let notes = &mut loaded.notes;
        debrief::debrief(facts, fit.as_ref(), log.as_deref(), &pantry, mass_kg, notes)
    });
    show::problems(&loaded.sources, loaded.notes.all());
    if loaded.notes.has_errors() {
        return Err(Stop::Shown);
    }
    let ((race, plans), (facts, debriefed)) = made.zip(facts.zip(debriefed)).ok_or(Stop::Shown)?;
    let is_known = match debrief::earlier(&loaded.inputs.record, &facts) {
        Some(run) if run.fingerprint.as_deref() == Some(&facts.fingerprint) => true,
        Some(run) => {
            return Err(Stop::Said(format!(
                "the record has `{}` of {} already, from other files or figures; delete that \
                 [[run]] to debrief it again",
                run.name.value, run.date
            )));
        }
        None => false,
    };
    let mut record = loaded.inputs.record.clone();
    if !is_known {
        record.push(debriefed.run.clone());
    }
    let runner = &loaded.inputs.runner;
    let kcal_per_h = plans.first().map_or(0.0, kcal_per_h);
    let proposal = debrief::propose(&record, runner, fueling::body_of(runner), kcal_per_h);
    let page = page(&args.output);
    let view = View {
        race: &race,
        inputs: &loaded.inputs,
        plans: &plans,
        units: args.output.units.into(),
        width: page.width,
        warnings: loaded.notes.all(),
    };
    let made = Made {
        document: &|| report::document(&view, &debriefed, &proposal),
        json: &|| report::json(&view, &debriefed, &proposal),
    };
    put(&made, &args.output, &page)?;
    let files = Files::of(args, &loaded);
    files.write(&debriefed.run, is_known, &proposal, args.write)?;
    Ok(DONE)
}

/// What the recording alone says; what is wrong with it is noted.
fn fitted(args: &DebriefArgs, loaded: &mut Loaded) -> Option<Fit> {
    let one = read(args.recording.as_deref()?);
    show::problems(&one.sources, one.notes.all());
    let recording: Option<Recording> = match one.recording {
        Ok(recording) => Some(recording),
        Err(why) => {
            loaded.notes.push(*why);
            None
        }
    };
    let mut left_out = Vec::new();
    let fit = Fit::of(recording.into_iter().collect(), &mut left_out);
    left_out.into_iter().for_each(|why| loaded.notes.push(why));
    fit
}

/// What is known besides the recording and the log; `None` where the notes say what is missing.
fn facts(
    args: &DebriefArgs,
    fit: Option<&Fit>,
    loaded: &mut Loaded,
) -> Result<Option<RunFacts>, Stop> {
    let zone = loaded.inputs.course.timezone.map(|zone| zone.value);
    let recorded = fit
        .and_then(|fit| fit.runs.first()?.recording.start())
        .map(|start| {
            start
                .with_timezone(&zone.unwrap_or(chrono_tz::UTC))
                .naive_local()
        });
    let Some(date) = args.date.or(recorded.map(|start| start.date())) else {
        loaded.notes.push(
            Diagnostic::error("nobody knows the day of the run").hint("give --date 2026-08-30"),
        );
        return Ok(None);
    };
    let recording = (args.recording.as_deref())
        .and_then(Path::file_name)
        .map(|name| name.to_string_lossy().into_owned());
    let stem = || {
        let stem = args.recording.as_deref()?.file_stem()?;
        Some(stem.to_string_lossy().into_owned())
    };
    let name = (args.name.clone().or_else(stem)).unwrap_or_else(|| "long run".to_owned());
    let mut facts = RunFacts {
        date,
        name,
        recording,
        fingerprint: String::new(),
        time: args.hours,
        start: args.start.or(recorded.map(|start| start.time())),
        body: BodyRecord {
            before_kg: args.mass_before,
            after_kg: args.mass_after,
            scale_resolution_kg: args.scale_step_kg,
            urine_ml: args.urine_ml,
            ..BodyRecord::default()
        },
        sky: RunSky {
            temp_c: args.temp,
            humidity_pct: args.humidity_pct,
            wind_kmh: args.wind_kmh,
            rain_mm_per_h: args.rain_mm_per_h,
            dark_s: None,
        },
    };
    let bytes = |path: &Option<PathBuf>| match path {
        Some(path) => std::fs::read(path).map_err(|e| {
            let reason = show::reason(&e);
            Stop::Said(format!("could not read `{}`: {reason}", path.display()))
        }),
        None => Ok(Vec::new()),
    };
    let (track, log) = (bytes(&args.recording)?, bytes(&args.log)?);
    let typed = format!("{date} {:?} {:?} {:?}", facts.time, facts.body, facts.sky);
    facts.fingerprint = debrief::fingerprint(&[&track, &log, typed.as_bytes()]);
    Ok(Some(facts))
}

/// Energy of an hour of the race.
fn kcal_per_h(plan: &Plan) -> f64 {
    let kcal: f64 = plan
        .fueling
        .segments
        .iter()
        .map(|need| need.energy_kcal)
        .sum();
    kcal / plan.finish.as_hours().max(f64::MIN_POSITIVE)
}

/// The two files that a debrief may change.
struct Files {
    record: PathBuf,
    runner: PathBuf,
}

impl Files {
    /// Those that the plan names, beside it.
    fn of(args: &DebriefArgs, loaded: &Loaded) -> Files {
        let plan = args.plan.clone().unwrap_or_else(|| "plan.toml".into());
        let folder = if plan.is_dir() {
            plan
        } else {
            plan.parent().map(Path::to_path_buf).unwrap_or_default()
        };
        let names = &loaded.inputs.plan.files;
        let named = |name: &Option<Spanned<String>>, usual: &str| {
            folder.join(name.as_ref().map_or(usual, |name| name.value.as_str()))
        };
        Files {
            record: named(&names.record, "long-runs/record.toml"),
            runner: named(&names.runner, "runner.toml"),
        }
    }

    /// First the record, with the lines that the runner file is about to lose, then the runner
    /// file: whatever stops this in between, nothing is lost, and the next debrief goes on.
    fn write(
        &self,
        run: &sutler::inputs::RunRecord,
        is_known: bool,
        proposal: &Proposal,
        change_runner: bool,
    ) -> Result<(), Stop> {
        let shown = |path: &Path| path.display().to_string();
        let failed = |path: &Path| {
            let path = shown(path);
            move |why: String| Stop::Said(format!("could not change `{path}`: {why}"))
        };
        let old_runner = text(&self.runner)?;
        let old = old_runner.as_deref().unwrap_or_default();
        let new = reports::with_proposal(old, proposal).map_err(failed(&self.runner))?;
        let change = change::between(old, &new);
        let old_record = text(&self.record)?;
        let mut record = old_record.clone().unwrap_or_default();
        if !is_known {
            record = reports::with_run(&record, run).map_err(failed(&self.record))?;
        }
        if change_runner {
            let gone = change.lines().filter_map(|line| line.strip_prefix("- "));
            let gone: Vec<String> = gone.map(|line| line.trim().to_owned()).collect();
            let print = run.fingerprint.as_deref().unwrap_or_default();
            if !gone.is_empty() {
                record =
                    reports::with_replaced(&record, print, &gone).map_err(failed(&self.record))?;
            }
        }
        if old_record.as_deref() == Some(record.as_str()) {
            say(&format!("`{}` has this run already\n", shown(&self.record)));
        } else {
            replace(&self.record, &record, old_record.is_some())?;
            say(&format!("`{}` has this run now\n", shown(&self.record)));
        }
        let runner = shown(&self.runner);
        if new == old {
            say(&format!("`{runner}` says this already\n"));
        } else if change_runner {
            replace(&self.runner, &new, old_runner.is_some())?;
            say(&format!("in `{runner}`:\n{change}"));
        } else {
            say(&format!("--write would change `{runner}`:\n{change}"));
        }
        Ok(())
    }
}

/// The text of a file, `None` where there is none yet.
fn text(path: &Path) -> Result<Option<String>, Stop> {
    match std::fs::read_to_string(path) {
        Ok(text) => Ok(Some(text)),
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => Ok(None),
        Err(e) => Err(Stop::Said(format!(
            "could not read `{}`: {}",
            path.display(),
            show::reason(&e)
        ))),
    }
}

/// Writes a file whole, its folder too; a link stays a link.
fn replace(path: &Path, text: &str, is_there: bool) -> Result<(), Stop> {
    if let Some(folder) = path
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty())
    {
        std::fs::create_dir_all(folder)
            .map_err(|e| Stop::Said(format!("could not make `{}`: {e}", folder.display())))?;
    }
    let place = path.canonicalize();
    save::file(place.as_deref().unwrap_or(path), text.as_bytes(), is_there)
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
    let typed = text.trim().to_lowercase();
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
pub(super) fn temperature(text: &str) -> Result<f64, String> {
    amount(text, &limits::TEMPERATURE)
}

fn scale_step(text: &str) -> Result<f64, String> {
    number(text, &limits::SCALE_RESOLUTION)
}

fn wall_time(text: &str) -> Result<NaiveTime, String> {
    NaiveTime::parse_from_str(text, "%H:%M")
        .map_err(|_| "expected a time on the wall, such as `06:30`".to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_may_say_their_unit() {
        assert_eq!(temperature("-4"), Ok(-4.0));
        assert_eq!(temperature("21 °C"), Ok(21.0));
        assert!(temperature("50F").is_ok_and(|c| (c - 10.0).abs() < 1e-9));
        assert!(amount("155lb", &limits::MASS_BEFORE).is_ok_and(|kg| (kg - 70.3).abs() < 0.01));
        for wrong in ["", "F", "61K", "nanC", "400F"] {
            assert!(temperature(wrong).is_err(), "{wrong}");
        }
    }
}
