//! The `sutler` command.

mod cli;
mod desk;

fn main() -> std::process::ExitCode {
    cli::run()
}
