//! The strict reader: the `gpx` crate, for the files that keep to the schema.

use gpx::Gpx;

use super::found::{Found, Line};
use super::times::Times;
use super::values::{self, Heights};
use super::{TrackPoint, Waypoint};
use crate::diagnostics::{FileId, Span, Spanned};

/// What the document from `body` on holds; `None` where it does not keep to the schema.
pub(super) fn read(text: &str, body: usize, id: FileId) -> Option<Found> {
    let Gpx {
        metadata,
        tracks,
        routes,
        waypoints,
        ..
    } = gpx::read(&text.as_bytes()[body..]).ok()?;
    let tracks = tracks.into_iter().map(|track| {
        let segments = track.segments.into_iter().map(|segment| segment.points);
        line(track.name.as_deref(), segments)
    });
    let routes = routes
        .into_iter()
        .map(|route| line(route.name.as_deref(), std::iter::once(route.points)));
    Some(Found {
        name: metadata.and_then(|metadata| values::name(&metadata.name?)),
        tracks: tracks.collect(),
        routes: routes.collect(),
        waypoints: named(waypoints, text, body, id),
        ..Found::default()
    })
}

/// Segment by segment, because what the crate makes of a point takes ten times our memory.
fn line(name: Option<&str>, segments: impl Iterator<Item = Vec<gpx::Waypoint>>) -> Line {
    let mut heights = Heights::default();
    let mut times = Times::default();
    let mut number = 0;
    let segments = segments.map(|points| {
        let points = points.into_iter().map(|point| {
            number += 1;
            TrackPoint {
                lat: point.point().y(),
                lon: point.point().x(),
                elevation_m: point.elevation.and_then(|m| heights.check(m, number)),
                time_s: point.time.and_then(|time| times.check(&time, number)),
            }
        });
        points.collect()
    });
    let segments = segments.collect();
    Line {
        name: name.and_then(values::name),
        segments,
        heights,
        times,
        ..Line::default()
    }
}

/// The waypoints, with the places of their names: they are looked for in the text, in order.
fn named(waypoints: Vec<gpx::Waypoint>, text: &str, body: usize, id: FileId) -> Vec<Waypoint> {
    let mut from = body;
    let waypoints = waypoints.into_iter().enumerate().map(|(index, waypoint)| {
        let name = waypoint.name.as_deref().and_then(values::name);
        let element = Element::after(text, from);
        let range = match (&name, &element) {
            (None, Some(element)) => Some(element.start..element.content),
            (Some(name), Some(element)) => element.name(text, name),
            (_, None) => None,
        };
        from = element.map_or(text.len(), |element| element.content);
        Waypoint {
            name: Spanned::at(
                name.unwrap_or_else(|| format!("Waypoint {}", index + 1)),
                Span::new(id, range.unwrap_or(0..text.len())),
            ),
            lat: waypoint.point().y(),
            lon: waypoint.point().x(),
        }
    });
    waypoints.collect()
}

/// Where a waypoint stands in the text.
struct Element {
    start: usize,
    /// The end of its start tag.
    content: usize,
}

impl Element {
    fn after(text: &str, from: usize) -> Option<Element> {
        let start = from + text.get(from..)?.find("<wpt")?;
        let content = start + text[start..].find('>')? + 1;
        Some(Element { start, content })
    }

    /// Where its name stands, if what stands there is the name.
    fn name(&self, text: &str, name: &str) -> Option<std::ops::Range<usize>> {
        let content = &text[self.content..];
        let content = &content[..content.find("</wpt")?];
        let tag = content.find("<name")?;
        let start = tag + content[tag..].find('>')? + 1;
        let written = &content[start..start + content[start..].find("</name")?];
        let plain = written
            .trim()
            .strip_prefix("<![CDATA[")
            .and_then(|inner| inner.strip_suffix("]]>"))
            .map_or_else(
                || quick_xml::escape::unescape(written),
                |inner| Ok(inner.into()),
            );
        (values::name(&plain.ok()?)? == name).then(|| {
            trimmed(
                text,
                self.content + start..self.content + start + written.len(),
            )
        })
    }
}

/// The range without blanks at its ends.
pub(super) fn trimmed(text: &str, range: std::ops::Range<usize>) -> std::ops::Range<usize> {
    let written = &text[range.clone()];
    let start = range.start + (written.len() - written.trim_start().len());
    start..start + written.trim().len()
}
