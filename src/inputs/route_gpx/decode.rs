//! Bytes to text.

use super::MOST_BYTES;
use crate::diagnostics::{Diagnostic, SourceFile};

/// Makes text of the bytes of a file: UTF-8 with or without a byte-order mark, or UTF-16.
///
/// Bytes that are not UTF-8 are read as windows-1252 where the file declares that, ISO-8859-1 (a
/// part of it) or nothing better: coordinates are the same in all of them, only names can suffer.
/// Valid UTF-8 is taken as such whatever the file declares; text in another encoding is that by
/// chance about never.
///
/// # Errors
/// Where the file is larger than [`MOST_BYTES`], is in another format, or declares an encoding
/// that is not read.
pub fn decode(name: &str, bytes: Vec<u8>) -> Result<SourceFile, Diagnostic> {
    if bytes.len() > MOST_BYTES {
        return Err(too_large(name, bytes.len()));
    }
    if let Some(problem) = not_text(name, &bytes) {
        return Err(problem);
    }
    let text = if let Some((units, order)) = utf16_units(&bytes) {
        utf16(units, order)
    } else if let Some(rest) = bytes.strip_prefix(b"\xef\xbb\xbf") {
        utf8(name, rest.to_vec())?
    } else {
        utf8(name, bytes)?
    };
    Ok(SourceFile::new(name, text))
}

fn too_large(name: &str, length: usize) -> Diagnostic {
    let megabytes = |bytes: usize| format!("{:.1}", bytes as f64 / 1e6).replace(".0", "");
    Diagnostic::error(format!(
        "`{name}` is {} MB, and at most {} MB are read",
        megabytes(length),
        megabytes(MOST_BYTES)
    ))
    .hint("keep only the course in it: export it again with fewer points and without sensor data")
}

/// Formats that people mistake for GPX, by their first bytes.
fn not_text(name: &str, bytes: &[u8]) -> Option<Diagnostic> {
    let (what, hint) = match bytes {
        [0x1f, 0x8b, ..] => (
            "is compressed with gzip",
            "unpack it first, for example with `gunzip`",
        ),
        [b'P', b'K', 3, 4, ..] => (
            "is a zip archive (as KMZ files are)",
            "unpack it first; a KML file in it must be exported or converted to GPX",
        ),
        [_, _, _, _, _, _, _, _, b'.', b'F', b'I', b'T', ..] => (
            "is a FIT recording",
            "export it as GPX where it was recorded, or convert it to GPX",
        ),
        [b'%', b'P', b'D', b'F', ..] => ("is a PDF document", "get the course as a GPX file"),
        [0xff, 0xfe, 0, 0, ..] | [0, 0, 0xfe, 0xff, ..] => {
            ("is in UTF-32, which is not read", "save it as UTF-8")
        }
        // A recording that a crash padded with zeros has them at its end, after a proper start.
        [b'<', second, ..] if *second != 0 => return None,
        _ if utf16_units(bytes).is_some() || !bytes.iter().take(512).any(|b| *b == 0) => {
            return None;
        }
        _ => (
            "is not text",
            "get the course as a GPX file, which is readable text",
        ),
    };
    Some(Diagnostic::error(format!("`{name}` {what}")).hint(hint))
}

type ByteOrder = fn([u8; 2]) -> u16;

/// The bytes after the mark and their order, if this is UTF-16; without a mark, a document starts
/// with `<` or a blank and a zero byte beside it.
fn utf16_units(bytes: &[u8]) -> Option<(&[u8], ByteOrder)> {
    match bytes {
        [0xff, 0xfe, rest @ ..] => Some((rest, u16::from_le_bytes)),
        [0xfe, 0xff, rest @ ..] => Some((rest, u16::from_be_bytes)),
        [b'<' | b' ' | b'\t' | b'\r' | b'\n', 0, ..] => Some((bytes, u16::from_le_bytes)),
        [0, b'<' | b' ' | b'\t' | b'\r' | b'\n', ..] => Some((bytes, u16::from_be_bytes)),
        _ => None,
    }
}

fn utf16(bytes: &[u8], order: ByteOrder) -> String {
    let units = bytes.as_chunks::<2>().0.iter().map(|pair| order(*pair));
    char::decode_utf16(units)
        .map(|character| character.unwrap_or(char::REPLACEMENT_CHARACTER))
        .collect()
}

fn utf8(name: &str, bytes: Vec<u8>) -> Result<String, Diagnostic> {
    let bytes = match String::from_utf8(bytes) {
        Ok(text) => return Ok(text),
        Err(error) => error.into_bytes(),
    };
    let declared = declared_encoding(&bytes).unwrap_or_default();
    match declared.to_ascii_lowercase().as_str() {
        "iso-8859-1" | "iso8859-1" | "latin1" | "latin-1" | "windows-1252" | "cp1252" => {
            Ok(bytes.iter().map(|byte| windows_1252(*byte)).collect())
        }
        "" | "utf-8" | "utf8" | "us-ascii" | "ascii" => Ok(mostly_utf8(&bytes)),
        _ => Err(Diagnostic::error(format!(
            "`{name}` is in encoding `{declared}`, which is not read"
        ))
        .hint("save it as UTF-8")),
    }
}

/// UTF-8 where it is, windows-1252 where it is not: what older programs write under a UTF-8 label.
fn mostly_utf8(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(bytes.len());
    for chunk in bytes.utf8_chunks() {
        text.push_str(chunk.valid());
        text.extend(chunk.invalid().iter().map(|byte| windows_1252(*byte)));
    }
    text
}

/// The `encoding` of the XML declaration.
fn declared_encoding(bytes: &[u8]) -> Option<String> {
    let start = String::from_utf8_lossy(&bytes[..bytes.len().min(512)]).into_owned();
    let declaration = start.trim_start().strip_prefix("<?xml")?;
    let declaration = &declaration[..declaration.find("?>")?];
    let after = declaration.split_once("encoding")?.1.trim_start();
    let value = after.strip_prefix('=')?.trim_start();
    let quote = value.chars().next().filter(|c| matches!(c, '"' | '\''))?;
    value[1..].split(quote).next().map(str::to_owned)
}

/// A byte of windows-1252, after the WHATWG Encoding Standard's index; the five bytes without a
/// character become U+FFFD.
fn windows_1252(byte: u8) -> char {
    const FROM_80: [char; 32] = [
        '€', '\u{fffd}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{fffd}', 'Ž',
        '\u{fffd}', '\u{fffd}', '‘', '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ',
        '\u{fffd}', 'ž', 'Ÿ',
    ];
    match byte {
        0x80..=0x9f => FROM_80[usize::from(byte - 0x80)],
        _ => char::from(byte),
    }
}
