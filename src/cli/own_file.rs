//! A file that is changed keeps what belongs to it besides its words.

use std::io;
use std::path::{Path, PathBuf};

use sutler::inputs::route_gpx;

use super::read_file::bytes;
use super::show::{self, Stop};
use super::{change, save};

/// A text file of the user's that is to be changed.
pub(crate) struct OwnFile {
    path: PathBuf,
    /// `None` where there is no file yet.
    old: Option<Vec<u8>>,
    /// Its words, as every reader sees them.
    pub(crate) text: String,
}

impl OwnFile {
    /// Reads it as inputs are read.
    pub(crate) fn read(path: &Path) -> Result<OwnFile, Stop> {
        let shown = path.display();
        let old = match bytes(path) {
            Ok(bytes) => Some(bytes),
            Err(e) if e.kind() == io::ErrorKind::NotFound => None,
            Err(e) => {
                let reason = show::reason(&e);
                return Err(Stop::Said(format!("could not read `{shown}`: {reason}")));
            }
        };
        let decoded = route_gpx::decode(&shown.to_string(), old.clone().unwrap_or_default());
        let text = decoded.map_err(|why| Stop::Said(why.message))?.text;
        Ok(OwnFile {
            path: path.to_owned(),
            old,
            text: text.replace("\r\n", "\n"),
        })
    }

    /// The path, to be shown.
    pub(crate) fn name(&self) -> String {
        self.path.display().to_string()
    }

    /// The lines that a new text would change.
    pub(crate) fn changes(&self, new: &str) -> String {
        change::between(&self.text, new)
    }

    /// Replaces the words by new ones, with the line ends, the byte-order mark and the permissions
    /// that the file had, unless it holds something else by now.
    pub(crate) fn replace(&self, new: &str) -> Result<(), Stop> {
        let old = self.old.as_deref().unwrap_or_default();
        let mut text = new.to_owned();
        if old.windows(2).any(|pair| pair == b"\r\n") {
            text = text.replace('\n', "\r\n");
        }
        if old.starts_with(b"\xef\xbb\xbf") {
            text.insert(0, '\u{feff}');
        }
        save::changed(&self.path, self.old.as_deref(), &text)
    }
}
