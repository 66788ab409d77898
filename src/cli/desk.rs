//! `sutler desk`: a race planned on a page.

use std::path::PathBuf;

use clap::Args as ClapArgs;

use crate::desk::{Opening, serve};

use super::DONE;
use super::show::Stop;

#[derive(ClapArgs, Debug)]
pub(crate) struct DeskArgs {
    /// A race folder or a plan to open, or a folder to make a race in [default: this folder]
    plan: Option<PathBuf>,
    /// The port to listen on, for this machine only [default: any that is free]
    #[arg(long, value_name = "N", default_value_t = 0, hide_default_value = true)]
    port: u16,
    /// Print the address and open no browser
    #[arg(long)]
    no_browser: bool,
}

/// Serves the page until it is closed.
pub(crate) fn run(args: &DeskArgs) -> Result<u8, Stop> {
    serve(&Opening {
        given: args.plan.clone().unwrap_or_else(|| PathBuf::from(".")),
        port: args.port,
        opens_browser: !args.no_browser,
    })?;
    Ok(DONE)
}
