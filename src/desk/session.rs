//! One race being planned: its texts as they were last seen on disk, what was changed, and the
//! plan made of them.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, SystemTime};

use crate::cli::args::UnitsArg;
use crate::cli::show::Stop;

use super::answers::Planned;
use super::folder::{Folder, Stamp};
use super::refused::Refused;
use super::role::Role;

/// Steps that can be taken back.
const MOST_STEPS: usize = 500;
/// Two changes within it may bear the same time: the coarsest that file systems keep.
const MOMENT: Duration = Duration::from_secs(2);

/// One change of one file.
#[derive(Clone, Debug)]
struct UndoStep {
    role: Role,
    before: Option<Arc<str>>,
    after: Option<Arc<str>>,
}

/// A race folder that is open, or the place where one can be made.
pub(super) struct Session {
    pub(super) folder: Folder,
    /// The place where a new race folder may be made.
    pub(super) base: PathBuf,
    pub(super) units: UnitsArg,
    /// Counts on with every change, so that pages know that theirs is old.
    pub(super) version: u64,
    texts: BTreeMap<Role, Option<Vec<u8>>>,
    /// Signs of the files when they were read, and the time of that.
    stamps: BTreeMap<Role, Option<Stamp>>,
    read_at: SystemTime,
    done: Vec<UndoStep>,
    /// The number of those that hold; the others were taken back.
    holds: usize,
    planned: Option<Arc<Planned>>,
}

impl Session {
    pub(super) fn open(plan: &Path, base: &Path) -> Session {
        let mut session = Session {
            folder: Folder::of(plan),
            base: base.to_owned(),
            units: UnitsArg::Metric,
            version: 1,
            texts: BTreeMap::new(),
            stamps: BTreeMap::new(),
            read_at: SystemTime::UNIX_EPOCH,
            done: Vec::new(),
            holds: 0,
            planned: None,
        };
        session.look();
        session.version = 1;
        session
    }

    /// Opens a race that was just begun.
    pub(super) fn begin(&mut self, plan: &Path) {
        let (units, version) = (self.units, self.version + 1);
        *self = Session {
            units,
            version,
            ..Session::open(plan, &self.base)
        };
    }

    /// True where there is a plan to show.
    pub(super) fn is_open(&self) -> bool {
        self.folder.plan.is_file()
    }

    /// True where every file is as it was read, going by its length and the time of its last change.
    /// A file that had just been changed then may have changed again within that moment.
    fn is_as_read(&self, stamps: &BTreeMap<Role, Option<Stamp>>) -> bool {
        let settled = |stamp: &Stamp| {
            let age = self.read_at.duration_since(stamp.changed);
            age.is_ok_and(|age| age > MOMENT)
        };
        *stamps == self.stamps && stamps.values().flatten().all(settled)
    }

    fn on_disk(&self) -> BTreeMap<Role, Option<Vec<u8>>> {
        Role::ALL
            .into_iter()
            .map(|role| (role, self.folder.read(role).ok().flatten()))
            .collect()
    }

    /// Looks whether files were changed elsewhere; those that were.
    pub(super) fn look(&mut self) -> Vec<Role> {
        let stamps = self.folder.stamps();
        if self.is_as_read(&stamps) {
            return Vec::new();
        }
        self.read_at = SystemTime::now();
        self.folder = Folder::of(&self.folder.plan);
        self.stamps = self.folder.stamps();
        let now = self.on_disk();
        let differs = |role: &Role| now.get(role) != self.texts.get(role);
        let changed: Vec<Role> = Role::ALL.into_iter().filter(differs).collect();
        if !changed.is_empty() {
            self.texts = now;
            self.moved_on();
        }
        changed
    }

    fn moved_on(&mut self) {
        self.version += 1;
        self.planned = None;
    }

    /// The plan of the files as they are.
    pub(super) fn planned(&mut self) -> Arc<Planned> {
        let (folder, units) = (&self.folder, self.units);
        let made = || Arc::new(Planned::of(folder, units));
        self.planned.get_or_insert_with(made).clone()
    }

    /// Other units from now on.
    pub(super) fn choose(&mut self, units: UnitsArg) {
        self.units = units;
        self.moved_on();
    }

    /// Contents of a file as text; nothing where there is none.
    pub(super) fn text(&self, role: Role) -> Option<String> {
        let bytes = self.texts.get(&role)?.as_ref()?;
        String::from_utf8(bytes.clone()).ok()
    }

    /// True where a file is not there or is text.
    pub(super) fn is_readable(&self, role: Role) -> bool {
        let bytes = self.texts.get(&role).and_then(Option::as_ref);
        bytes.is_none_or(|bytes| std::str::from_utf8(bytes).is_ok())
    }

    /// Writes a file that is still as it was last seen, and keeps the step.
    pub(super) fn save(&mut self, role: Role, new: &str) -> Result<(), Refused> {
        let before = self.text(role);
        if before.as_deref() == Some(new) {
            return Ok(());
        }
        self.write(role, Some(new))?;
        self.done.truncate(self.holds);
        self.done.push(UndoStep {
            role,
            before: before.map(Arc::from),
            after: Some(Arc::from(new)),
        });
        if self.done.len() > MOST_STEPS {
            self.done.remove(0);
        }
        self.holds = self.done.len();
        Ok(())
    }

    fn write(&mut self, role: Role, new: Option<&str>) -> Result<(), Refused> {
        if !self.is_readable(role) {
            let why = format!("{} is not UTF-8; save it as UTF-8 first", role.file());
            return Err(Refused::Said(why));
        }
        let old = self.texts.get(&role).and_then(Option::as_deref);
        self.folder
            .write(role, old, new)
            .map_err(|stop: Stop| Refused::Said(stop.to_string()))?;
        self.texts
            .insert(role, new.map(|new| new.as_bytes().to_vec()));
        if role == Role::Plan {
            self.folder = Folder::of(&self.folder.plan);
            self.texts = self.on_disk();
        }
        self.moved_on();
        Ok(())
    }

    /// True where there is a step to take back, and one to take again.
    pub(super) fn steps(&self) -> (bool, bool) {
        (self.holds > 0, self.holds < self.done.len())
    }

    /// Takes the last step back, or one taken back again; the file has to be as that step left it.
    pub(super) fn step(&mut self, back: bool) -> Result<Role, Refused> {
        self.look();
        let at = if back {
            self.holds.checked_sub(1)
        } else {
            Some(self.holds)
        };
        let step = at.and_then(|at| self.done.get(at)).cloned();
        let Some(step) = step else {
            return Err(Refused::Said("there is no step to take".to_owned()));
        };
        let (from, to) = if back {
            (&step.after, &step.before)
        } else {
            (&step.before, &step.after)
        };
        if self.text(step.role).as_deref() != from.as_deref() {
            let name = step.role.file();
            let other = from.as_deref().unwrap_or_default().to_owned();
            return Err(Refused::Conflict {
                file: step.role,
                what: format!("{name} was changed elsewhere since, so that step is not taken"),
                here: other,
                disk: self.text(step.role).unwrap_or_default(),
            });
        }
        self.write(step.role, to.as_deref())?;
        self.holds = if back { self.holds - 1 } else { self.holds + 1 };
        Ok(step.role)
    }
}
