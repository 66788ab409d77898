//! Passages of the texts, to quote in messages about several of them.

use crate::diagnostics::{Sources, Span};

use super::limits;

/// The texts, to quote what stands in them.
pub(super) struct Said<'s> {
    sources: &'s Sources,
}

impl<'s> Said<'s> {
    pub(super) fn new(sources: &'s Sources) -> Self {
        Said { sources }
    }

    pub(super) fn line(&self, span: Option<Span>) -> usize {
        span.map_or(0, |span| self.sources.position(span).0)
    }

    pub(super) fn words(&self, span: Option<Span>) -> &str {
        span.and_then(|span| self.sources.get(span.file).text.get(span.start..span.end))
            .unwrap_or_default()
            .trim()
    }

    /// A distance in the unit its column is headed with.
    pub(super) fn distance(&self, metres: f64, span: Option<Span>) -> String {
        let text = span.map_or("", |span| &self.sources.get(span.file).text);
        let head = text
            .lines()
            .find(|line| !line.starts_with('#') && !line.trim().is_empty());
        let head = head.unwrap_or_default().to_lowercase();
        let headed = |name: &str| {
            head.split(&[',', ';', '\t']).any(|cell| {
                cell.trim_matches(|c: char| c.is_whitespace() || c == '"' || c == '\u{feff}')
                    .ends_with(name)
            })
        };
        let units = limits::STATION_DISTANCE.units;
        let named = units
            .iter()
            .find(|unit| headed(&format!("_{}", unit.suffix)));
        let number = |unit: &limits::Unit| (unit.from_record(metres) * 1000.0).round() / 1000.0;
        named
            .or(units.first())
            .map_or_else(String::new, |unit| unit.show(number(unit)))
    }
}
