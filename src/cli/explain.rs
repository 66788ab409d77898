//! `sutler explain`: where a printed number comes from.

use clap::Args as ClapArgs;

use sutler::explain::explain;
use sutler::facts::Facts;

use super::DONE;
use super::args::ReportArgs;
use super::load::load;
use super::report::{make, print, view};
use super::show::{self, Stop};

#[derive(ClapArgs, Debug)]
pub(crate) struct ExplainArgs {
    /// A station's name or number; a segment goes by the station it leads to
    station: String,
    /// The number, such as arrival, leave-by, margin, chance, climb, drink, carry or carbs
    what: String,
    #[command(flatten)]
    report: ReportArgs,
}

pub(crate) fn run(args: &ExplainArgs) -> Result<u8, Stop> {
    let mut loaded = load(&args.report.source);
    let made = make(&mut loaded, true);
    show::problems(&loaded.sources, loaded.notes.all());
    let (race, plans) = made.ok_or(Stop::Shown)?;
    let output = &args.report.output;
    let view = view(&race, &plans, &loaded, output.units);
    let mut facts = Facts::of(&view);
    match explain(&view, &facts, &loaded.sources, &args.station, &args.what) {
        Ok(explained) => facts.explain = Some(explained),
        Err(problem) => {
            show::problems(&loaded.sources, &[problem]);
            return Err(Stop::Shown);
        }
    }
    print("explain", &facts, output, &loaded.read)?;
    Ok(DONE)
}
