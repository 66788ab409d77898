//! Sunrise, sunset and civil twilight of one civil day.

use chrono::{DateTime, NaiveDate, Utc};
use solar_positioning::{Events, Horizon, Location, SolarEvents, delta_t};

/// The sun's events at a place on one civil day there; `None` for an event that does not happen.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct SunTimes {
    /// Civil dawn.
    pub dawn: Option<DateTime<Utc>>,
    /// Sunrise.
    pub sunrise: Option<DateTime<Utc>>,
    /// Sunset.
    pub sunset: Option<DateTime<Utc>>,
    /// Civil dusk.
    pub dusk: Option<DateTime<Utc>>,
}

/// The sun's events at a place on the civil day `date` in the zone `zone`.
///
/// Events belong to the day whose date the clock on the wall shows, which is 23 or 25 hours long
/// where the clocks change. In high latitudes a day may lack some events or all of them. On the
/// few days that have two of a kind, one just after midnight and one just before the next, the
/// dawn and sunrise are the first and the sunset and dusk are the last, so that they enclose the
/// day's light.
///
/// This is not the moment the sun clears the ridge: the horizon is level and at the
/// observer's height; mountains, their shadow and the dip of the horizon seen from a summit
/// (some minutes) are ignored.
///
/// # Units
/// Latitude and longitude in degrees on WGS84, north and east positive. A position off the Earth
/// or a year that the theory does not cover has no events.
///
/// # Examples
/// ```
/// use chrono::NaiveDate;
/// use sutler::conditions::sun_times;
///
/// let midsummer = NaiveDate::from_ymd_opt(2026, 6, 21).unwrap();
/// let vienna = sun_times(48.2, 16.4, midsummer, chrono_tz::Europe::Vienna);
/// assert!(vienna.dawn < vienna.sunrise && vienna.sunset < vienna.dusk);
///
/// let north_cape = sun_times(71.2, 25.8, midsummer, chrono_tz::Europe::Oslo);
/// assert_eq!(north_cape.sunset, None); // the midnight sun
/// ```
///
/// # Source
/// Solar position: Reda & Andreas, *Solar Energy* 76 (2004) 577-589,
/// doi:10.1016/j.solener.2003.12.003, ±0.0003° for the years -2000 to 6000; the years used here
/// are -500 to 3000, those of the estimate of TT - UT1 (Espenak & Meeus). Sunrise and sunset:
/// the sun's centre 50′ below the horizon, 34′ for refraction and 16′ for its radius. Civil dawn
/// and dusk: 6° below.
#[must_use]
pub fn sun_times(lat_deg: f64, lon_deg: f64, date: NaiveDate, zone: chrono_tz::Tz) -> SunTimes {
    let location = Location {
        latitude: lat_deg,
        longitude: lon_deg,
    };
    let horizons = [Horizon::SunriseSunset, Horizon::CivilTwilight];
    let found = delta_t::estimate_from_date_like(&date).and_then(|delta_t| {
        SolarEvents::new().for_date_multiple(date, &zone, location, delta_t, horizons)
    });
    let mut times = SunTimes::default();
    for (horizon, events) in found.unwrap_or_default() {
        let (rise, set) = outermost(&events);
        if horizon == Horizon::SunriseSunset {
            (times.sunrise, times.sunset) = (rise, set);
        } else {
            (times.dawn, times.dusk) = (rise, set);
        }
    }
    times
}

/// The first rise and the last set of a day.
fn outermost(
    events: &Events<DateTime<chrono_tz::Tz>>,
) -> (Option<DateTime<Utc>>, Option<DateTime<Utc>>) {
    (
        events.rises.first().map(DateTime::to_utc),
        events.sets.last().map(DateTime::to_utc),
    )
}
