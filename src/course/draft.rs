//! A station on its way onto the route, and how near to the route a position must be.

use crate::diagnostics::Span;
use crate::inputs::stations_csv::StationRow;

use super::StationRole;

/// A position this near to the route is on it, metres: a station beside the path, the error of
/// its coordinates and that of the track.
pub(super) const NEAR_M: f64 = 150.0;
/// A position farther than this from the route is wrong, metres.
pub(super) const TOO_FAR_M: f64 = 2000.0;
/// A position this near to an end of the route, metres, is that end.
pub(super) const AT_END_M: f64 = 50.0;
/// A station on its way onto the route.
#[derive(Clone, Debug)]
pub(super) struct Draft<'a> {
    pub(super) name: String,
    pub(super) place: String,
    pub(super) role: StationRole,
    pub(super) row: Option<&'a StationRow>,
    pub(super) span: Option<Span>,
    pub(super) official_m: Option<f64>,
    pub(super) route_m: Option<f64>,
    pub(super) position_deg: Option<(f64, f64)>,
}

impl<'a> Draft<'a> {
    pub(super) fn of_row(row: &'a StationRow) -> Draft<'a> {
        let name = row.name.value.clone();
        let place = if row.place.trim().is_empty() {
            name.clone()
        } else {
            row.place.clone()
        };
        Draft {
            name,
            place,
            role: StationRole::Between(row.kind),
            row: Some(row),
            span: row.span.or(row.name.span),
            official_m: row
                .distance_m
                .as_ref()
                .map(|d| d.value)
                .filter(|m| m.is_finite()),
            route_m: None,
            position_deg: (row.position.as_ref())
                .map(|p| p.value)
                .filter(|(lat, lon)| lat.abs() <= 90.0 && lon.is_finite()),
        }
    }

    pub(super) fn distance_span(&self) -> Option<Span> {
        let distance = self.row.and_then(|r| r.distance_m.as_ref());
        distance.and_then(|d| d.span).or(self.span)
    }
}
