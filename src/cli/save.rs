//! Into files: whole or not at all, and never over what is there unless told to.

use std::io::Write;
use std::path::{Path, PathBuf};

use super::show::Stop;

/// Writes what was asked for, unless that would replace a file that was read for it.
pub(crate) fn output(
    path: &Path,
    bytes: &[u8],
    overwrite: bool,
    read: &[PathBuf],
) -> Result<(), Stop> {
    no_input(path, read)?;
    file(path, bytes, overwrite)
}

/// Refuses a name that is taken, before work is done for it.
pub(crate) fn is_free(path: &Path, overwrite: bool) -> Result<(), Stop> {
    if !overwrite && std::fs::symlink_metadata(path).is_ok() {
        return Err(taken(path));
    }
    Ok(())
}

fn taken(path: &Path) -> Stop {
    Stop::Said(format!(
        "`{}` exists; give another name, or --overwrite to replace it",
        path.display()
    ))
}

/// Refuses to write over a file that was read, by whatever path either is given.
pub(crate) fn no_input(path: &Path, read: &[PathBuf]) -> Result<(), Stop> {
    let place = place(path);
    if read.iter().any(|input| self::place(input) == place) {
        return Err(Stop::Said(format!(
            "`{}` is an input here, so it is not overwritten; give another name",
            path.display()
        )));
    }
    Ok(())
}

/// The end of a path, links followed, also where there is no file yet.
fn place(path: &Path) -> PathBuf {
    let folder = path.parent().unwrap_or(Path::new(""));
    let folder = if folder.as_os_str().is_empty() {
        Path::new(".")
    } else {
        folder
    };
    let inside = |folder: PathBuf| Some(folder.join(path.file_name()?));
    path.canonicalize()
        .ok()
        .or_else(|| folder.canonicalize().ok().and_then(inside))
        .unwrap_or_else(|| path.to_owned())
}

/// Replaces a file by what was made of it, unless it holds something else by now; `old` is
/// `None` where there was no file. A link stays a link: the file that it leads to is replaced.
pub(crate) fn changed(path: &Path, old: Option<&[u8]>, new: &str) -> Result<(), Stop> {
    let now = match super::read_file::bytes(path) {
        Ok(bytes) => Some(bytes),
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => None,
        Err(e) => {
            let reason = super::show::reason(&e);
            let shown = path.display();
            return Err(Stop::Said(format!("could not read `{shown}`: {reason}")));
        }
    };
    if now.as_deref() != old {
        return Err(Stop::Said(format!(
            "`{}` was changed meanwhile and is left as it is; run this again",
            path.display()
        )));
    }
    let place = path.canonicalize();
    let place = place.as_deref().unwrap_or(path);
    let permissions = std::fs::metadata(place)
        .ok()
        .map(|there| there.permissions());
    if permissions
        .as_ref()
        .is_some_and(std::fs::Permissions::readonly)
    {
        return Err(Stop::Said(format!(
            "`{}` is read-only and stays as it is; allow writing, and run this again",
            path.display()
        )));
    }
    with_permissions(place, new.as_bytes(), old.is_some(), permissions)
}

/// Writes a file through a temporary one beside it.
pub(crate) fn file(path: &Path, bytes: &[u8], overwrite: bool) -> Result<(), Stop> {
    with_permissions(path, bytes, overwrite, None)
}

/// The same; with no permissions given it has those of any new file.
fn with_permissions(
    path: &Path,
    bytes: &[u8],
    overwrite: bool,
    permissions: Option<std::fs::Permissions>,
) -> Result<(), Stop> {
    let folder = path
        .parent()
        .filter(|p| !p.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    let failed = |e: &std::io::Error| {
        let reason = match e.kind() {
            std::io::ErrorKind::NotFound => format!(
                "there is no folder `{}`; make it, or give another name",
                folder.display()
            ),
            _ => super::show::reason(e),
        };
        Stop::Said(format!("could not write `{}`: {reason}", path.display()))
    };
    // a rename would put a file in the place of a device, for every program of the machine
    if std::fs::metadata(path).is_ok_and(|there| !there.is_file()) {
        return Err(Stop::Said(format!(
            "could not write `{}`: it exists and is not a regular file",
            path.display()
        )));
    }
    let mut temporary = temporary_in(folder).map_err(|e| failed(&e))?;
    temporary.write_all(bytes).map_err(|e| failed(&e))?;
    if let Some(permissions) = permissions {
        let set = temporary.as_file().set_permissions(permissions);
        set.map_err(|e| failed(&e))?;
    }
    temporary.as_file().sync_all().map_err(|e| failed(&e))?;
    let kept = if overwrite {
        temporary.persist(path)
    } else {
        temporary.persist_noclobber(path)
    };
    match kept {
        Ok(_) => Ok(()),
        Err(e) if e.error.kind() == std::io::ErrorKind::AlreadyExists => Err(taken(path)),
        Err(e) => Err(failed(&e.error)),
    }
}

/// A temporary file with the permissions of any new file: what is written may be for others.
fn temporary_in(folder: &Path) -> std::io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    builder.tempfile_in(folder)
}

