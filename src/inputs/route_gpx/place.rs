//! The position of a point: its attributes.

use std::borrow::Cow;
use std::ops::Range;

use super::markup::Element;
use super::values::{self, Axis};
use crate::diagnostics::{Diagnostic, FileId, Span};

/// Latitude and longitude of a point, or all that is wrong with them.
pub(super) fn of(
    point: &Element<'_>,
    text: &str,
    id: FileId,
) -> Result<(f64, f64), Vec<Diagnostic>> {
    let (mut lat, mut lon) = (None, None);
    let mut attributes = point.tag.html_attributes();
    for attribute in attributes.with_checks(false).flatten() {
        let written = match attribute.key.as_ref() {
            "lat" => &mut lat,
            "lon" => &mut lon,
            _ => continue,
        };
        written.get_or_insert(attribute.value);
    }
    let mut problems = Vec::new();
    let mut one = |axis: Axis, written: Option<Cow<'_, str>>| {
        coordinate(axis, written, point, text, id)
            .map_err(|problem| problems.push(*problem))
            .ok()
    };
    let (lat, lon) = (one(Axis::Lat, lat), one(Axis::Lon, lon));
    lat.zip(lon).ok_or(problems)
}

fn coordinate(
    axis: Axis,
    written: Option<Cow<'_, str>>,
    point: &Element<'_>,
    text: &str,
    id: FileId,
) -> Result<f64, Box<Diagnostic>> {
    let Some(written) = written else {
        let (key, name) = (axis.attribute(), point.tag.name());
        let problem = Diagnostic::error(format!("`{}` has no `{key}`", name.as_ref()));
        return Err(Box::new(problem.at(
            Span::new(id, point.at.clone()),
            format!("expected `{key}=\"...\"`"),
        )));
    };
    // What cannot be resolved is no number either.
    let number = quick_xml::escape::unescape(&written).unwrap_or(Cow::Borrowed(&written));
    values::coordinate(axis, &number, || {
        let at = range_of(&written, text).unwrap_or(point.at.clone());
        Span::new(id, at)
    })
}

/// The place of a piece of the text in it.
fn range_of(piece: &str, text: &str) -> Option<Range<usize>> {
    let start = piece.as_ptr().addr().checked_sub(text.as_ptr().addr())?;
    let end = start + piece.len();
    (text.get(start..end) == Some(piece)).then_some(start..end)
}
