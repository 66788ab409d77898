//! The elements of GPX: points in the order of the text, whatever else the file holds.
//!
//! Unknown elements are skipped and counted, and what was read before the text ends or makes no
//! sense any more is kept.

use std::borrow::Cow;
use std::ops::Range;

use quick_xml::events::{BytesRef, BytesStart};

use super::found::{EarlyEnd, RouteContent};
use super::lines::Lines;
use super::markup::{Element, Markup, MarkupPiece, MarkupResult};
use super::place;
use super::values;
use super::{Waypoint, is_blank};
use crate::diagnostics::{Diagnostic, FileId, Span, Spanned};
use crate::words::trimmed;

/// Contents of the document from `body` on.
pub(super) fn read(text: &str, body: usize, id: FileId, most_points: usize) -> RouteContent {
    let mut document = GpxDocument {
        text,
        id,
        most_points,
        markup: Markup::new(text, body),
        points: 0,
        prefix: String::new(),
        foreign_anywhere: false,
        found: RouteContent::default(),
    };
    let end = document.roots();
    document.found.stop = end.err().map(|stop| *stop);
    document.found
}

struct GpxDocument<'t> {
    text: &'t str,
    id: FileId,
    most_points: usize,
    markup: Markup<'t>,
    points: usize,
    /// The prefix of the root, which is that of all of GPX.
    prefix: String,
    /// GPX 1.0 allows elements of other namespaces everywhere.
    foreign_anywhere: bool,
    found: RouteContent,
}

#[derive(Clone, Copy)]
enum LineKind {
    Track,
    Route,
}

impl<'t> GpxDocument<'t> {
    /// One root, or several where files were put one behind the other.
    fn roots(&mut self) -> MarkupResult<()> {
        loop {
            match self.markup.piece()? {
                MarkupPiece::Start(root) if root.tag.local_name().as_ref() == "gpx" => {
                    self.gpx(&root.tag)?;
                }
                MarkupPiece::Start(other) => self.skip_unknown(&other)?,
                MarkupPiece::Text(text) if !text.trim_matches(is_blank).is_empty() => {
                    let at = || trimmed(self.text, self.markup.at.clone());
                    self.found.beside.get_or_insert_with(at);
                }
                MarkupPiece::EndOfFile => return Ok(()),
                MarkupPiece::Text(_) | MarkupPiece::Entity(_) | MarkupPiece::End => {}
            }
        }
    }

    fn gpx(&mut self, root: &BytesStart<'t>) -> MarkupResult<()> {
        let prefix = root.name().prefix();
        self.prefix = prefix.map_or_else(String::new, |p| p.as_ref().to_owned());
        let mut attributes = root.html_attributes().flatten();
        let version = attributes.find(|a| a.key.as_ref() == "version");
        self.foreign_anywhere = version.is_some_and(|version| version.value.trim() == "1.0");
        while let Some(child) = self.markup.child()? {
            match self.own_name(&child) {
                "trk" => self.line(LineKind::Track)?,
                "rte" => self.line(LineKind::Route)?,
                "wpt" => self.waypoint(&child)?,
                "metadata" => self.metadata()?,
                "name" => self.file_name(&child)?,
                "desc" | "author" | "email" | "url" | "urlname" | "time" | "keywords"
                | "bounds" | "extensions" => self.markup.skip()?,
                _ => self.skip_unknown(&child)?,
            }
        }
        Ok(())
    }

    fn metadata(&mut self) -> MarkupResult<()> {
        while let Some(child) = self.markup.child()? {
            match self.own_name(&child) {
                "name" => self.file_name(&child)?,
                "desc" | "author" | "copyright" | "link" | "time" | "keywords" | "bounds"
                | "extensions" => self.markup.skip()?,
                _ => self.skip_unknown(&child)?,
            }
        }
        Ok(())
    }

    fn file_name(&mut self, child: &Element<'t>) -> MarkupResult<()> {
        let (text, _) = self.content(child)?;
        if self.found.name.is_none() {
            self.found.name = values::name(&text);
        }
        Ok(())
    }

    fn line(&mut self, kind: LineKind) -> MarkupResult<()> {
        self.lines(kind).begin_line();
        while let Some(child) = self.markup.child()? {
            match (kind, self.own_name(&child)) {
                (_, "name") => {
                    let (text, _) = self.content(&child)?;
                    self.lines(kind).name(values::name(&text));
                }
                (LineKind::Track, "trkseg") => self.segment()?,
                (LineKind::Track, "trkpt") | (LineKind::Route, "rtept") => {
                    self.point(kind, &child)?
                }
                (
                    _,
                    "cmt" | "desc" | "src" | "link" | "url" | "urlname" | "number" | "type"
                    | "extensions",
                ) => self.markup.skip()?,
                _ => self.skip_unknown(&child)?,
            }
        }
        Ok(())
    }

    fn segment(&mut self) -> MarkupResult<()> {
        self.lines(LineKind::Track).begin_segment();
        while let Some(child) = self.markup.child()? {
            match self.own_name(&child) {
                "trkpt" => self.point(LineKind::Track, &child)?,
                "extensions" => self.markup.skip()?,
                _ => self.skip_unknown(&child)?,
            }
        }
        Ok(())
    }

    fn point(&mut self, kind: LineKind, point: &Element<'t>) -> MarkupResult<()> {
        let kept = self.place(kind, point)?;
        while let Some(child) = self.markup.child()? {
            match (kind, self.own_name(&child)) {
                (_, "ele") => {
                    let (text, _) = self.content(&child)?;
                    if kept {
                        self.lines(kind).set_height(&text);
                    }
                }
                (_, "time") => {
                    let (text, _) = self.content(&child)?;
                    if kept {
                        self.lines(kind).set_time(&text);
                    }
                }
                (LineKind::Route, "extensions") => self.shaping_points()?,
                (_, name) if is_of_point(name) => self.markup.skip()?,
                _ => self.skip_unknown(&child)?,
            }
        }
        Ok(())
    }

