//! The command line: the only code that knows arguments, terminals, files and exit codes.

pub(crate) mod args;
pub(crate) mod book;
mod browser;
mod calendar;
mod change;
pub(crate) mod check;
mod debrief;
mod desk;
mod estimated;
mod explain;
mod finish;
mod fit;
mod help;
pub(crate) mod load;
pub(crate) mod new;
mod own_file;
mod page;
mod pages;
mod read_file;
mod rehearse;
pub(crate) mod replan;
pub(crate) mod report;
mod reported;
pub(crate) mod save;
pub(crate) mod show;
mod typed;
mod verbs;
pub(crate) mod without;

use std::process::ExitCode;

use clap::{CommandFactory, Parser};

use verbs::{Args, Verb};

/// Done.
const DONE: u8 = 0;
/// Done, but the plan misses a cutoff or cannot be carried.
const FAILS: u8 = 1;
/// Could not plan.
const COULD_NOT: u8 = 2;

/// Reads the command line and does what it says.
pub(crate) fn run() -> ExitCode {
    let outcome = match Args::parse().verb {
        Verb::New(args) => new::run(&args),
        Verb::Check(args) => check::run(&args),
        Verb::Report(verb) => report::run(&verb),
        Verb::Desk(args) => desk::run(&args),
        Verb::Finish(args) => finish::run(&args),
        Verb::Replan(args) => replan::run(&args),
        Verb::Rehearse(args) => rehearse::run(&args),
        Verb::Fit(args) => fit::run(&args),
        Verb::Debrief(args) => debrief::run(&args),
        Verb::Card(args) => pages::card(&args),
        Verb::CrewSheet(args) => pages::run("crew-sheet", &args),
        Verb::BagSheet(args) => pages::run("bag-sheet", &args),
        Verb::Poster(args) => pages::poster(&args),
        Verb::RaceBook(args) => pages::run("race-book", &args),
        Verb::Page(args) => page::run(&args),
        Verb::Book(args) => book::run(&args),
        Verb::Explain(args) => explain::run(&args),
        Verb::Help(args) => help::run(&args),
        Verb::Completions { shell } => {
            let mut script = Vec::new();
            clap_complete::generate(shell, &mut Args::command(), "sutler", &mut script);
            show::print(&String::from_utf8_lossy(&script)).map(|()| DONE)
        }
        Verb::Manual => manual().and_then(|page| show::print(&page)).map(|()| DONE),
    };
    ExitCode::from(outcome.unwrap_or_else(|stop| {
        show::problem(&stop);
        COULD_NOT
    }))
}

/// The whole manual: the command and every verb, in the format of `man`.
fn manual() -> Result<String, show::Stop> {
    let mut command = Args::command();
    command.build();
    let mut page = Vec::new();
    clap_mangen::Man::new(command.clone()).render(&mut page)?;
    for verb in command.get_subcommands().filter(|verb| !verb.is_hide_set()) {
        let name = format!("sutler {}", verb.get_name());
        clap_mangen::Man::new(verb.clone().display_name(&name)).render(&mut page)?;
    }
    Ok(String::from_utf8_lossy(&page).into_owned())
}

#[cfg(test)]
mod tests;
