//! The lenient reader: what people really have, with the place of everything that is wrong.
//!
//! It skips what it does not know, takes points in the order of the text and keeps what it has
//! when the text ends or makes no sense any more.

mod markup;
mod place;

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};

use super::found::{Found, Line, Stop};
use super::strict::trimmed;
use super::values;
use super::{TrackPoint, Waypoint};
use crate::diagnostics::{FileId, Spanned};
use markup::Child;

/// What the document from `body` on holds.
pub(super) fn read(text: &str, body: usize, id: FileId, most_points: usize) -> Found {
    let mut reader = Reader::from_str(&text[body..]);
    let config = reader.config_mut();
    config.expand_empty_elements = true;
    config.allow_dangling_amp = true;
    let mut rescue = Rescue {
        text,
        body,
        id,
        most_points,
        reader,
        points: 0,
        prefix: String::new(),
        foreign_anywhere: false,
        found: Found::default(),
    };
    let end = rescue.document();
    rescue.found.stop = end.err();
    rescue.found
}

struct Rescue<'t> {
    text: &'t str,
    body: usize,
    id: FileId,
    most_points: usize,
    reader: Reader<&'t [u8]>,
    points: usize,
    /// The prefix of the root, which is that of all of GPX.
    prefix: String,
    /// GPX 1.0 allows elements of other namespaces everywhere.
    foreign_anywhere: bool,
    found: Found,
}

#[derive(Clone, Copy)]
enum Kind {
    Track,
    Route,
}

impl<'t> Rescue<'t> {
    /// One root, or several where files were put one behind the other.
    fn document(&mut self) -> Result<(), Stop> {
        loop {
            let (event, at) = self.event()?;
            match event {
                Event::Eof => return Ok(()),
                Event::Start(tag) if tag.local_name().as_ref() == "gpx" => self.gpx(&tag)?,
                Event::Start(tag) => self.skip_unknown(&Child { tag, at })?,
                _ => {}
            }
        }
    }

    fn gpx(&mut self, root: &BytesStart<'t>) -> Result<(), Stop> {
        self.prefix = root
            .name()
            .prefix()
            .map_or_else(String::new, |p| p.as_ref().to_owned());
        let version = root
            .html_attributes()
            .flatten()
            .find(|a| a.key.as_ref() == "version");
        self.foreign_anywhere = version.is_some_and(|version| version.value.trim() == "1.0");
        while let Some(child) = self.child()? {
            match self.own_name(&child) {
                "trk" => {
                    self.found.tracks.push(Line::default());
                    self.line(Kind::Track)?;
                }
                "rte" => {
                    self.found.routes.push(Line::default());
                    self.line(Kind::Route)?;
                }
                "wpt" => self.waypoint(&child)?,
                "metadata" => self.metadata()?,
                "name" => self.file_name(&child)?,
                "desc" | "author" | "email" | "url" | "urlname" | "time" | "keywords"
                | "bounds" | "extensions" => self.skip(&child)?,
                _ => self.skip_unknown(&child)?,
            }
        }
        Ok(())
    }

    fn metadata(&mut self) -> Result<(), Stop> {
        while let Some(child) = self.child()? {
            match self.own_name(&child) {
                "name" => self.file_name(&child)?,
                "desc" | "author" | "copyright" | "link" | "time" | "keywords" | "bounds"
                | "extensions" => self.skip(&child)?,
                _ => self.skip_unknown(&child)?,
            }
        }
        Ok(())
    }

    fn file_name(&mut self, child: &Child<'t>) -> Result<(), Stop> {
        let (text, _) = self.content(child)?;
        if self.found.name.is_none() {
            self.found.name = values::name(&text);
        }
        Ok(())
    }

    fn line(&mut self, kind: Kind) -> Result<(), Stop> {
        while let Some(child) = self.child()? {
            match (kind, self.own_name(&child)) {
                (_, "name") => {
                    let (text, _) = self.content(&child)?;
                    self.current(kind).name = values::name(&text);
                }
                (Kind::Track, "trkseg") => {
                    self.current(kind).segments.push(Vec::new());
                    self.segment()?;
                }
                (Kind::Track, "trkpt") | (Kind::Route, "rtept") => self.point(kind, &child)?,
                (
                    _,
                    "cmt" | "desc" | "src" | "link" | "url" | "urlname" | "number" | "type"
                    | "extensions",
                ) => self.skip(&child)?,
                _ => self.skip_unknown(&child)?,
            }
        }
        Ok(())
    }

    fn segment(&mut self) -> Result<(), Stop> {
        while let Some(child) = self.child()? {
            match self.own_name(&child) {
                "trkpt" => self.point(Kind::Track, &child)?,
                "extensions" => self.skip(&child)?,
                _ => self.skip_unknown(&child)?,
            }
        }
        Ok(())
    }

