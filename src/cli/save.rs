//! Into files: whole or not at all, and never over what is there unless told to.

use std::io::Write;
use std::path::Path;

use super::show::Stop;

/// Writes a file through a temporary one beside it.
pub(crate) fn file(path: &Path, text: &str, overwrite: bool) -> Result<(), Stop> {
    let failed = |e: &dyn std::fmt::Display| {
        Stop::Said(format!("could not write `{}`: {e}", path.display()))
    };
    let folder = path
        .parent()
        .filter(|p| !p.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    let mut temporary = tempfile::NamedTempFile::new_in(folder).map_err(|e| failed(&e))?;
    temporary
        .write_all(text.as_bytes())
        .map_err(|e| failed(&e))?;
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

/// Puts a finished folder in its place; the place is free or an empty folder.
pub(crate) fn folder(built: tempfile::TempDir, place: &Path) -> Result<(), Stop> {
    readable(built.path())?;
    std::fs::rename(built.path(), place)
        .map_err(|e| Stop::Said(format!("could not write `{}`: {e}", place.display())))?;
    // it has moved: there is nothing left to remove
    let _ = built.keep();
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
