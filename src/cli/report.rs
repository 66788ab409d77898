//! Every verb that prints a report: read, plan, write.

use std::path::PathBuf;

use sutler::diagnostics::{Notes, Spanned};
use sutler::facts::Facts;
use sutler::findings::fail;
use sutler::pages::document;
use sutler::plan::{Plan, Race};
use sutler::reports::document::Document;
use sutler::reports::{self, Needs, View, formats};
use sutler::time::Elapsed;
use sutler::units::Units;

use super::args::{OutputArgs, UnitsArg, every_format};
use super::browser::Browser;
use super::estimated::{estimated, is_unset};
use super::load::{Loaded, finishes, load};
use super::reported::ReportVerb;
use super::show::Stop;
use super::without::WithoutArgs;
use super::{DONE, FAILS, save, show};

/// Prints one report, of a plan or of the course alone.
pub(crate) fn run(verb: &ReportVerb) -> Result<u8, Stop> {
    let (report, asked) = (verb.report, &verb.args);
    let args = &asked.report;
    let mut loaded = load(&args.source);
    loaded.inputs.plan.windows.on_target = asked.on_target;
    let needs_plan = report.needs != Needs::Course;
    let raced = made_without(&mut loaded, needs_plan, &asked.missing)?;
    let facts = Facts::of(&raced.view(&loaded, args.output.units));
    print(report.name, &facts, &args.output, &loaded.read)?;
    if facts.planned().is_none_or(|plan| plan.verdict.holds) {
        return Ok(DONE);
    }
    if args.output.output.is_some() || matches!(&*args.output.format, "csv" | "json") {
        // what is written opens with the verdict; where it is not read at once, it is said beside it
        show::failing(facts.findings(&[]));
    }
    Ok(FAILS)
}

/// A race and its plans without what is missing, and the first plan as it was, where anything is.
pub(crate) struct PlannedRace {
    race: Race,
    pub(crate) plans: Vec<Plan>,
    before: Option<Plan>,
}

impl PlannedRace {
    /// It as reports see it.
    pub(crate) fn view<'a>(&'a self, loaded: &'a Loaded, units: UnitsArg) -> View<'a> {
        View {
            before: self.before.as_ref(),
            ..view(&self.race, &self.plans, loaded, units)
        }
    }
}

/// The race planned without what is missing; what is wrong is shown.
pub(crate) fn made_without(
    loaded: &mut Loaded,
    needs_plan: bool,
    missing: &WithoutArgs,
) -> Result<PlannedRace, Stop> {
    let mut made = make(loaded, needs_plan);
    let before = made.as_mut().and_then(|made| lose(made, missing, loaded));
    show::problems(&loaded.sources, loaded.notes.all());
    match made {
        Some((race, plans)) if !loaded.notes.has_errors() => Ok(PlannedRace {
            race,
            plans,
            before,
        }),
        _ => Err(Stop::Shown),
    }
}

/// Prints a report of facts that are at hand.
pub(crate) fn print(
    name: &str,
    facts: &Facts,
    output: &OutputArgs,
    read: &[PathBuf],
) -> Result<(), Stop> {
    let report =
        reports::by_name(name).ok_or_else(|| Stop::Said(format!("there is no report `{name}`")))?;
    let made = Made {
        document: &|| (report.build)(facts),
        json: &|| report.json(facts),
    };
    put(&made, output, &page(output), read)
}

/// The end of a command after a report of a plan.
pub(crate) fn finished(facts: &Facts) -> u8 {
    match facts.planned() {
        Some(plan) if !plan.verdict.holds => FAILS,
        _ => DONE,
    }
}

/// The end of a command that writes something else than a report: where the first plan fails,
/// the reason is said beside it.
pub(crate) fn verdict(plans: &[Plan], units: Units) -> u8 {
    match plans.first() {
        Some(plan) if fail(plan.findings()) => {
            show::failures(&plan.findings(), units);
            FAILS
        }
        _ => DONE,
    }
}

/// Plans again without what is not there; the first plan as it was, where anything is lost.
fn lose(
    (race, plans): &mut (Race, Vec<Plan>),
    missing: &WithoutArgs,
    loaded: &mut Loaded,
) -> Option<Plan> {
    race.losses = missing.read(race, loaded);
    if race.losses.is_empty() {
        return None;
    }
    let before = plans.first().cloned()?;
    for plan in plans {
        *plan = race.packed_again(&loaded.inputs, plan);
    }
    Some(before)
}

