//! The record and the runner file: found, and changed whole or not at all.

use std::fs::File;
use std::path::{Path, PathBuf};

use sutler::debrief::{Proposal, fingerprint};
use sutler::diagnostics::{Notes, Sources, Spanned};
use sutler::inputs::{RunRecord, plan_toml, route_gpx};
use sutler::reports;

use super::DebriefArgs;
use crate::cli::fit::say;
use crate::cli::own_file::OwnFile;
use crate::cli::read_file;
use crate::cli::show::Stop;

/// The two files that a debrief may change.
pub(super) struct Files {
    pub(super) record: PathBuf,
    pub(super) runner: PathBuf,
}

impl Files {
    /// Those that the plan names, beside it; what is wrong with the plan is said when it is loaded.
    pub(super) fn of(args: &DebriefArgs) -> Files {
        let mut plan = args.plan.clone().unwrap_or_else(|| "plan.toml".into());
        if plan.is_dir() {
            plan = plan.join("plan.toml");
        }
        let folder = plan.parent().map(Path::to_path_buf).unwrap_or_default();
        let read = read_file::bytes(&plan).ok();
        let read = read.and_then(|bytes| route_gpx::decode("plan", bytes).ok());
        let names = read.map(|file| {
            let id = Sources::default().add(file.clone());
            plan_toml::read(&file, id, &mut Notes::new()).files
        });
        let names = names.unwrap_or_default();
        let named = |name: &Option<Spanned<String>>, usual: &str| {
            folder.join(name.as_ref().map_or(usual, |name| name.value.as_str()))
        };
        Files {
            record: named(&names.record, "long-runs/record.toml"),
            runner: named(&names.runner, "runner.toml"),
        }
    }

    /// Keeps other debriefs from these files until it is dropped, and waits for those at work.
    ///
    /// Files are replaced whole, so a lock on one would not hold: their folders are locked, in an
    /// order that all share. Where folders cannot be opened or locked, as outside Unix, a file
    /// with the folder's name among the temporary ones stands for it. A file that was changed
    /// meanwhile is left alone in any case.
    pub(super) fn lock(&self) -> Vec<File> {
        let nearest = |file: &PathBuf| {
            let mut folders = file.ancestors().skip(1).map(|folder| {
                let here = Some(folder).filter(|folder| !folder.as_os_str().is_empty());
                here.unwrap_or(Path::new(".")).canonicalize()
            });
            folders.find_map(Result::ok)
        };
        let both = [&self.record, &self.runner];
        let mut folders: Vec<PathBuf> = both.into_iter().filter_map(nearest).collect();
        folders.sort();
        folders.dedup();
        let locked = |folder: &PathBuf| locked_folder(folder).or_else(|| stand_in(folder));
        folders.iter().filter_map(locked).collect()
    }

    /// The runner file as it would be, with what measured a run that goes taken out.
    pub(super) fn proposed(
        &self,
        gone: Option<&RunRecord>,
        proposal: &Proposal,
    ) -> Result<NewRunner, Stop> {
        let file = OwnFile::read(&self.runner)?;
        let failed = failed(&self.runner);
        let old = match gone {
            Some(run) => reports::without_day(&file.text, run.date).map_err(&failed)?,
            None => file.text.clone(),
        };
        let text = reports::with_proposal(&old, proposal).map_err(failed)?;
        Ok(NewRunner { file, text })
    }

    /// First the record, with the lines that the runner file is about to lose, then the runner
    /// file: whatever stops this in between, nothing is lost, and the next debrief goes on. Without
    /// `--write` it only says what it would do.
    pub(super) fn write(
        &self,
        args: &DebriefArgs,
        gone: Option<&RunRecord>,
        new: Option<&RunRecord>,
        runner: &NewRunner,
    ) -> Result<(), Stop> {
        let shown = self.record.display().to_string();
        let failed = || failed(&self.record);
        let old_record = OwnFile::read(&self.record)?;
        let mut record = old_record.text.clone();
        if let Some(run) = gone {
            record = reports::without_run(&record, run).map_err(failed())?;
        }
        let is_known = |run: &RunRecord| {
            let print = run.fingerprint.as_deref();
            print.is_some_and(|print| record.contains(print))
        };
        if let Some(run) = new.filter(|run| !is_known(run)) {
            record = reports::with_run(&record, run).map_err(failed())?;
        }
        let change = runner.file.changes(&runner.text);
        let lost = change.lines().filter_map(|line| line.strip_prefix("- "));
        let lost: Vec<String> = lost.map(|line| line.trim().to_owned()).collect();
        if let Some(run) = new.filter(|_| !args.keep_runner && !lost.is_empty()) {
            let print = run.fingerprint.as_deref().unwrap_or_default();
            record = reports::with_replaced(&record, print, &lost).map_err(failed())?;
        }
        let done = match (gone, new, args.write) {
            (Some(run), None, true) => format!(
                "`{}` of {} is taken out of `{shown}`",
                run.name.value, run.date
            ),
            (Some(run), None, false) => format!(
                "--write would take `{}` of {} out of `{shown}`",
                run.name.value, run.date
            ),
            (_, _, true) => format!("`{shown}` has this run now"),
            (_, _, false) => format!("--write would add this run to `{shown}`"),
        };
        if old_record.text == record
            || (!args.write && new.is_some_and(|run| gone.is_none() && is_in(&old_record, run)))
        {
            say(&format!("`{shown}` has this run already\n"));
        } else {
            if args.write {
                make_folder(&self.record)?;
                old_record.replace(&record)?;
            }
            say(&format!("{done}\n"));
        }
        let name = runner.file.name();
        if runner.text == runner.file.text {
            say(&format!("`{name}` says this already\n"));
        } else if args.write && !args.keep_runner {
            runner.file.replace(&runner.text)?;
            say(&format!("in `{name}`:\n{change}"));
        } else if args.write {
            say(&format!("`{name}` is left as it is\n"));
        } else {
            say(&format!("--write would change `{name}`:\n{change}"));
        }
        Ok(())
    }
}

/// The runner file, and what it is to say.
pub(super) struct NewRunner {
    pub(super) file: OwnFile,
    pub(super) text: String,
}

fn is_in(record: &OwnFile, run: &RunRecord) -> bool {
    let print = run.fingerprint.as_deref();
    print.is_some_and(|print| record.text.contains(print))
}

fn failed(path: &Path) -> impl Fn(String) -> Stop + use<> {
    let path = path.display().to_string();
    move |why| Stop::Said(format!("could not change `{path}`: {why}"))
}

fn make_folder(path: &Path) -> Result<(), Stop> {
    let folder = path.parent().unwrap_or(Path::new(""));
    if folder.as_os_str().is_empty() {
        return Ok(());
    }
    std::fs::create_dir_all(folder)
        .map_err(|e| Stop::Said(format!("could not make `{}`: {e}", folder.display())))
}

fn locked_folder(folder: &Path) -> Option<File> {
    let folder = File::open(folder).ok()?;
    folder.lock().ok()?;
    Some(folder)
}

/// A locked temporary file that every debrief of this folder opens.
fn stand_in(folder: &Path) -> Option<File> {
    let print = fingerprint(&[folder.to_string_lossy().as_bytes()]);
    let path = std::env::temp_dir().join(format!("sutler-{print}.lock"));
    let mut options = File::options();
    let file = options.create(true).write(true).truncate(false).open(path);
    let file = file.ok()?;
    file.lock().ok()?;
    Some(file)
}

#[cfg(test)]
mod tests;
