//! `sutler explain`: where a printed number comes from.

use clap::Args as ClapArgs;

use sutler::explain::explain;
use sutler::facts::Facts;

use super::DONE;
use super::args::{ReportArgs, SourceArgs};
use super::load::load;
use super::report::{make, print, view};
use super::show::{self, Stop};

#[derive(ClapArgs, Debug)]
pub(crate) struct ExplainArgs {
    /// A station's name, a part of it or its number; a segment goes by the station it leads to
    station: String,
    /// The number, such as arrival, leave-by, margin, chance, climb, drink, carry or carbs
    what: String,
    #[command(flatten)]
    report: ReportArgs,
}

pub(crate) fn run(args: &ExplainArgs) -> Result<u8, Stop> {
    let mut source = args.report.source.clone();
    let (station, what) = (&args.station, &args.what);
    // most verbs want the plan first, so it may stand first here too
    if source.plan.is_some() && is_plan(station) {
        let last = source.plan.replace(station.into());
        let typed = last.and_then(|path| path.into_os_string().into_string().ok());
        return run_for(args, &source, what, &typed.unwrap_or_default());
    }
    run_for(args, &source, station, what)
}

/// True where a word names a plan: a file of settings or a folder.
fn is_plan(word: &str) -> bool {
    word.ends_with(".toml") || std::path::Path::new(word).is_dir()
}

fn run_for(args: &ExplainArgs, source: &SourceArgs, station: &str, what: &str) -> Result<u8, Stop> {
    let mut loaded = load(source);
    let made = make(&mut loaded, true);
    show::problems(&loaded.sources, loaded.notes.all());
    let (race, plans) = made.ok_or(Stop::Shown)?;
    let output = &args.report.output;
    let view = view(&race, &plans, &loaded, output.units);
    let mut facts = Facts::of(&view);
    match explain(&view, &facts, &loaded.sources, station, what) {
        Ok(explained) => facts.explain = Some(explained),
        Err(problem) => {
            show::problems(&loaded.sources, &[problem]);
            return Err(Stop::Shown);
        }
    }
    print("explain", &facts, output, &loaded.read)?;
    Ok(DONE)
}
