//! Markup as a stream of pieces: elements, their text, and where the text of the file ends.

use std::borrow::Cow;
use std::ops::Range;

use quick_xml::Reader;
use quick_xml::errors::Error;
use quick_xml::events::{BytesRef, BytesStart, Event};

use super::found::EarlyEnd;
use super::values::short;

/// The most levels of elements inside one another: sensor data in extensions has six.
const DEEPEST: usize = 100;

/// The piece that was read, or the reason why reading ends here.
pub(super) type MarkupResult<T> = Result<T, Box<EarlyEnd>>;

/// The markup of a file, read once from its first byte to its last.
pub(super) struct Markup<'t> {
    text: &'t str,
    /// The beginning of the document in the text.
    body: usize,
    reader: Reader<&'t [u8]>,
    /// Elements that have begun and not ended.
    depth: usize,
    /// The element that has begun is empty, so its end is the next piece.
    ends: bool,
    /// The place of the last piece.
    pub(super) at: Range<usize>,
}

/// A piece of markup; comments, declarations and instructions are none.
pub(super) enum MarkupPiece<'t> {
    Start(Element<'t>),
    Text(Cow<'t, str>),
    /// A character by its number, or an entity by its name.
    Entity(BytesRef<'t>),
    End,
    EndOfFile,
}

/// A start tag and where it stands.
pub(super) struct Element<'t> {
    pub(super) tag: BytesStart<'t>,
    pub(super) at: Range<usize>,
}

impl<'t> Markup<'t> {
    pub(super) fn new(text: &'t str, body: usize) -> Self {
        let mut reader = Reader::from_str(&text[body..]);
        reader.config_mut().allow_dangling_amp = true;
        Markup {
            text,
            body,
            reader,
            depth: 0,
            ends: false,
            at: body..body,
        }
    }

    pub(super) fn piece(&mut self) -> MarkupResult<MarkupPiece<'t>> {
        if self.ends {
            self.ends = false;
            return Ok(self.end());
        }
        loop {
            let start = self.position();
            let event = self.reader.read_event();
            self.at = start..self.position();
            return Ok(match event {
                Ok(Event::Start(tag)) => self.start(tag)?,
                Ok(Event::Empty(tag)) => {
                    self.ends = true;
                    self.start(tag)?
                }
                Ok(Event::End(_)) => self.end(),
                Ok(Event::Text(text)) => MarkupPiece::Text(text.xml10_content()),
                Ok(Event::CData(text)) => MarkupPiece::Text(text.xml10_content()),
                Ok(Event::GeneralRef(entity)) => MarkupPiece::Entity(entity),
                Ok(Event::Eof) => MarkupPiece::EndOfFile,
                Ok(Event::Comment(_) | Event::Decl(_) | Event::PI(_) | Event::DocType(_)) => {
                    continue;
                }
                Err(error) => return Err(self.stop(&error)),
            });
        }
    }

    /// The next element inside the one that was begun; `None` at its end.
    pub(super) fn child(&mut self) -> MarkupResult<Option<Element<'t>>> {
        loop {
            match self.piece()? {
                MarkupPiece::Start(element) => return Ok(Some(element)),
                MarkupPiece::End => return Ok(None),
                MarkupPiece::EndOfFile => return Err(self.cut_off(self.text.len())),
                MarkupPiece::Text(_) | MarkupPiece::Entity(_) => {}
            }
        }
    }

    /// Goes on to the end of the element that was begun, over all that is in it.
    pub(super) fn skip(&mut self) -> MarkupResult<()> {
        let outside = self.depth.saturating_sub(1);
        while self.depth > outside {
            if let MarkupPiece::EndOfFile = self.piece()? {
                return Err(self.cut_off(self.text.len()));
            }
        }
        Ok(())
    }

    /// The end of the text, shown at the last that can be seen of it.
    pub(super) fn cut_off(&self, at: usize) -> Box<EarlyEnd> {
        let seen = self.text.trim_end_matches(super::is_blank);
        let last = seen.char_indices().next_back().map_or(0, |(last, _)| last);
        Box::new(EarlyEnd::CutOff {
            at: at.min(last)..seen.len(),
        })
    }

    fn start(&mut self, tag: BytesStart<'t>) -> MarkupResult<MarkupPiece<'t>> {
        self.depth += 1;
        let at = self.at.clone();
        if self.depth > DEEPEST {
            let why = format!("expected at most {DEEPEST} elements inside one another");
            return Err(Box::new(EarlyEnd::Damaged { at, why }));
        }
        Ok(MarkupPiece::Start(Element { tag, at }))
    }

    fn end(&mut self) -> MarkupPiece<'t> {
        self.depth = self.depth.saturating_sub(1);
        MarkupPiece::End
    }

    fn position(&self) -> usize {
        self.place(self.reader.buffer_position())
    }

    fn place(&self, offset: u64) -> usize {
        let offset = usize::try_from(offset).unwrap_or(usize::MAX);
        self.text.len().min(self.body.saturating_add(offset))
    }

    fn stop(&self, error: &Error) -> Box<EarlyEnd> {
        let at = self.place(self.reader.error_position());
        let damaged = |why: &dyn std::fmt::Display| {
            Box::new(EarlyEnd::Damaged {
                at: at..self.position(),
                why: short(&why.to_string()).into_owned(),
            })
        };
        match error {
            Error::Syntax(_) => self.cut_off(at),
            Error::IllFormed(why) => damaged(why),
            _ => damaged(error),
        }
    }
}
