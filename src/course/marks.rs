//! Distance marks, where neither a list nor the route file names a station: a track and a finish
//! time alone must already give splits worth reading.

use crate::inputs::stations_csv::StationKind;

use super::StationRole;
use super::draft::Draft;

/// Marks stand this far apart on routes up to [`LONG_M`], metres ...
const APART_M: f64 = 5000.0;
/// ... and this far on longer ones.
const APART_ON_LONG_M: f64 = 10_000.0;
/// A route longer than this is long, metres.
const LONG_M: f64 = 60_000.0;
/// The last mark stands at least this share of the spacing before the finish.
const BEFORE_FINISH: f64 = 0.2;

/// A mark every 5 or 10 km of the route, start and finish left out.
pub(super) fn drafts<'a>(length_m: f64) -> Vec<Draft<'a>> {
    let apart_m = if length_m > LONG_M {
        APART_ON_LONG_M
    } else {
        APART_M
    };
    let count = (length_m / apart_m - BEFORE_FINISH).floor().max(0.0) as usize;
    (1..=count)
        .map(|number| mark(number as f64 * apart_m))
        .collect()
}

fn mark<'a>(route_m: f64) -> Draft<'a> {
    let name = format!("{:.0} km", route_m / 1000.0);
    Draft {
        place: name.clone(),
        name,
        role: StationRole::Between(StationKind::Checkpoint),
        row: None,
        span: None,
        official_m: None,
        route_m: Some(route_m),
        position_deg: None,
    }
}
