//! Files in and out as bytes: reading stops at what no file of ours needs, and a file that is
//! changed keeps what belongs to it besides its words.

use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use sutler::inputs::route_gpx;

use super::show::{self, Stop};
use super::{change, save};

/// The bytes of a file, or of what a shell hands over; no more of them than are read anyway.
///
/// A named pipe could wait for ever, and a device gives bytes without end.
pub(crate) fn bytes(path: &Path) -> io::Result<Vec<u8>> {
    let there = std::fs::metadata(path)?;
    let from_shell = ["/dev/fd", "/dev/stdin", "/proc/self/fd"];
    let is_given = from_shell.iter().any(|place| path.starts_with(place));
    if !there.is_file() && !there.is_dir() && !is_given {
        return Err(io::Error::other("it is no regular file"));
    }
    let most = route_gpx::MOST_BYTES as u64 + 1;
    if there.is_file() && there.len() >= most {
        // its true size is said where it is decoded
        return std::fs::read(path);
    }
    let mut bytes = Vec::new();
    File::open(path)?.take(most).read_to_end(&mut bytes)?;
    Ok(bytes)
}

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
