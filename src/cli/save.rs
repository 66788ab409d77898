//! Into files: whole or not at all, and never over what is there unless told to.

use std::io::Write;
use std::path::Path;

use super::show::Stop;

/// Writes a file through a temporary one beside it.
pub(crate) fn file(path: &Path, bytes: &[u8], overwrite: bool) -> Result<(), Stop> {
    let failed = |e: &dyn std::fmt::Display| {
        Stop::Said(format!("could not write `{}`: {e}", path.display()))
    };
    // a rename would put a file in the place of a device, for every program of the machine
    if std::fs::metadata(path).is_ok_and(|there| !there.is_file()) {
        return Err(failed(&"it is there already and no ordinary file"));
    }
    let folder = path
        .parent()
        .filter(|p| !p.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    let mut temporary = temporary_in(folder).map_err(|e| failed(&e))?;
    temporary.write_all(bytes).map_err(|e| failed(&e))?;
    temporary.as_file().sync_all().map_err(|e| failed(&e))?;
    let kept = if overwrite {
        temporary.persist(path)
    } else {
        temporary.persist_noclobber(path)
    };
    match kept {
        Ok(_) => Ok(()),
        Err(e) if e.error.kind() == std::io::ErrorKind::AlreadyExists => Err(Stop::Said(format!(
            "`{}` is there already; give another name, or --overwrite to replace it",
            path.display()
        ))),
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

/// A temporary folder in the folder itself where it is there, else beside it, so that what is
/// built in it only needs to be moved.
pub(crate) fn folder_beside(place: &Path) -> Result<tempfile::TempDir, Stop> {
    let parent = Some(place)
        .filter(|place| place.is_dir())
        .or(place.parent())
        .filter(|parent| !parent.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    tempfile::tempdir_in(parent)
        .map_err(|e| Stop::Said(format!("could not write in `{}`: {e}", parent.display())))
}

/// Moves a finished folder over files of these names in a folder that is there, all or none;
/// whatever else is in it stays.
pub(crate) fn over(
    built: tempfile::TempDir,
    place: &Path,
    names: &[std::path::PathBuf],
) -> Result<(), Stop> {
    let failed = |e| Stop::Said(format!("could not write `{}`: {e}", place.display()));
    let aside = folder_beside(place)?;
    let mut moved = Vec::new();
    let taken = names.iter().filter(|name| place.join(name).exists());
    let result = taken
        .map(|name| (place.join(name), aside.path().join(name)))
        .try_for_each(|(from, to)| {
            if from.is_dir() {
                let shown = from.display();
                let says = format!("`{shown}` is a folder, and the book has a file of that name");
                return Err(std::io::Error::other(says));
            }
            std::fs::rename(&from, &to)?;
            moved.push((from, to));
            Ok(())
        })
        .and_then(|()| fill(built.path(), place));
    if let Err(e) = result {
        for (from, to) in moved {
            // the first failure is the one to tell
            let _ = std::fs::rename(to, from);
        }
        return Err(failed(e));
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
