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
    /// What pacing alone leaves open. Without it they count how uncertain the finish itself is.
    #[arg(long, help_heading = "Race")]
    pub(crate) on_target: bool,
    #[command(flatten)]
    pub(crate) missing: WithoutArgs,
}

#[derive(Args, Debug, Default)]
pub(crate) struct WithoutArgs {
    /// Plan without something, such as "bag:Innerfalz"; any number of them
    ///
    /// bag:PLACE a drop bag that did not come, crew:PLACE a crew that is not there, offers:PLACE a
    /// station without food and water, item:NAME a food the stomach refuses, flask a lost flask, the
    /// largest. What is left is packed again, and the difference is shown. `sutler check` tries each.
    #[arg(long, value_name = "LOSS", help_heading = "Not there after all")]
    pub(crate) without: Vec<String>,
}

impl WithoutArgs {
    /// What was typed; what is wrong with it goes to the notes.
    pub(crate) fn read(&self, race: &Race, loaded: &mut Loaded) -> Losses {
        if self.without.is_empty() {
            return Losses::default();
        }
        let sources: &mut Sources = &mut loaded.sources;
        losses::read(
            &self.without,
            race,
            &loaded.inputs,
            sources,
            &mut loaded.notes,
        )
    }
}
