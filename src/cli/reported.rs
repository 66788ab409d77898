//! Verbs that print a report of a plan: one for each such report there is.

use clap::error::ErrorKind;
use clap::{ArgMatches, Args, Command, Error, FromArgMatches, Subcommand};

use sutler::reports::{Needs, Report, of_a_plan};

use super::args::ReportArgs;
use super::without::PlannedArgs;

/// A report of a plan with what was typed after its name.
#[derive(Debug)]
pub(crate) struct ReportVerb {
    pub(crate) report: &'static Report,
    pub(crate) args: PlannedArgs,
}

/// A verb; a report of the course alone has nothing to lose.
fn verb(report: &Report) -> Command {
    let (first, rest) = report.about.split_at(1);
    let verb = Command::new(report.name).about(first.to_uppercase() + rest);
    match report.needs {
        Needs::Course => ReportArgs::augment_args(verb),
        _ => PlannedArgs::augment_args(verb),
    }
}

impl Subcommand for ReportVerb {
    fn augment_subcommands(command: Command) -> Command {
        command.subcommands(of_a_plan().map(verb))
    }

    fn augment_subcommands_for_update(command: Command) -> Command {
        Self::augment_subcommands(command)
    }

    fn has_subcommand(name: &str) -> bool {
        of_a_plan().any(|report| report.name == name)
    }
}

impl FromArgMatches for ReportVerb {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, Error> {
        let (name, typed) = matches
            .subcommand()
            .ok_or_else(|| Error::new(ErrorKind::MissingSubcommand))?;
        let report = of_a_plan()
            .find(|report| report.name == name)
            .ok_or_else(|| Error::new(ErrorKind::InvalidSubcommand))?;
        let args = match report.needs {
            Needs::Course => PlannedArgs {
                report: ReportArgs::from_arg_matches(typed)?,
                ..PlannedArgs::default()
            },
            _ => PlannedArgs::from_arg_matches(typed)?,
        };
        Ok(ReportVerb { report, args })
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), Error> {
        *self = Self::from_arg_matches(matches)?;
        Ok(())
    }
}