/// A report to be made when its format is known.
pub(crate) struct Made<'a> {
    pub(crate) document: &'a dyn Fn() -> Document,
    pub(crate) json: &'a dyn Fn() -> serde_json::Value,
}

/// The race and its plans as reports see them.
pub(crate) fn view<'a>(
    race: &'a Race,
    plans: &'a [Plan],
    loaded: &'a Loaded,
    units: UnitsArg,
) -> View<'a> {
    View {
        race,
        inputs: &loaded.inputs,
        plans,
        units: units.into(),
        before: None,
        warnings: loaded.notes.all(),
    }
}

/// The format and units of the report.
pub(crate) fn page(args: &OutputArgs) -> formats::TextSurface {
    formats::TextSurface {
        width: if args.output.is_some() {
            80
        } else {
            show::width()
        },
        colour: args.output.is_none() && show::colours(&std::io::stdout()),
    }
}

/// Writes a report in the format asked for, to where it was asked for.
pub(crate) fn put(
    made: &Made<'_>,
    args: &OutputArgs,
    page: &formats::TextSurface,
    read: &[PathBuf],
) -> Result<(), Stop> {
    let ending = args.output.as_ref().and_then(|path| path.extension());
    let ending = ending.map(|ending| ending.to_string_lossy().to_lowercase());
    let format = match ending.as_deref() {
        Some("pdf") => return printed(made, args, page, read),
        Some("png" | "jpg" | "jpeg" | "svg") => {
            return Err(Stop::Said(
                "a report is not a picture: end its name with .pdf, .html, .md, .csv, .json or .txt; \
                 sutler poster and sutler book draw"
                    .to_owned(),
            ));
        }
        // a file that is named after another format than the terminal's is of that format
        Some("html" | "htm") if args.format == TERMINAL => "html",
        Some("md") if args.format == TERMINAL => "markdown",
        Some("csv") if args.format == TERMINAL => "csv",
        Some("json") if args.format == TERMINAL => "json",
        _ => &args.format,
    };
    let text = match every_format().find(|known| known.name == format) {
        Some(format) => (format.write)(&(made.document)(), page),
        None => {
            serde_json::to_string_pretty(&(made.json)()).map_err(|e| Stop::Said(e.to_string()))?
                + "\n"
        }
    };
    match &args.output {
        Some(path) => save::output(path, text.as_bytes(), args.overwrite, read),
        None => show::print(&text),
    }
}

/// The format where none is asked for.
const TERMINAL: &str = "table";

/// The report as a page, printed by a browser.
fn printed(
    made: &Made<'_>,
    args: &OutputArgs,
    page: &formats::TextSurface,
    read: &[PathBuf],
) -> Result<(), Stop> {
    let Some(path) = &args.output else {
        return Ok(());
    };
    let browser = Browser::find()?;
    save::no_input(path, read)?;
    save::is_free(path, args.overwrite)?;
    let html = (document::FORMAT.write)(&(made.document)(), page);
    save::file(path, &browser.pdf(&html)?, args.overwrite)
}

/// Plans every finish; `None` where the notes say why not.
pub(crate) fn make(loaded: &mut Loaded, needs_plan: bool) -> Option<(Race, Vec<Plan>)> {
    if !loaded.makes_a_course() {
        return None;
    }
    if needs_plan && is_unset(&loaded.inputs) {
        let (race, finishes) = estimated(loaded)?;
        return plans(race, loaded, &finishes);
    }
    let mut missing = Notes::new();
    let finishes = finishes(&loaded.inputs, &mut missing);
    if needs_plan {
        loaded.notes.extend(missing);
    }
    let longest = finishes
        .iter()
        .map(|f| f.value)
        .max()
        .unwrap_or(Elapsed::ZERO);
    // a course is built even where other files have problems, so that its own are seen in one run
    let race = Race::prepare(&loaded.inputs, longest, &mut loaded.notes)?;
    let wanted = if needs_plan { finishes.as_slice() } else { &[] };
    plans(race, loaded, wanted)
}

/// Plans each of the finishes wanted.
fn plans(
    race: Race,
    loaded: &mut Loaded,
    wanted: &[Spanned<Elapsed>],
) -> Option<(Race, Vec<Plan>)> {
    if loaded.notes.has_errors() {
        return None;
    }
    let plans: Vec<Option<Plan>> = wanted
        .iter()
        .map(|finish| race.plan(&loaded.inputs, *finish, &mut loaded.notes))
        .collect();
    plans
        .into_iter()
        .collect::<Option<Vec<Plan>>>()
        .map(|plans| (race, plans))
}
