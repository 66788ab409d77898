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
