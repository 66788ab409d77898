//! `sutler new`: a folder of commented examples that plans as it is.

use super::args::NewArgs;
use super::show::Stop;

/// Writes the folder, whole or not at all.
pub(crate) fn run(_args: &NewArgs) -> Result<u8, Stop> {
    Err(Stop::Said("not yet".to_owned()))
}
