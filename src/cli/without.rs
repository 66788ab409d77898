//! `--without`: things that turn out to be missing.

use clap::Args;

use sutler::diagnostics::Sources;
use sutler::losses;
use sutler::packing::Losses;
use sutler::plan::Race;

use super::args::ReportArgs;
use super::load::Loaded;

#[derive(Args, Debug, Default)]
pub(crate) struct PlannedArgs {
    #[command(flatten)]
    pub(crate) report: ReportArgs,
    /// Early and late arrivals as if the finish were met exactly
    ///
    /// They then show pacing alone. Without it they count how uncertain the finish itself is.
    #[arg(long, help_heading = "Race")]
    pub(crate) on_target: bool,
    #[command(flatten)]
    pub(crate) missing: WithoutArgs,
}

#[derive(Args, Debug, Default)]
pub(crate) struct WithoutArgs {
    /// Plan without something, such as "bag:Innerfalz"; any number of them
    ///
    /// bag:PLACE is a drop bag that did not come; crew:PLACE a crew that is not there; crew the whole
    /// crew; offers:PLACE a station without food and water; item:NAME a food the stomach refuses or a
    /// piece of gear such as the lamp; flask the largest flask, lost. What is left is packed again,
    /// and the difference is shown. `sutler check` tries each.
    #[arg(long, value_name = "LOSS", help_heading = "If something is missing")]
    pub(crate) without: Vec<String>,
    /// Suppose that you only find out on the day, on the spot
    ///
    /// Otherwise the loss is known before the start, and you pack around it. `replan` always supposes
    /// that it was found out on the day.
    #[arg(long, requires = "without", help_heading = "If something is missing")]
    pub(crate) found_out: bool,
}

impl WithoutArgs {
    /// Losses as typed; what is wrong with them goes to the notes.
    pub(crate) fn read(&self, race: &Race, loaded: &mut Loaded) -> Losses {
        if self.without.is_empty() {
            return Losses::default();
        }
        let sources: &mut Sources = &mut loaded.sources;
        let losses = losses::read(
            &self.without,
            race,
            &loaded.inputs,
            sources,
            &mut loaded.notes,
        );
        Losses {
            unforeseen: self.found_out && !losses.is_empty(),
            ..losses
        }
    }
}
