//! `sutler replan`: the rest of a race that goes differently, from what was seen on the way.

use clap::Args as ClapArgs;

use sutler::diagnostics::Notes;
use sutler::facts::{CautionFacts, Facts, Flat, ReplanFacts};
use sutler::plan::{Plan, Race};
use sutler::replan::{self, Replan};
use sutler::time::Elapsed;

use super::args::ReportArgs;
use super::estimated::{estimated, is_unset};
use super::load::{Loaded, finishes, load};
use super::report::{print, view};
use super::show::Stop;
use super::without::WithoutArgs;
use super::{DONE, FAILS, show};

const SEEN: &str = "Seen";

#[derive(ClapArgs, Debug)]
pub(crate) struct ReplanArgs {
    #[command(flatten)]
    pub(crate) report: ReportArgs,
    /// An arrival, such as "Innerfalz=19:40"; any number of them
    ///
    /// A station, a place or a station's number, and a time: by the clock there (`19:40`), with the
    /// day (`Sun 02:31`) or the date (`2026-10-25T02:31`), or since the runner's own start (`+20:31`).
    /// A part of the name that no other place has is enough, with or without its accents.
    /// A clock time without a day is the one nearest to the plan. When the clocks go back, `02:31¹` and
    /// `02:31²`, or an offset (`02:31+01:00`), say which of the two.
    #[arg(long, value_name = "STATION=TIME", required_unless_present = "left", help_heading = SEEN)]
    pub(crate) seen: Vec<String>,
    /// A departure, such as "Innerfalz=20:05"; without one the planned stop counts
    #[arg(long, value_name = "STATION=TIME", help_heading = SEEN)]
    pub(crate) left: Vec<String>,
    /// Caffeine taken so far, such as "caffeine gel=2" or 95mg; any number of them
    ///
    /// Servings of a food in the pantry, or milligrams. Without it, all that was planned so far counts
    /// as taken. It counts as taken just before the runner was last seen, so that no more than is safe
    /// in 24 hours is planned, and the next dose not too soon.
    #[arg(long, value_name = "FOOD=SERVINGS", help_heading = SEEN)]
    pub(crate) took: Vec<String>,
    #[command(flatten)]
    pub(crate) missing: WithoutArgs,
}

/// Prints the rest of the day, two ways.
pub(crate) fn run(args: &ReplanArgs) -> Result<u8, Stop> {
    let (loaded, facts) = facts(args);
    show::problems(&loaded.sources, loaded.notes.all());
    let facts = facts.ok_or(Stop::Shown)?;
    print("replan", &facts, &args.report.output, &loaded.read)?;
    let fails = facts.replan.is_some_and(|replan| replan.0.fails());
    Ok(if fails { FAILS } else { DONE })
}

/// The rest of the day; nothing where the notes say why not.
pub(crate) fn facts(args: &ReplanArgs) -> (Loaded, Option<Facts>) {
    let mut loaded = load(&args.report.source);
    let Some((race, plan, replan)) = make(&mut loaded, args) else {
        return (loaded, None);
    };
    let view = view(
        &race,
        std::slice::from_ref(&plan),
        &loaded,
        args.report.output.units,
    );
    let mut facts = Facts::of(&view);
    if let Some(planned) = &mut facts.plan {
        // those of the day as it goes
        planned.0.cautions = CautionFacts::all(&replan.cautions);
    }
    facts.replan = Some(Flat(ReplanFacts::of(&view, &plan, &replan)));
    (loaded, Some(facts))
}

/// The plan as it was, and the rest from what was seen; `None` where the notes say why not.
fn make(loaded: &mut Loaded, args: &ReplanArgs) -> Option<(Race, Plan, Replan)> {
    let finish = if is_unset(&loaded.inputs) {
        estimated(loaded).and_then(|(_, finishes)| finishes.first().copied())
    } else {
        finishes(&loaded.inputs, &mut Notes::new()).first().copied()
    };
    // kept apart, so that the files are still made into a race and all is said in one run
    let mut said = Notes::new();
    let seen = replan::observations(&args.seen, &args.left, &mut loaded.sources, &mut said);
    let pantry = &loaded.inputs.pantry;
    let took_mg = replan::took(&args.took, pantry, &mut loaded.sources, &mut said);
    // a race that goes wrong may take much longer than planned, and meets its nights all the same
    let longest = finish.map_or(Elapsed::ZERO, |f| f.value + f.value);
    let race = Race::prepare(&loaded.inputs, longest, &mut loaded.notes);
    let plan = race
        .as_ref()
        .zip(finish)
        .and_then(|(race, finish)| race.plan(&loaded.inputs, finish, &mut loaded.notes));
    let Some((mut race, plan)) = race.zip(plan) else {
        loaded.notes.extend(said);
        return None;
    };
    // what is packed is packed: a bag that did not come is found out there
    race.losses = args.missing.read(&race, loaded);
    race.losses.unforeseen = !race.losses.is_empty();
    let inputs = &loaded.inputs;
    let replan = replan::make(
        &race,
        inputs,
        &plan,
        &seen,
        took_mg,
        &loaded.sources,
        &mut said,
    );
    loaded.notes.extend(said);
    if loaded.notes.has_errors() {
        return None;
    }
    replan.map(|replan| (race, plan, replan))
}
