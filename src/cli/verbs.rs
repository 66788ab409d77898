//! The verbs that can be typed.

use clap::{Parser, Subcommand};

use super::args::{FinishArgs, FitArgs, HelpArgs, NewArgs, ReportArgs};
use super::reported::ReportVerb;

/// Race-day pacing and aid-station fueling for trail ultramarathons.
///
/// From a route, a station list with cutoffs and a finish time: when you will be where, how much
/// time is in hand, what to drink and eat on each segment, what goes into each drop bag and when
/// the crew must be standing there. Planning aid, not medical advice: race rules, local
/// authorities and licensed practitioners come first.
#[derive(Parser, Debug)]
#[command(
    name = "sutler",
    version,
    max_term_width = 100,
    after_help = AFTER,
    disable_help_subcommand = true
)]
pub(crate) struct Args {
    #[command(subcommand)]
    pub(crate) verb: Verb,
}

const AFTER: &str = "\
Quick start: sutler splits --route my.gpx --finish 10:30:00
Exit codes: 0 done; 1 done, but the plan misses a cutoff or cannot be carried; 2 could not plan";

#[derive(Subcommand, Debug)]
pub(crate) enum Verb {
    /// Write a folder of commented example files to start from
    New(NewArgs),
    /// Plan a race on a page of your own browser, with the plan answering while you drag
    Desk(super::desk::DeskArgs),
    /// List every problem in the files, every finding, and the losses that would break the plan
    Check(ReportArgs),
    /// A report of a plan.
    #[command(flatten)]
    Report(ReportVerb),
    /// Finishes in reach, from past results and from the cutoffs
    Finish(FinishArgs),
    /// The rest of the race from arrivals so far: hold the finish, or the effort
    Replan(super::replan::ReplanArgs),
    /// A long run that tries the plan out: race effort, rates and rhythm on a route at home
    Rehearse(super::rehearse::RehearseArgs),
    /// Your own pacing figures from recorded runs, and what they are worth
    Fit(FitArgs),
    /// Lessons of a long run: an entry for the record, and proposed runner figures
    Debrief(super::debrief::DebriefArgs),
    /// The pace card: what to know between any two stations, to cut out, fold and carry
    Card(super::pages::CardArgs),
    /// The crew's sheet: drives, parking, every stop step by step, room for real times
    CrewSheet(super::pages::SheetArgs),
    /// Shopping and packing lists to tick off, and a label for each drop bag
    BagSheet(super::pages::SheetArgs),
    /// The race on one sheet, for the wall or a phone's screen
    Poster(super::pages::PosterArgs),
    /// The race book: all of it with pictures, contents and where the numbers are from
    RaceBook(super::pages::SheetArgs),
    /// A page for the crew's phone: stations, windows, and the rest from arrivals so far
    Page(super::page::PageArgs),
    /// Everything into a folder: pictures, reports, calendar, track, and a page that shows them
    Book(super::book::BookArgs),
    /// Source of a printed number: sutler explain "Innerfalz" leave-by
    Explain(super::explain::ExplainArgs),
    /// A topic to look up: files, packing, race-day, rehearsals, accuracy, cautions, facts
    Help(HelpArgs),
    /// Print a script that completes commands in a shell
    Completions {
        /// The shell
        shell: clap_complete::Shell,
    },
    /// Print the manual in the format of `man`
    Manual,
}
