//! `sutler page`: the crew's page, one file.

use std::path::PathBuf;

use clap::Args as ClapArgs;

use sutler::exports::crew_page;
use sutler::facts::{Facts, PhoneFacts};

use super::args::{OUTPUT, SourceArgs, UnitsArg};
use super::load::load;
use super::show::Stop;
use super::without::WithoutArgs;
use super::{report, save};

#[derive(ClapArgs, Debug)]
pub(crate) struct PageArgs {
    #[command(flatten)]
    source: SourceArgs,
    /// The file to write, such as crew.html; open it on the phone before the signal goes
    ///
    /// It asks nothing of any other machine. Times that the crew enters stay on the phone.
    #[arg(short, long, value_name = "FILE", help_heading = OUTPUT)]
    output: PathBuf,
    /// Units to print in
    #[arg(long, value_name = "UNITS", default_value = "metric", help_heading = OUTPUT)]
    units: UnitsArg,
    /// Let --output replace an existing file
    #[arg(long, help_heading = OUTPUT)]
    overwrite: bool,
    #[command(flatten)]
    missing: WithoutArgs,
}

/// Writes the page.
pub(crate) fn run(args: &PageArgs) -> Result<u8, Stop> {
    let ending = args.output.extension().unwrap_or_default();
    if ["pdf", "png"]
        .iter()
        .any(|other| ending.eq_ignore_ascii_case(other))
    {
        return Err(Stop::Said(format!(
            "the crew's page is for a phone: end `{}` with .html, or print the crew's sheet with \
             sutler crew-sheet",
            args.output.display()
        )));
    }
    let mut loaded = load(&args.source);
    let raced = report::made_without(&mut loaded, true, &args.missing)?;
    let view = raced.view(&loaded, args.units);
    let phone = PhoneFacts::of(&view).ok_or(Stop::Shown)?;
    let text = crew_page(&Facts::of(&view), &phone);
    save::output(&args.output, text.as_bytes(), args.overwrite, &loaded.read)?;
    Ok(report::verdict(&raced.plans, view.units))
}
