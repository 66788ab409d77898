//! Where a point is: its attributes.

use std::ops::Range;

use super::Rescue;
use super::markup::Child;
use crate::diagnostics::Diagnostic;
use crate::inputs::route_gpx::values::{self, Axis};

impl<'t> Rescue<'t> {
    /// Latitude and longitude of a point, or all that is wrong with them.
    pub(super) fn coordinates(&self, point: &Child<'t>) -> Result<(f64, f64), Vec<Diagnostic>> {
        let mut problems = Vec::new();
        let mut one = |axis: Axis| {
            self.coordinate(axis, point)
                .map_err(|problem| problems.push(*problem))
                .ok()
        };
        let (lat, lon) = (one(Axis::Lat), one(Axis::Lon));
        lat.zip(lon).ok_or(problems)
    }

    fn coordinate(&self, axis: Axis, point: &Child<'t>) -> Result<f64, Box<Diagnostic>> {
        let key = axis.attribute();
        let mut attributes = point.tag.html_attributes();
        let attribute = attributes
            .with_checks(false)
            .flatten()
            .find(|a| a.key.as_ref() == key);
        let Some(attribute) = attribute else {
            let name = point.tag.name();
            let problem = Diagnostic::error(format!("`{}` has no `{key}`", name.as_ref()));
            return Err(Box::new(problem.at(
                self.span(point.at.clone()),
                format!("expected `{key}=\"...\"`"),
            )));
        };
        let at = self.range_of(&attribute.value).unwrap_or(point.at.clone());
        // What cannot be resolved is no number either.
        let written = quick_xml::escape::unescape(&attribute.value)
            .unwrap_or_else(|_| attribute.value.as_ref().into());
        values::coordinate(axis, &written, self.span(at))
    }

    /// Where a piece of the text stands in it.
    fn range_of(&self, piece: &str) -> Option<Range<usize>> {
        let start = piece
            .as_ptr()
            .addr()
            .checked_sub(self.text.as_ptr().addr())?;
        let end = start + piece.len();
        (self.text.get(start..end) == Some(piece)).then_some(start..end)
    }
}
