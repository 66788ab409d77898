//! `--without`: what is not there after all.

use clap::Args;

use sutler::diagnostics::Sources;
use sutler::losses;
use sutler::packing::Losses;
use sutler::plan::Race;

use super::args::ReportArgs;
use super::load::Loaded;

#[derive(Args, Debug)]
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
    /// bag:PLACE a drop bag that did not come, crew:PLACE a crew that is not there, crew the whole crew,
    /// offers:PLACE a station without food and water, item:NAME a food the stomach refuses or a piece
    /// of gear such as the lamp, flask a lost flask, the largest. What is left is packed again, and the difference is shown. `sutler check` tries each.
    #[arg(long, value_name = "LOSS", help_heading = "Not there after all")]
    pub(crate) without: Vec<String>,
    /// Take what is missing as found out on the day, where it was to be
    ///
    /// By default it is known before the start and packed elsewhere. `replan` always takes it as found
    /// out on the day.
    #[arg(long, requires = "without", help_heading = "Not there after all")]
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
