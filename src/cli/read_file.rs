//! Files as bytes; reading stops at what no file of ours needs.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use sutler::inputs::route_gpx;

/// The bytes of a file, or of what a shell hands over; no more of them than are read anyway.
///
/// A named pipe could wait for ever, and a device gives bytes without end.
pub(crate) fn bytes(path: &Path) -> io::Result<Vec<u8>> {
    let there = std::fs::metadata(path)?;
    let from_shell = ["/dev/fd", "/dev/stdin", "/proc/self/fd"];
    let is_given = from_shell.iter().any(|place| path.starts_with(place));
    if !there.is_file() && !there.is_dir() && !is_given {
        return Err(io::Error::other("it is not a regular file"));
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
