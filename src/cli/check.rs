//! `sutler check`: every problem of every file in one run, then what the plan itself finds.

use sutler::facts::{CheckFacts, Facts};
use sutler::losses;

use super::args::ReportArgs;
use super::load::load;
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
    if let Some(plan) = plans.first() {
        let survey = losses::survey(&race, &loaded.inputs, plan);
        facts.check = Some(CheckFacts::of(&view, loaded.read.len(), &survey));
    }
    print("check", &facts, &args.output, &loaded.read)?;
    Ok(finished(&facts))
}
