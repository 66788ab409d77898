//! `sutler finish`: which finishes are in reach, before a target is set.

use sutler::facts::{Facts, Flat, OutlookFacts};
use sutler::finish::Outlook;

use super::args::FinishArgs;
use super::estimated::race;
use super::load::load;
use super::report::{print, view};
use super::show::Stop;
use super::{DONE, show};

/// Prints estimate, slowest safe finish and accepted range.
pub(crate) fn run(args: &FinishArgs) -> Result<u8, Stop> {
    let mut loaded = load(&args.report.source);
    let outlook = race(&mut loaded).and_then(|race| {
        let cushion = args.cushion;
        let outlook = Outlook::over(&race, &loaded.inputs, cushion);
        (!loaded.notes.has_errors()).then_some((race, outlook))
    });
    show::problems(&loaded.sources, loaded.notes.all());
    let (race, outlook) = outlook.ok_or(Stop::Shown)?;
    let view = view(&race, &[], &loaded, args.report.output.units);
    let facts = Facts {
        outlook: Some(Flat(OutlookFacts::of(&view, &outlook))),
        ..Facts::of(&view)
    };
    print("finish", &facts, &args.report.output, &loaded.read)?;
    Ok(DONE)
}
