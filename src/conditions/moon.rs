//! The moon: how much of it is lit, and when it rises and sets.

use chrono::{DateTime, Duration, Utc};

/// The moon at one instant, as seen from the middle of the Earth.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moon {
    /// Ecliptic longitude, degrees.
    pub longitude_deg: f64,
    /// Ecliptic latitude, degrees.
    pub latitude_deg: f64,
    /// Horizontal parallax, degrees.
    pub parallax_deg: f64,
    /// Share of its disc that is lit.
    pub lit: f64,
    /// True where it is on its way to full.
    pub is_waxing: bool,
}

/// A rise or a set.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MoonEvent {
    /// The time.
    pub at: DateTime<Utc>,
    /// True where it rises.
    pub rises: bool,
}

/// Steps in which rises and sets are looked for; none is shorter on any course.
const STEP_MIN: i64 = 10;
/// A rise is found to within this, seconds; the positions are good to a minute or two.
const CLOSE_S: i64 = 10;
/// Refraction at the horizon, degrees: 34 minutes of arc.
const REFRACTION_DEG: f64 = 0.5667;

/// The moon at an instant.
///
/// # Source
/// The low-precision series of the *Astronomical Almanac* (page D22; from memory), good to 0.3° in
/// longitude, 0.2° in latitude and 0.003° in parallax: about a minute of rise and set.
#[must_use]
pub fn moon(at: DateTime<Utc>) -> Moon {
    let days = at.timestamp() as f64 / 86_400.0 - 10_957.5;
    let t = days / 36_525.0;
    let wave = |start: f64, per_century: f64| (start + per_century * t).to_radians();
    let longitude_deg = 218.32 + 481_267.881 * t + 6.29 * wave(135.0, 477_198.87).sin()
        - 1.27 * wave(259.3, -413_335.36).sin()
        + 0.66 * wave(235.7, 890_534.22).sin()
        + 0.21 * wave(269.9, 954_397.74).sin()
        - 0.19 * wave(357.5, 35_999.05).sin()
        - 0.11 * wave(186.5, 966_404.03).sin();
    let latitude_deg = 5.13 * wave(93.3, 483_202.02).sin() + 0.28 * wave(228.2, 960_400.89).sin()
        - 0.28 * wave(318.3, 6_003.15).sin()
        - 0.17 * wave(217.6, -407_332.21).sin();
    let parallax_deg = 0.9508
        + 0.0518 * wave(135.0, 477_198.87).cos()
        + 0.0095 * wave(259.3, -413_335.36).cos()
        + 0.0078 * wave(235.7, 890_534.22).cos()
        + 0.0028 * wave(269.9, 954_397.74).cos();
    let anomaly = (357.528 + 0.985_600_3 * days).to_radians();
    let sun_deg =
        280.460 + 0.985_647_4 * days + 1.915 * anomaly.sin() + 0.020 * (2.0 * anomaly).sin();
    let ahead = (longitude_deg - sun_deg).to_radians();
    let elongation_cos = latitude_deg.to_radians().cos() * ahead.cos();
    Moon {
        longitude_deg: longitude_deg.rem_euclid(360.0),
        latitude_deg,
        parallax_deg,
        lit: (1.0 - elongation_cos) / 2.0,
        is_waxing: ahead.sin() > 0.0,
    }
}

/// Every rise and set at a place between two instants, over a level horizon.
///
/// # Units
/// Latitude and longitude in degrees, north and east positive.
#[must_use]
pub fn moon_events(
    lat_deg: f64,
    lon_deg: f64,
    from: DateTime<Utc>,
    to: DateTime<Utc>,
) -> Vec<MoonEvent> {
    let above = |at: DateTime<Utc>| above_horizon_deg(lat_deg, lon_deg, at) > 0.0;
    let mut events = Vec::new();
    let (mut before, mut was_up) = (from, above(from));
    while before < to {
        let next = (before + Duration::minutes(STEP_MIN)).min(to);
        let is_up = above(next);
        if is_up != was_up {
            let (mut low, mut high) = (before, next);
            while (high - low).num_seconds() > CLOSE_S {
                let middle = low + (high - low) / 2;
                if above(middle) == was_up {
                    low = middle;
                } else {
                    high = middle;
                }
            }
            events.push(MoonEvent {
                at: high,
                rises: is_up,
            });
        }
        (before, was_up) = (next, is_up);
    }
    events
}

/// The height of the upper edge above the level horizon, refraction counted; degrees.
///
/// A rise is where the middle stands at 0.7275 times the parallax less 34' (Meeus, *Astronomical
/// Algorithms*, chapter 15; from memory).
fn above_horizon_deg(lat_deg: f64, lon_deg: f64, at: DateTime<Utc>) -> f64 {
    let days = at.timestamp() as f64 / 86_400.0 - 10_957.5;
    let body = moon(at);
    let (lon, lat) = (
        body.longitude_deg.to_radians(),
        body.latitude_deg.to_radians(),
    );
    let tilt = (23.439 - 0.000_000_4 * days).to_radians();
    let declination = (lat.sin() * tilt.cos() + lat.cos() * tilt.sin() * lon.sin()).asin();
    let ascension =
        (lon.sin() * lat.cos() * tilt.cos() - lat.sin() * tilt.sin()).atan2(lon.cos() * lat.cos());
    let sidereal_deg = 280.460_62 + 360.985_647_37 * days + lon_deg;
    let hour = sidereal_deg.to_radians() - ascension;
    let here = lat_deg.to_radians();
    let height = (here.sin() * declination.sin() + here.cos() * declination.cos() * hour.cos())
        .asin()
        .to_degrees();
    height - (0.7275 * body.parallax_deg - REFRACTION_DEG)
}