    fn point(&mut self, kind: Kind, point: &Child<'t>) -> Result<(), Stop> {
        let kept = self.place(kind, point)?;
        while let Some(child) = self.child()? {
            match (kind, self.own_name(&child)) {
                (_, "ele") => {
                    let (text, _) = self.content(&child)?;
                    if kept {
                        self.set_height(kind, &text);
                    }
                }
                (_, "time") => {
                    let (text, _) = self.content(&child)?;
                    if kept {
                        self.set_time(kind, &text);
                    }
                }
                (Kind::Route, "extensions") => self.shaping_points()?,
                (_, name) if is_of_point(name) => self.skip(&child)?,
                _ => self.skip_unknown(&child)?,
            }
        }
        Ok(())
    }

    /// Adds a point to the line, unless it is nowhere.
    fn place(&mut self, kind: Kind, point: &Child<'t>) -> Result<bool, Stop> {
        self.count(point)?;
        let place = self.coordinates(point);
        let line = self.current(kind);
        match place {
            Ok((lat, lon)) => {
                if line.segments.is_empty() {
                    line.segments.push(Vec::new());
                }
                if let Some(segment) = line.segments.last_mut() {
                    segment.push(TrackPoint {
                        lat,
                        lon,
                        elevation_m: None,
                        time_s: None,
                    });
                }
                Ok(true)
            }
            Err(problems) => {
                problems
                    .into_iter()
                    .for_each(|problem| line.problems.push(problem));
                Ok(false)
            }
        }
    }

    /// One more point of any kind, if there is room for it.
    fn count(&mut self, point: &Child<'t>) -> Result<(), Stop> {
        self.points += 1;
        if self.points > self.most_points {
            return Err(Stop::TooMany {
                at: point.at.clone(),
                most: self.most_points,
            });
        }
        Ok(())
    }

    fn set_height(&mut self, kind: Kind, written: &str) {
        let Line {
            segments, heights, ..
        } = self.current(kind);
        let height = heights.parse(written, || segments.iter().map(Vec::len).sum());
        if let Some(point) = segments.last_mut().and_then(|segment| segment.last_mut()) {
            point.elevation_m = height;
        }
    }

    fn set_time(&mut self, kind: Kind, written: &str) {
        let Line {
            segments, times, ..
        } = self.current(kind);
        let time_s = times.parse(written, || segments.iter().map(Vec::len).sum());
        if let Some(point) = segments.last_mut().and_then(|segment| segment.last_mut()) {
            point.time_s = time_s;
        }
    }

    /// The way between two points of a route, which some planners keep in extensions as `rpt`:
    /// without it the route would cut every corner.
    fn shaping_points(&mut self) -> Result<(), Stop> {
        let mut depth = 1;
        while depth > 0 {
            match self.event()? {
                (Event::Start(tag), at) => {
                    depth += 1;
                    if tag.local_name().as_ref() == "rpt" {
                        self.place(Kind::Route, &Child { tag, at })?;
                    }
                }
                (Event::End(_), _) => depth -= 1,
                (Event::Eof, _) => return Err(self.cut_off(self.text.len())),
                _ => {}
            }
        }
        Ok(())
    }

    fn waypoint(&mut self, waypoint: &Child<'t>) -> Result<(), Stop> {
        self.count(waypoint)?;
        let place = self.coordinates(waypoint);
        let mut name = None;
        while let Some(child) = self.child()? {
            match self.own_name(&child) {
                "name" => {
                    let (text, at) = self.content(&child)?;
                    name = values::name(&text).map(|text| (text, trimmed(self.text, at)));
                }
                "ele" | "time" | "extensions" => self.skip(&child)?,
                name if is_of_point(name) => self.skip(&child)?,
                _ => self.skip_unknown(&child)?,
            }
        }
        match place {
            Ok((lat, lon)) => {
                let number = self.found.waypoints.len() + 1;
                let (name, at) =
                    name.unwrap_or_else(|| (format!("Waypoint {number}"), waypoint.at.clone()));
                self.found.waypoints.push(Waypoint {
                    name: Spanned::at(name, self.span(at)),
                    lat,
                    lon,
                });
            }
            Err(problems) => {
                problems
                    .into_iter()
                    .for_each(|problem| self.found.problems.push(problem));
            }
        }
        Ok(())
    }

    fn current(&mut self, kind: Kind) -> &mut Line {
        let lines = match kind {
            Kind::Track => &mut self.found.tracks,
            Kind::Route => &mut self.found.routes,
        };
        if lines.is_empty() {
            lines.push(Line::default());
        }
        let last = lines.len() - 1;
        &mut lines[last]
    }
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
