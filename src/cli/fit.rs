//! `sutler fit`: recordings in, a runner's own figures out.

use std::io::Write;
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use sutler::diagnostics::{Diagnostic, Notes, Severity, SourceFile, Sources};
use sutler::facts::{Facts, FitFacts};
use sutler::fit::{Fit, FitVerdict, Recording};
use sutler::inputs::{route_gpx, runner_toml};
use sutler::reports;

use super::args::FitArgs;
use super::own_file::OwnFile;
use super::read_file;
use super::report::print;
use super::show::Stop;
use super::{DONE, show};

/// Fits recordings, prints the report and changes the runner file if that is asked for.
pub(crate) fn run(args: &FitArgs) -> Result<u8, Stop> {
    // a runner file that cannot be changed is said before the work
    let runner = args.write.as_deref().map(runner_file).transpose()?;
    let files = files(&args.runs)?;
    let read: Vec<Read> = files.par_iter().map(|path| read(path)).collect();
    let mut recordings = Vec::new();
    let mut left_out = Vec::new();
    for one in read {
        show::problems(&one.sources, one.notes.all());
        match one.recording {
            Ok(recording) => recordings.push(recording),
            Err(why) => left_out.push(*why),
        }
    }
    let fit = Fit::of(recordings, &mut left_out);
    show::problems(&Sources::default(), &left_out);
    let Some(fit) = fit else {
        return Err(Stop::Said("no recording could be used".to_owned()));
    };
    let units = args.output.units.into();
    let lines = reports::pacing_lines(&fit);
    let facts = Facts {
        fit: Some(FitFacts::of(&fit, &left_out, units, lines)),
        ..Facts::unplanned(units)
    };
    let read: Vec<PathBuf> = files.iter().chain(&args.write).cloned().collect();
    print("fit", &facts, &args.output, &read)?;
    if let Some(runner) = &runner {
        write(runner, &fit)?;
    }
    Ok(DONE)
}

/// The files to read: those named, and the `.gpx` files of folders in the order of their names.
fn files(named: &[PathBuf]) -> Result<Vec<PathBuf>, Stop> {
    let mut files = Vec::new();
    for path in named {
        if !path.is_dir() {
            files.push(path.clone());
            continue;
        }
        let failed =
            |e: std::io::Error| Stop::Said(format!("could not read `{}`: {e}", path.display()));
        let mut inside = Vec::new();
        for entry in std::fs::read_dir(path).map_err(failed)? {
            let entry = entry.map_err(failed)?.path();
            let is_gpx = entry
                .extension()
                .is_some_and(|e| e.eq_ignore_ascii_case("gpx"));
            if is_gpx && entry.is_file() {
                inside.push(entry);
            }
        }
        if inside.is_empty() {
            return Err(Stop::Said(format!(
                "there is no GPX file in `{}`",
                path.display()
            )));
        }
        inside.sort();
        files.extend(inside);
    }
    Ok(files)
}

/// The yield of one file.
pub(crate) struct Read {
    pub(crate) sources: Sources,
    pub(crate) notes: Notes,
    pub(crate) recording: Result<Recording, Box<Diagnostic>>,
}

pub(crate) fn read(path: &Path) -> Read {
    let name = path.display().to_string();
    let mut one = Read {
        sources: Sources::default(),
        notes: Notes::new(),
        recording: Err(Box::new(Diagnostic::warning(format!(
            "`{name}` is left out: it could not be read"
        )))),
    };
    let bytes = match read_file::bytes(path) {
        Ok(bytes) => bytes,
        Err(e) => {
            let why = format!("`{name}` is left out: {}", show::reason(&e));
            one.recording = Err(Box::new(Diagnostic::warning(why)));
            return one;
        }
    };
    let file = match route_gpx::decode(&name, bytes) {
        Ok(file) => file,
        Err(problem) => {
            one.notes.push(softened(problem));
            return one;
        }
    };
    let mut said = Notes::new();
    let track = route_gpx::read(&file, one.sources.add(file.clone()), &mut said);
    let failed = said.has_errors();
    said.all()
        .iter()
        .for_each(|problem| one.notes.push(softened(problem.clone())));
    if !failed {
        one.recording = Recording::read(&name, &track).map_err(Box::new);
    }
    if one.notes.is_empty() {
        // nothing is said about it, so its text is not needed any more
        one.sources = Sources::default();
    }
    one
}

/// One bad file does not stop the others, so it is no error.
fn softened(problem: Diagnostic) -> Diagnostic {
    Diagnostic {
        severity: Severity::Warning,
        ..problem
    }
}

/// The runner file to be changed; one that cannot be read as such is said.
fn runner_file(path: &Path) -> Result<OwnFile, Stop> {
    let own = OwnFile::read(path)?;
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let file = SourceFile::new(own.name(), own.text.as_str());
    runner_toml::read(&file, sources.add(file.clone()), &mut notes);
    show::problems(&sources, notes.all());
    if notes.has_errors() {
        return Err(Stop::Shown);
    }
    Ok(own)
}

/// Puts the figures in.
fn write(runner: &OwnFile, fit: &Fit) -> Result<(), Stop> {
    let shown = runner.name();
    if fit.own.verdict == FitVerdict::NoBetter {
        say(&format!(
            "`{shown}` is left as it is: the defaults predict your runs as well\n"
        ));
        return Ok(());
    }
    let failed = |why: String| Stop::Said(format!("could not change `{shown}`: {why}"));
    let new = reports::with_pacing(&runner.text, fit).map_err(failed)?;
    if new == runner.text {
        say(&format!("`{shown}` says this already\n"));
        return Ok(());
    }
    say(&format!("in `{shown}`:\n{}", runner.changes(&new)));
    runner.replace(&new)
}

/// On standard error, for standard output holds the report; nothing is lost where that is closed.
pub(crate) fn say(text: &str) {
    let _ = std::io::stderr().lock().write_all(text.as_bytes());
}
