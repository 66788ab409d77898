//! Onto the terminal: reports to standard output, problems to standard error.

use std::io::{self, IsTerminal, Write};

use sutler::diagnostics::{Diagnostic, Sources, render};
use sutler::facts::FindingFacts;
use sutler::findings::{Finding, Weight};
use sutler::units::Units;

/// The reason that a command stopped before it was done.
#[derive(Debug, thiserror::Error)]
pub(crate) enum Stop {
    /// The problems were shown already.
    #[error("")]
    Shown,
    /// A file could not be read or written.
    #[error("{0}")]
    Said(String),
    /// Writing failed.
    #[error("could not write: {0}")]
    Io(#[from] io::Error),
}

/// Prints a report; a reader that has seen enough is no error.
pub(crate) fn print(text: &str) -> Result<(), Stop> {
    match io::stdout().lock().write_all(text.as_bytes()) {
        Err(e) if e.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        other => Ok(other?),
    }
}

/// Shows problems with the lines they are about.
pub(crate) fn problems(sources: &Sources, problems: &[Diagnostic]) {
    // an excerpt of a file may hold what some terminals take for commands
    let text = render(sources, problems, colours(&io::stderr()))
        .replace(|c| ('\u{80}'..='\u{9f}').contains(&c), "\u{fffd}");
    // nothing is left to tell where standard error is closed
    let _ = io::stderr().lock().write_all(text.as_bytes());
}

/// The reason that a file could not be read.
pub(crate) fn reason(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "no such file".to_owned(),
        io::ErrorKind::PermissionDenied => "permission denied".to_owned(),
        _ => {
            // a temporary file beside the one that was meant is no news to anyone
            let text = error.to_string();
            let system = text
                .split_once(" at path ")
                .map_or(&*text, |(says, _)| says);
            system
                .split_once(" (os error")
                .map_or(system, |(says, _)| says)
                .to_lowercase()
        }
    }
}

/// Says where a plan fails.
pub(crate) fn failures(findings: &[&Finding], units: Units) {
    for finding in findings
        .iter()
        .filter(|finding| finding.weight == Weight::Failure)
    {
        let _ = writeln!(io::stderr(), "the plan fails: {}", finding.says.show(units));
    }
}

/// Says which findings make a plan fail.
pub(crate) fn failing<'a>(findings: impl Iterator<Item = &'a FindingFacts>) {
    for finding in findings.filter(|finding| finding.fails()) {
        let _ = writeln!(io::stderr(), "the plan fails: {}", finding.text);
    }
}

/// Shows why a command stopped.
pub(crate) fn problem(stop: &Stop) {
    if !matches!(stop, Stop::Shown) {
        let _ = writeln!(io::stderr(), "error: {stop}");
    }
}

/// Colour goes to terminals only, and not where the user wants none.
pub(crate) fn colours(stream: &impl IsTerminal) -> bool {
    stream.is_terminal() && std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty())
}

/// Columns of the terminal, kept to what reads well; 80 where there is none.
pub(crate) fn width() -> usize {
    match terminal_size::terminal_size() {
        Some((terminal_size::Width(columns), _)) if io::stdout().is_terminal() => {
            usize::from(columns).clamp(60, 110)
        }
        _ => 80,
    }
}
