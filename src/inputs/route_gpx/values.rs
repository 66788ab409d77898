//! Values in the text of an attribute or element: coordinates, heights, names.

use crate::diagnostics::{Diagnostic, Span};
use crate::words::count;

/// One of the two coordinates.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Axis {
    Lat,
    Lon,
}

impl Axis {
    pub(super) fn attribute(self) -> &'static str {
        match self {
            Axis::Lat => "lat",
            Axis::Lon => "lon",
        }
    }

    fn word(self) -> &'static str {
        match self {
            Axis::Lat => "latitude",
            Axis::Lon => "longitude",
        }
    }

    fn limit_deg(self) -> f64 {
        match self {
            Axis::Lat => 90.0,
            Axis::Lon => 180.0,
        }
    }
}

/// A number of degrees within the range of its axis, or what is wrong with it.
pub(super) fn coordinate(
    axis: Axis,
    written: &str,
    at: impl FnOnce() -> Span,
) -> Result<f64, Box<Diagnostic>> {
    let written = written.trim();
    match written.parse::<f64>() {
        Ok(degrees) if degrees.abs() <= axis.limit_deg() => Ok(degrees),
        Ok(degrees) if degrees.is_finite() => Err(Box::new(outside(axis, degrees, written, at()))),
        _ => Err(Box::new(no_number(axis, written, at()))),
    }
}

fn expected(axis: Axis) -> String {
    let limit = axis.limit_deg();
    format!("expected degrees from -{limit} to {limit}")
}

fn no_number(axis: Axis, written: &str, at: Span) -> Diagnostic {
    let word = axis.word();
    let problem = Diagnostic::error(if written.is_empty() {
        format!("{word} is empty")
    } else {
        format!("{word} `{}` is not a number", short(written))
    });
    let problem = problem.at(at, expected(axis));
    let pointed = written.replacen(',', ".", 1);
    if pointed != written && pointed.parse::<f64>().is_ok() {
        problem.hint(format!("write a decimal point: `{pointed}`"))
    } else {
        problem
    }
}

fn outside(axis: Axis, degrees: f64, written: &str, at: Span) -> Diagnostic {
    let (word, shown) = (axis.word(), short(written));
    let problem = Diagnostic::error(format!("{word} `{shown}` is out of range"));
    let problem = problem.at(at, expected(axis));
    match axis {
        Axis::Lat if degrees.abs() <= 180.0 => {
            problem.hint("latitude and longitude may be swapped: `lat` is degrees north")
        }
        Axis::Lon if degrees > 180.0 && degrees <= 360.0 => problem.hint(format!(
            "west of Greenwich is negative: `{}`",
            ((degrees - 360.0) * 1e9).round() / 1e9
        )),
        _ => problem,
    }
}

/// Heights that no runner reaches are slips of the recorder: the lowest land is 430 m below the
/// sea and the highest 8849 m above it (from memory).
const HEIGHTS_M: std::ops::RangeInclusive<f64> = -500.0..=9000.0;

/// Heights that were left out.
#[derive(Debug, Default)]
pub(super) struct Heights {
    unusable: usize,
    /// As written, and the number of its point, from 1.
    first: Option<(String, usize)>,
}

impl Heights {
    /// The height that an element of a point says; an empty one says nothing.
    pub(super) fn parse(&mut self, written: &str, point: usize) -> Option<f64> {
        let written = written.trim();
        if written.is_empty() {
            return None;
        }
        let metres = written.parse().ok().filter(|m| HEIGHTS_M.contains(m));
        if metres.is_none() {
            self.unusable += 1;
            self.first
                .get_or_insert_with(|| (short(written).into_owned(), point));
        }
        metres
    }

    /// One warning for all of them.
    pub(super) fn warning(&self, file_name: &str) -> Option<Diagnostic> {
        let (written, point) = self.first.as_ref()?;
        let (low, high) = (HEIGHTS_M.start(), HEIGHTS_M.end());
        let heights = count(self.unusable, "unusable height");
        Some(
            Diagnostic::warning(format!(
                "`{file_name}` has {heights}, left out; the first is \
                 `{written}` at point {point}"
            ))
            .hint(format!(
                "a height is a number of metres from {low} to {high}: feet are to be divided by \
                 3.281; what is left out is filled in from the points around it"
            )),
        )
    }
}

/// A name on one line, if there is any.
pub(super) fn name(written: &str) -> Option<String> {
    let name = written.split_whitespace().collect::<Vec<_>>().join(" ");
    (!name.is_empty()).then_some(name)
}

/// A piece of the file in a message: no more of it than a reader needs to know it again.
pub(super) fn short(written: &str) -> std::borrow::Cow<'_, str> {
    const MOST: usize = 60;
    match written.char_indices().nth(MOST) {
        Some((end, _)) => format!("{}...", &written[..end]).into(),
        None => written.into(),
    }
}

/// A place in a message: what a line of a terminal can show of it.
pub(super) fn short_range(text: &str, at: std::ops::Range<usize>) -> std::ops::Range<usize> {
    const MOST: usize = 60;
    at.start..text.floor_char_boundary(at.end.min(at.start + MOST))
}
