//! A quick look for what the strict reader would drop or misread without a word.

use super::MOST_POINTS;

/// Names that the strict reader takes for GPX in whatever namespace they are, and `rpt`, the
/// shaping points of a route that some planners keep in extensions.
const SPOKEN_FOR: [&[u8]; 11] = [
    b"ele", b"name", b"trkpt", b"rtept", b"wpt", b"trkseg", b"trk", b"rte", b"rpt", b"lat", b"lon",
];

/// Bytes of the longest of them: no need to look for the end of a longer one.
const LONGEST_NAME: usize = 6;

/// Bytes of the shortest point, `<trkpt lat="1" lon="2"/>`.
const LEAST_BYTES_PER_POINT: usize = 24;

/// Whether the strict reader can be trusted with this document.
///
/// Not where it
/// - could hold more than [`MOST_POINTS`]: the strict reader takes some 400 bytes of memory for a
///   point, and cannot be stopped on the way;
/// - ends in anything but `</gpx>`: the strict reader stops at the first and never looks on;
/// - holds processing instructions, of which it loses the text before them;
/// - has names of [`SPOKEN_FOR`] with a prefix: it would take `<x:ele>` for the height.
pub(super) fn suits_strict(document: &str) -> bool {
    document.len() <= LEAST_BYTES_PER_POINT * MOST_POINTS
        && document
            .split_once("</gpx>")
            .is_some_and(|(_, rest)| rest.trim_ascii().is_empty())
        && !document.contains("<?")
        && !has_borrowed_name(document.as_bytes())
}

fn has_borrowed_name(document: &[u8]) -> bool {
    let mut from = 0;
    while let Some(offset) = document[from..].iter().position(|byte| *byte == b':') {
        let colon = from + offset;
        let name = &document[colon + 1..];
        let prefixed = colon > 0 && document[colon - 1].is_ascii_alphanumeric();
        // Times are full of colons: digits after them rule a name out at once.
        if prefixed && name.first().is_some_and(u8::is_ascii_lowercase) {
            let end = name
                .iter()
                .take(LONGEST_NAME + 1)
                .position(|byte| matches!(byte, b' ' | b'\t' | b'\r' | b'\n' | b'>' | b'/' | b'='))
                .unwrap_or(0);
            if SPOKEN_FOR.contains(&&name[..end]) {
                return true;
            }
        }
        from = colon + 1;
    }
    false
}
