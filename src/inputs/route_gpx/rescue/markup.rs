//! The markup under the lenient reader: events, their places, text and where it ends.

use std::ops::Range;

use quick_xml::errors::{Error, IllFormedError};
use quick_xml::events::{BytesRef, BytesStart, Event};

use super::Rescue;
use crate::diagnostics::{Diagnostic, Span};
use crate::inputs::route_gpx::found::Stop;
use crate::inputs::route_gpx::values::short;

/// A start tag and where it stands.
pub(super) struct Child<'t> {
    pub(super) tag: BytesStart<'t>,
    pub(super) at: Range<usize>,
}

impl<'t> Rescue<'t> {
    pub(super) fn position(&self) -> usize {
        let offset = usize::try_from(self.reader.buffer_position()).unwrap_or(usize::MAX);
        self.text.len().min(self.body.saturating_add(offset))
    }

    pub(super) fn span(&self, at: Range<usize>) -> Span {
        Span::new(self.id, at)
    }

    pub(super) fn event(&mut self) -> Result<(Event<'t>, Range<usize>), Stop> {
        let start = self.position();
        match self.reader.read_event() {
            Ok(event) => Ok((event, start..self.position())),
            Err(error) => Err(self.stop(&error)),
        }
    }

    /// The next element inside the one that was begun; `None` at its end.
    pub(super) fn child(&mut self) -> Result<Option<Child<'t>>, Stop> {
        loop {
            match self.event()? {
                (Event::Start(tag), at) => return Ok(Some(Child { tag, at })),
                (Event::End(_), _) => return Ok(None),
                (Event::Eof, _) => return Err(self.cut_off(self.text.len())),
                _ => {}
            }
        }
    }

    /// The name without the prefix of GPX; empty for a name of another namespace.
    pub(super) fn own_name<'c>(&self, child: &'c Child<'t>) -> &'c str {
        let name = child.tag.name();
        let prefix = name.prefix().map_or("", |prefix| prefix.into_inner());
        if prefix == self.prefix {
            name.local_name().into_inner()
        } else {
            ""
        }
    }

    /// The text of an element and where it stands; an entity that nobody defined is an error.
    pub(super) fn content(&mut self, child: &Child<'t>) -> Result<(String, Range<usize>), Stop> {
        let mut text = String::new();
        loop {
            let (event, at) = self.event()?;
            match event {
                Event::Text(piece) => text.push_str(&piece.xml10_content()),
                Event::CData(piece) => text.push_str(&piece.xml10_content()),
                Event::GeneralRef(entity) => match resolve(&entity) {
                    Some(character) => text.push_str(&character),
                    None => {
                        let problem = unknown_entity(&entity, self.span(at));
                        self.found.problems.push(problem);
                    }
                },
                Event::Start(tag) => self.skip_unknown(&Child { tag, at })?,
                Event::End(_) => return Ok((text, child.at.end..at.start.max(child.at.end))),
                Event::Eof => return Err(self.cut_off(self.text.len())),
                _ => {}
            }
        }
    }

    pub(super) fn skip(&mut self, child: &Child<'t>) -> Result<(), Stop> {
        match self.reader.read_to_end(child.tag.name()) {
            Ok(_) => Ok(()),
            Err(error) => Err(self.stop(&error)),
        }
    }

    pub(super) fn skip_unknown(&mut self, child: &Child<'t>) -> Result<(), Stop> {
        let name = child.tag.name();
        if !(self.foreign_anywhere && name.prefix().is_some()) {
            self.found.unknown.add(name.as_ref());
        }
        self.skip(child)
    }

    fn stop(&self, error: &Error) -> Stop {
        let offset = usize::try_from(self.reader.error_position()).unwrap_or(usize::MAX);
        let at = self.text.len().min(self.body.saturating_add(offset));
        match error {
            Error::Syntax(_) | Error::IllFormed(IllFormedError::MissingEndTag(_)) => {
                self.cut_off(at)
            }
            Error::IllFormed(why) => self.damaged(at, why),
            _ => self.damaged(at, error),
        }
    }

    fn damaged(&self, at: usize, why: &dyn std::fmt::Display) -> Stop {
        Stop::Damaged {
            at: at..self.position(),
            why: short(&why.to_string()).into_owned(),
        }
    }

    /// The end of the text, shown at the last that can be seen of it.
    pub(super) fn cut_off(&self, at: usize) -> Stop {
        let seen = self
            .text
            .trim_end_matches(|c: char| c.is_whitespace() || c == '\0');
        let last = seen.char_indices().next_back().map_or(0, |(last, _)| last);
        Stop::CutOff {
            at: at.min(last)..seen.len(),
        }
    }
}

fn resolve(entity: &BytesRef<'_>) -> Option<String> {
    match entity.resolve_char_ref() {
        Ok(Some(character)) => Some(character.to_string()),
        Ok(None) => quick_xml::escape::resolve_xml_entity(entity).map(str::to_owned),
        Err(_) => None,
    }
}

fn unknown_entity(entity: &BytesRef<'_>, at: Span) -> Diagnostic {
    let name = short(entity);
    Diagnostic::error(format!(
        "entity `&{name};` is not defined and never expanded"
    ))
    .at(at, "expected the character itself")
    .hint("write the character, or `&amp;` for `&`")
}