    /// Adds a point to the line, unless it is nowhere.
    fn place(&mut self, kind: LineKind, point: &Element<'t>) -> MarkupResult<bool> {
        self.count(point)?;
        let place = place::of(point, self.text, self.id);
        let lines = self.lines(kind);
        let kept = place.is_ok();
        match place {
            Ok((lat, lon)) => lines.push(lat, lon),
            Err(problems) => problems.into_iter().for_each(|p| lines.problems.push(p)),
        }
        Ok(kept)
    }

    /// One more point of any kind, if there is room for it.
    fn count(&mut self, point: &Element<'t>) -> MarkupResult<()> {
        self.points += 1;
        if self.points > self.most_points {
            return Err(Box::new(EarlyEnd::TooMany {
                at: point.at.clone(),
                most: self.most_points,
            }));
        }
        Ok(())
    }

    /// The way between two points of a route, which some planners keep in extensions as `rpt`:
    /// without it the route would cut every corner.
    fn shaping_points(&mut self) -> MarkupResult<()> {
        let mut depth = 1;
        while depth > 0 {
            match self.markup.piece()? {
                MarkupPiece::Start(element) => {
                    depth += 1;
                    if element.tag.local_name().as_ref() == "rpt" {
                        self.place(LineKind::Route, &element)?;
                    }
                }
                MarkupPiece::End => depth -= 1,
                MarkupPiece::EndOfFile => return Err(self.markup.cut_off(self.text.len())),
                MarkupPiece::Text(_) | MarkupPiece::Entity(_) => {}
            }
        }
        Ok(())
    }

    fn waypoint(&mut self, waypoint: &Element<'t>) -> MarkupResult<()> {
        self.count(waypoint)?;
        let place = place::of(waypoint, self.text, self.id);
        let mut name = None;
        while let Some(child) = self.markup.child()? {
            match self.own_name(&child) {
                "name" => {
                    let (text, at) = self.content(&child)?;
                    name = values::name(&text).map(|text| (text, trimmed(self.text, at)));
                }
                "ele" | "time" => self.markup.skip()?,
                name if is_of_point(name) => self.markup.skip()?,
                _ => self.skip_unknown(&child)?,
            }
        }
        match place {
            Ok((lat, lon)) => {
                let number = self.found.waypoints.len() + 1;
                let (name, at) =
                    name.unwrap_or_else(|| (format!("Waypoint {number}"), waypoint.at.clone()));
                self.found.waypoints.push(Waypoint {
                    name: Spanned::at(name, Span::new(self.id, at)),
                    lat,
                    lon,
                });
            }
            Err(problems) => {
                let all = &mut self.found.problems;
                problems.into_iter().for_each(|problem| all.push(problem));
            }
        }
        Ok(())
    }

    /// The text of an element and where it stands; an entity that nobody defined is an error.
    fn content(&mut self, element: &Element<'t>) -> MarkupResult<(Cow<'t, str>, Range<usize>)> {
        let mut text = Cow::Borrowed("");
        loop {
            match self.markup.piece()? {
                MarkupPiece::Text(piece) if text.is_empty() => text = piece,
                MarkupPiece::Text(piece) => text.to_mut().push_str(&piece),
                MarkupPiece::Entity(entity) => match resolve(&entity) {
                    Some(character) => text.to_mut().push_str(&character),
                    None => {
                        let at = Span::new(self.id, self.markup.at.clone());
                        self.found.problems.push(unknown_entity(&entity, at));
                    }
                },
                MarkupPiece::Start(inner) => self.skip_unknown(&inner)?,
                MarkupPiece::End => {
                    let start = element.at.end;
                    return Ok((text, start..self.markup.at.start.max(start)));
                }
                MarkupPiece::EndOfFile => return Err(self.markup.cut_off(self.text.len())),
            }
        }
    }

    /// The name without the prefix of GPX; that of another namespace is none of GPX.
    fn own_name<'c>(&self, element: &'c Element<'t>) -> &'c str {
        let name = element.tag.name().into_inner();
        if self.prefix.is_empty() {
            return name;
        }
        let own = name.strip_prefix(self.prefix.as_str());
        own.and_then(|own| own.strip_prefix(':')).unwrap_or("")
    }

    fn skip_unknown(&mut self, element: &Element<'t>) -> MarkupResult<()> {
        let name = element.tag.name();
        if !(self.foreign_anywhere && name.prefix().is_some()) {
            self.found.unknown.add(name.as_ref());
        }
        self.markup.skip()
    }

    fn lines(&mut self, kind: LineKind) -> &mut Lines {
        match kind {
            LineKind::Track => &mut self.found.tracks,
            LineKind::Route => &mut self.found.routes,
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
    let name = values::short(entity);
    Diagnostic::error(format!(
        "entity `&{name};` is not defined and never expanded"
    ))
    .at(at, "expected the character itself")
    .hint("write the character, or `&amp;` for `&`")
}

fn is_of_point(name: &str) -> bool {
    matches!(
        name,
        "magvar"
            | "geoidheight"
            | "name"
            | "cmt"
            | "desc"
            | "src"
            | "link"
            | "url"
            | "urlname"
            | "sym"
            | "type"
            | "fix"
            | "sat"
            | "hdop"
            | "vdop"
            | "pdop"
            | "ageofdgpsdata"
            | "dgpsid"
            | "course"
            | "speed"
            | "extensions"
    )
}
