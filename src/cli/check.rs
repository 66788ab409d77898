//! `sutler check`: every problem of every file in one run, then what the plan itself finds.

use sutler::facts::{CheckFacts, Facts};
use sutler::losses;
use sutler::reports::View;

use super::args::ReportArgs;
use super::load::{Loaded, load};
use super::report::{finished, make, print, view};
use super::show::{self, Stop};

/// Checks a plan and its files.
pub(crate) fn run(args: &ReportArgs) -> Result<u8, Stop> {
    let mut loaded = load(&args.source);
    let made = make(&mut loaded, true);
    show::problems(&loaded.sources, loaded.notes.all());
    let (race, plans) = made.ok_or(Stop::Shown)?;
    let view = view(&race, &plans, &loaded, args.output.units);
    let mut facts = Facts::of(&view);
    facts.check = checked(&view, &loaded);
    print("check", &facts, &args.output, &loaded.read)?;
    Ok(finished(&facts))
}

/// The losses of a view's first plan, tried one at a time.
pub(crate) fn checked(view: &View<'_>, loaded: &Loaded) -> Option<CheckFacts> {
    let survey = losses::survey(view.race, &loaded.inputs, view.plans.first()?);
    Some(CheckFacts::of(view, loaded.read.len(), &survey))
}
