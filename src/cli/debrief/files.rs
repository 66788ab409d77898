//! The record and the runner file: found, and changed whole or not at all.

use std::path::{Path, PathBuf};

use sutler::debrief::Proposal;
use sutler::diagnostics::Spanned;
use sutler::inputs::RunRecord;
use sutler::reports;

use super::DebriefArgs;
use crate::cli::fit::say;
use crate::cli::load::Loaded;
use crate::cli::show::Stop;
use crate::cli::{change, save, show};

/// The two files that a debrief may change.
pub(super) struct Files {
    pub(super) record: PathBuf,
    runner: PathBuf,
}

impl Files {
    /// Those that the plan names, beside it.
    pub(super) fn of(args: &DebriefArgs, loaded: &Loaded) -> Files {
        let plan = args.plan.clone().unwrap_or_else(|| "plan.toml".into());
        let folder = if plan.is_dir() {
            plan
        } else {
            plan.parent().map(Path::to_path_buf).unwrap_or_default()
        };
        let names = &loaded.inputs.plan.files;
        let named = |name: &Option<Spanned<String>>, usual: &str| {
            folder.join(name.as_ref().map_or(usual, |name| name.value.as_str()))
        };
        Files {
            record: named(&names.record, "long-runs/record.toml"),
            runner: named(&names.runner, "runner.toml"),
        }
    }

    /// First the record, with the lines that the runner file is about to lose, then the runner
    /// file: whatever stops this in between, nothing is lost, and the next debrief goes on.
    pub(super) fn write(
        &self,
        run: &RunRecord,
        is_known: bool,
        proposal: &Proposal,
        change_runner: bool,
    ) -> Result<(), Stop> {
        let shown = |path: &Path| path.display().to_string();
        let failed = |path: &Path| {
            let path = shown(path);
            move |why: String| Stop::Said(format!("could not change `{path}`: {why}"))
        };
        let old_runner = text(&self.runner)?;
        let old = old_runner.as_deref().unwrap_or_default();
        let new = reports::with_proposal(old, proposal).map_err(failed(&self.runner))?;
        let change = change::between(old, &new);
        let old_record = text(&self.record)?;
        let mut record = old_record.clone().unwrap_or_default();
        if !is_known {
            record = reports::with_run(&record, run).map_err(failed(&self.record))?;
        }
        if change_runner {
            let gone = change.lines().filter_map(|line| line.strip_prefix("- "));
            let gone: Vec<String> = gone.map(|line| line.trim().to_owned()).collect();
            let print = run.fingerprint.as_deref().unwrap_or_default();
            if !gone.is_empty() {
                record =
                    reports::with_replaced(&record, print, &gone).map_err(failed(&self.record))?;
            }
        }
        if old_record.as_deref() == Some(record.as_str()) {
            say(&format!("`{}` has this run already\n", shown(&self.record)));
        } else {
            replace(&self.record, &record, old_record.is_some())?;
            say(&format!("`{}` has this run now\n", shown(&self.record)));
        }
        let runner = shown(&self.runner);
        if new == old {
            say(&format!("`{runner}` says this already\n"));
        } else if change_runner {
            replace(&self.runner, &new, old_runner.is_some())?;
            say(&format!("in `{runner}`:\n{change}"));
        } else {
            say(&format!("--write would change `{runner}`:\n{change}"));
        }
        Ok(())
    }
}

/// The text of a file, `None` where there is none yet.
fn text(path: &Path) -> Result<Option<String>, Stop> {
    match std::fs::read_to_string(path) {
        Ok(text) => Ok(Some(text)),
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => Ok(None),
        Err(e) => Err(Stop::Said(format!(
            "could not read `{}`: {}",
            path.display(),
            show::reason(&e)
        ))),
    }
}

/// Writes a file whole, its folder too; a link stays a link.
fn replace(path: &Path, text: &str, is_there: bool) -> Result<(), Stop> {
    if let Some(folder) = path
        .parent()
        .filter(|folder| !folder.as_os_str().is_empty())
    {
        std::fs::create_dir_all(folder)
            .map_err(|e| Stop::Said(format!("could not make `{}`: {e}", folder.display())))?;
    }
    let place = path.canonicalize();
    save::file(place.as_deref().unwrap_or(path), text.as_bytes(), is_there)
}
