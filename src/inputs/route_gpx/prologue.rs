//! The prologue: is this a GPX file, and does it stay clear of entities?

use quick_xml::Reader;
use quick_xml::events::Event;

use super::is_blank;
use super::values::{short, short_range};
use crate::diagnostics::{Diagnostic, FileId, SourceFile, Span};

/// Beginnings within the text.
pub(super) struct Prologue {
    /// Of the document, after blanks and the XML declaration, which is left out because the text
    /// is Unicode by now, whatever it says.
    pub(super) body: usize,
    /// The `<gpx` of the root.
    pub(super) root: Span,
}

/// Looks at all before the content of the root.
pub(super) fn read(file: &SourceFile, id: FileId) -> Result<Prologue, Box<Diagnostic>> {
    let text: &str = &file.text;
    let name = &file.name;
    let start = text.len() - text.trim_start_matches(is_blank).len();
    if start == text.len() {
        return Err(Box::new(
            Diagnostic::error(format!("`{name}` is empty"))
                .hint("export the course again as GPX, with its track"),
        ));
    }
    if !text[start..].starts_with('<') {
        return Err(Box::new(not_xml(name, text, start, id)));
    }
    let mut body = start;
    let mut reader = Reader::from_str(&text[start..]);
    reader.config_mut().allow_dangling_amp = true;
    loop {
        let from = start + place(reader.buffer_position());
        let event = reader.read_event();
        let end = start + place(reader.buffer_position());
        let span = Span::new(id, short_range(text, from..end));
        match event {
            // a mark of the byte order here would be passed over without being counted
            Ok(Event::Decl(_)) => {
                let rest = text.get(end..).unwrap_or_default();
                body = text.len() - rest.trim_start_matches('\u{feff}').len();
            }
            Ok(Event::DocType(content)) if is_html(&content) => {
                return Err(Box::new(other_root(name, "html", span)));
            }
            Ok(Event::DocType(content)) if content.contains("<!ENTITY") => {
                return Err(Box::new(entities(name, text, Span::new(id, from..end))));
            }
            Ok(Event::Start(root) | Event::Empty(root)) => {
                return match root.local_name().as_ref() {
                    "gpx" => {
                        let end = from + 1 + root.name().as_ref().len();
                        let root = Span::new(id, from..end);
                        Ok(Prologue { body, root })
                    }
                    other => Err(Box::new(other_root(name, other, span))),
                };
            }
            Ok(Event::Eof) | Err(_) => return Err(Box::new(no_root(name, from, id))),
            Ok(_) => {}
        }
    }
}

/// Byte positions fit: the text is in memory.
fn place(position: u64) -> usize {
    usize::try_from(position).unwrap_or(usize::MAX)
}

fn is_html(doctype: &str) -> bool {
    let start = doctype.trim_start().get(..4);
    start.is_some_and(|start| start.eq_ignore_ascii_case("html"))
}

fn not_xml(name: &str, text: &str, start: usize, id: FileId) -> Diagnostic {
    let rest = &text[start..];
    let guess = match rest.as_bytes() {
        [b'{' | b'[', ..] => "looks like JSON, not GPX",
        [b'$', b'G', ..] => "looks like raw receiver output (NMEA), not GPX",
        _ => "is not a GPX file",
    };
    let shown = rest.chars().next().map_or(0, char::len_utf8);
    Diagnostic::error(format!("`{name}` {guess}"))
        .at(
            Span::new(id, start..start + shown),
            "expected `<?xml` or `<gpx`",
        )
        .hint("export the course as GPX, with its track")
}

fn no_root(name: &str, from: usize, id: FileId) -> Diagnostic {
    Diagnostic::error(format!("`{name}` breaks off before the course begins"))
        .at(Span::new(id, from..from + 1), "expected `<gpx`")
        .hint("export or download the file again")
}

fn other_root(name: &str, root: &str, span: Span) -> Diagnostic {
    let (what, hint) = match root.to_ascii_lowercase().as_str() {
        "html" => (
            "is a web page".to_owned(),
            "a download that needs a login often saves the login page: log in and download the \
             GPX file again",
        ),
        "kml" => (
            "is a KML file".to_owned(),
            "export the course as GPX, or convert it to GPX",
        ),
        "trainingcenterdatabase" => (
            "is a TCX file".to_owned(),
            "export the course as GPX, or convert it to GPX",
        ),
        _ => (
            format!("is an XML file of another kind, `{}`", short(root)),
            "export the course as GPX, with its track",
        ),
    };
    Diagnostic::error(format!("`{name}` {what}, not GPX"))
        .at(span, "expected `<gpx`")
        .hint(hint)
}

fn entities(name: &str, text: &str, span: Span) -> Diagnostic {
    let at = text[span.start..span.end]
        .find("<!ENTITY")
        .map_or(span.start, |offset| span.start + offset);
    Diagnostic::error(format!(
        "`{name}` declares entities of its own, which are never expanded"
    ))
    .at(
        Span::new(span.file, at..at + "<!ENTITY".len()),
        "expected no entity declaration",
    )
    .hint("a course has no use for them: delete the `<!DOCTYPE ...>` or export the file again")
}
