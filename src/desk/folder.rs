//! The race folder: every file read and written whole, none written that is not the race's own.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use sutler::diagnostics::{Notes, SourceFile, Sources, Spanned};
use sutler::inputs::{PlanFile, plan_toml, route_gpx};

use super::role::Role;
use crate::cli::save;
use crate::cli::show::{Stop, reason};

/// The largest file that is read.
const MOST_BYTES: u64 = 64 * 1024 * 1024;

/// The files of one race.
#[derive(Clone, Debug)]
pub(super) struct Folder {
    /// The plan's file.
    pub(super) plan: PathBuf,
    /// The names that the plan gives.
    names: PlanFile,
}

/// True where a path leads elsewhere; nothing is written through a link.
pub(super) fn is_link(path: &Path) -> bool {
    std::fs::symlink_metadata(path).is_ok_and(|there| there.file_type().is_symlink())
}

/// Length and time of change of a file.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Stamp {
    length: u64,
    pub(super) changed: SystemTime,
}

impl Folder {
    /// The folder of a plan; the plan is read for the names it gives.
    pub(super) fn of(plan: &Path) -> Folder {
        let names = std::fs::read(plan)
            .ok()
            .and_then(|bytes| route_gpx::decode("plan.toml", bytes).ok())
            .map(|file: SourceFile| {
                let id = Sources::default().add(file.clone());
                plan_toml::read(&file, id, &mut Notes::new())
            });
        Folder {
            plan: plan.to_owned(),
            names: names.unwrap_or_default(),
        }
    }

    /// The plan's own folder.
    pub(super) fn own(&self) -> &Path {
        match self.plan.parent() {
            Some(folder) if !folder.as_os_str().is_empty() => folder,
            _ => Path::new("."),
        }
    }

    /// The path of a file, also of one to be made; `None` where the plan names no course to look in.
    pub(super) fn path(&self, role: Role) -> Option<PathBuf> {
        let files = &self.names.files;
        let named = match role {
            Role::Plan => return Some(self.plan.clone()),
            _ if role.is_of_course() => {
                let course = self.names.course.as_ref()?;
                return Some(self.beside(&course.value).join(role.file()));
            }
            Role::Runner => &files.runner,
            Role::Pantry => &files.pantry,
            Role::Gear => &files.gear,
            Role::Weather => &files.weather,
            Role::Crew => &files.crew,
            Role::Record => &files.record,
            _ => &None,
        };
        let name = named.as_ref().map(|name: &Spanned<String>| &*name.value);
        Some(self.beside(name.unwrap_or(role.file())))
    }

    /// A path as the command line would make it of the plan's.
    fn beside(&self, name: &str) -> PathBuf {
        self.plan.parent().unwrap_or(Path::new("")).join(name)
    }

    /// Signs of changed files, without reading them.
    pub(super) fn stamps(&self) -> BTreeMap<Role, Option<Stamp>> {
        let stamp = |role| {
            let there = std::fs::metadata(self.path(role)?).ok()?;
            let changed = there.modified().unwrap_or_else(|_| SystemTime::now());
            Some(Stamp {
                length: there.len(),
                changed,
            })
        };
        Role::ALL
            .into_iter()
            .map(|role| (role, stamp(role)))
            .collect()
    }

    /// Contents of a file; `None` where there is none.
    pub(super) fn read(&self, role: Role) -> Result<Option<Vec<u8>>, Stop> {
        let Some(path) = self.path(role) else {
            return Ok(None);
        };
        let failed = |why: &str| Stop::Said(format!("could not read `{}`: {why}", path.display()));
        match std::fs::metadata(&path) {
            Err(e) if e.kind() == std::io::ErrorKind::NotFound => return Ok(None),
            Err(e) => return Err(failed(&reason(&e))),
            Ok(there) if !there.is_file() => return Err(failed("it is not a regular file")),
            Ok(there) if there.len() > MOST_BYTES => return Err(failed("it is too large")),
            Ok(_) => {}
        }
        std::fs::read(&path)
            .map(Some)
            .map_err(|e| failed(&reason(&e)))
    }

    /// Writes a file whole or not at all, where it still holds `old`; `None` takes it away.
    pub(super) fn write(
        &self,
        role: Role,
        old: Option<&[u8]>,
        new: Option<&str>,
    ) -> Result<(), Stop> {
        let path = self.path(role).ok_or_else(|| {
            Stop::Said("the plan names no course folder, so there is none to write in".to_owned())
        })?;
        self.is_own(role, &path)?;
        match new {
            Some(new) => save::changed(&path, old, new),
            None => std::fs::remove_file(&path)
                .map_err(|e| Stop::Said(format!("could not remove `{}`: {e}", path.display()))),
        }
    }

    /// Refuses a file that is not of this race: one that a link or a name with `..` leads to.
    ///
    /// Files of the runner lie in the plan's folder. Those of the course lie in the course folder,
    /// which several plans may share: in the plan's folder or beside it.
    fn is_own(&self, role: Role, path: &Path) -> Result<(), Stop> {
        let refused = |why: &str| Err(Stop::Said(format!("`{}` {why}", path.display())));
        if is_link(path) {
            return refused("is a link, so the desk leaves it alone; change it in an editor");
        }
        let home = match &self.names.course {
            Some(course) if role.is_of_course() => self.beside(&course.value),
            _ => self.own().to_owned(),
        };
        if role.is_of_course() && is_link(&home) {
            return refused("lies in a folder that is a link, so the desk leaves it alone");
        }
        let parent = path.parent().unwrap_or(Path::new(""));
        let parent = if parent.as_os_str().is_empty() {
            Path::new(".")
        } else {
            parent
        };
        let (Ok(parent), Ok(home)) = (parent.canonicalize(), home.canonicalize()) else {
            return refused("lies in a folder that is not there");
        };
        let own = self.own().canonicalize();
        let near = own.ok().and_then(|own| own.parent().map(Path::to_owned));
        let is_near = near.is_none_or(|near| home.starts_with(near));
        if !parent.starts_with(&home) || !is_near {
            return refused("lies outside the race folder, so the desk leaves it alone");
        }
        Ok(())
    }
}