/// Puts a finished folder in its place; the place is free or an empty folder.
pub(crate) fn folder(built: tempfile::TempDir, place: &Path) -> Result<(), Stop> {
    let failed = |e| Stop::Said(format!("could not write `{}`: {e}", place.display()));
    if place.is_dir() {
        // someone may stand in the empty folder, so it is filled, not replaced
        return fill(built.path(), place).map_err(failed);
    }
    readable(built.path())?;
    std::fs::rename(built.path(), place).map_err(failed)?;
    // it has moved: there is nothing left to remove
    let _ = built.keep();
    Ok(())
}

/// Folders that are being built have names that begin so.
const UNFINISHED: &str = ".sutler-unfinished-";

/// Takes away what a program that was killed left in a folder of its own.
pub(crate) fn clear_unfinished(folder: &Path) -> std::io::Result<()> {
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        let is_left = entry.file_name().to_string_lossy().starts_with(UNFINISHED);
        if is_left && entry.file_type()?.is_dir() {
            std::fs::remove_dir_all(entry.path())?;
        }
    }
    Ok(())
}

/// A temporary folder in the folder itself where it is there, else beside it, so that what is
/// built in it only needs to be moved.
pub(crate) fn folder_beside(place: &Path) -> Result<tempfile::TempDir, Stop> {
    let parent = Some(place)
        .filter(|place| place.is_dir())
        .or(place.parent())
        .filter(|parent| !parent.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    tempfile::Builder::new()
        .prefix(UNFINISHED)
        .tempdir_in(parent)
        .map_err(|e| Stop::Said(format!("could not write in `{}`: {e}", parent.display())))
}

/// Moves the files of a finished folder into one that is there, and takes its old files away.
///
/// Each new file takes its place in one step, so that whoever is stopped in the middle leaves whole
/// files, old ones or new ones. Whatever else is in the folder stays, so none of it may have the
/// name of a new file.
pub(crate) fn over(
    built: &Path,
    place: &Path,
    old: &[PathBuf],
    new: &[PathBuf],
) -> Result<(), Stop> {
    let own = |name: &&PathBuf| !old.contains(*name);
    let taken = |name: &&PathBuf| std::fs::symlink_metadata(place.join(name)).is_ok();
    if let Some(name) = new.iter().filter(own).find(taken) {
        return Err(Stop::Said(format!(
            "`{}` is there, and this book did not write it; move it away, or give another folder",
            place.join(name).display()
        )));
    }
    let failed = |e| Stop::Said(format!("could not write `{}`: {e}", place.display()));
    for name in new {
        std::fs::rename(built.join(name), place.join(name)).map_err(failed)?;
    }
    for name in old.iter().filter(|name| !new.contains(name)) {
        std::fs::remove_file(place.join(name)).map_err(failed)?;
    }
    Ok(())
}

/// Moves everything from one folder into another, or nothing.
fn fill(built: &Path, place: &Path) -> std::io::Result<()> {
    let entries: Vec<_> = std::fs::read_dir(built)?.collect::<Result<_, _>>()?;
    let mut moved = Vec::new();
    for entry in entries {
        let from = entry.path();
        let to = place.join(from.file_name().unwrap_or_default());
        if let Err(e) = std::fs::rename(&from, &to) {
            for (from, to) in moved {
                // the first failure is the one to tell
                let _ = std::fs::rename(to, from);
            }
            return Err(e);
        }
        moved.push((from, to));
    }
    Ok(())
}

/// Temporary folders are private; what the user keeps has the ordinary permissions.
#[cfg(unix)]
fn readable(path: &Path) -> std::io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    std::fs::set_permissions(path, std::fs::Permissions::from_mode(0o755))
}

#[cfg(not(unix))]
fn readable(_path: &Path) -> std::io::Result<()> {
    Ok(())
}
