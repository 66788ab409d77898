//! Time zones by place, coarsely: the zone whose principal place is nearest.

use chrono::{NaiveDateTime, Offset, TimeZone};
use chrono_tz::Tz;

/// The IANA database's own list of zones with their principal places.
const PLACES: &str = include_str!("zones.csv");

/// The zone whose principal place in the IANA database's `zone.tab` is nearest. Its clocks are
/// those of the spot nearly everywhere; near a border it may be the neighbour's.
///
/// ```
/// use sutler::inputs::zones::nearest;
/// assert_eq!(nearest(46.74, 13.32).map(|zone| zone.name()), Some("Europe/Ljubljana"));
/// assert_eq!(nearest(39.2, -120.2).map(|zone| zone.name()), Some("America/Los_Angeles"));
/// ```
#[must_use]
pub fn nearest(lat: f64, lon: f64) -> Option<Tz> {
    let apart = |place: &(f64, f64, &str)| {
        let east = (place.1 - lon + 540.0).rem_euclid(360.0) - 180.0;
        let east = east * lat.to_radians().cos();
        (place.0 - lat).powi(2) + east.powi(2)
    };
    let places = PLACES.lines().filter_map(place);
    let nearest = places.min_by(|a, b| apart(a).total_cmp(&apart(b)))?;
    nearest.2.parse().ok()
}

fn place(line: &str) -> Option<(f64, f64, &str)> {
    let mut cells = line.split(',');
    let (zone, lat, lon) = (cells.next()?, cells.next()?, cells.next()?);
    Some((lat.parse().ok()?, lon.parse().ok()?, zone))
}

/// Hours that a zone's clocks are ahead of UTC at a local time.
#[must_use]
pub fn ahead_h(zone: Tz, local: NaiveDateTime) -> f64 {
    let offset = zone.offset_from_utc_datetime(&local).fix();
    f64::from(offset.local_minus_utc()) / 3600.0
}
