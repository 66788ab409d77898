//! A forecast between its hours, heights and places.

use super::Weather;

/// The lapse of a metre of height: 6.5 °C per km, the standard atmosphere from sea level to
/// 11 km (ICAO Doc 7488, *Manual of the ICAO Standard Atmosphere*). It is an average: on a clear
/// calm night a valley may be colder than the slopes above it.
pub const LAPSE_C_PER_M: f64 = 0.0065;

/// The temperature at one height where another's is known, degrees Celsius, by the lapse of the
/// standard atmosphere (ICAO Doc 7488), which holds up to 11 km.
///
/// ```
/// use sutler::conditions::lapsed_c;
/// assert_eq!(lapsed_c(15.0, 0.0, 2000.0), 2.0);
/// ```
#[must_use]
pub fn lapsed_c(temp_c: f64, from_m: f64, to_m: f64) -> f64 {
    temp_c - LAPSE_C_PER_M * (to_m - from_m)
}

/// The forecast for the whole course.
#[derive(Clone, Debug)]
pub(super) struct ForecastSites {
    pub(super) sites: Vec<Site>,
    /// Metres along the route, rising, and which site is there; at least one.
    pub(super) stops: Vec<(f64, usize)>,
}

/// The forecast for a place, or for the whole course where it is given by height alone.
#[derive(Clone, Debug)]
pub(super) struct Site {
    /// Rising in height; at least one.
    pub(super) layers: Vec<Layer>,
}

/// The forecast for one height.
#[derive(Clone, Debug)]
pub(super) struct Layer {
    /// metres above sea level
    pub(super) elevation_m: f64,
    /// Seconds after the runner's start, rising, and the weather then; at least one.
    pub(super) hours: Vec<(f64, Weather)>,
}

impl ForecastSites {
    /// The same forecast everywhere, but for height.
    pub(super) fn everywhere(site: Site) -> Self {
        ForecastSites {
            sites: vec![site],
            stops: vec![(0.0, 0)],
        }
    }

    /// Between two places by distance; beyond the first and last as there.
    #[inline]
    pub(super) fn at(&self, distance_m: f64, elevation_m: f64, elapsed_s: f64) -> Weather {
        let (a, b, part) = bracket(&self.stops, |stop| stop.0, distance_m);
        let here = self.sites[a.1].at(elevation_m, elapsed_s);
        if part == 0.0 || a.1 == b.1 {
            return here;
        }
        here.towards(&self.sites[b.1].at(elevation_m, elapsed_s), part)
    }
}

impl Site {
    /// Between two heights; above the highest and below the lowest by the standard lapse.
    #[inline]
    fn at(&self, elevation_m: f64, elapsed_s: f64) -> Weather {
        let (a, b, part) = bracket(&self.layers, |layer| layer.elevation_m, elevation_m);
        if part > 0.0 {
            return a.at(elapsed_s).towards(&b.at(elapsed_s), part);
        }
        let here = a.at(elapsed_s);
        Weather {
            temp_c: lapsed_c(here.temp_c, a.elevation_m, elevation_m),
            ..here
        }
    }
}

impl Layer {
    /// Between two hours; before the first and after the last as then.
    #[inline]
    fn at(&self, elapsed_s: f64) -> Weather {
        let (a, b, part) = bracket(&self.hours, |hour| hour.0, elapsed_s);
        if part > 0.0 {
            a.1.towards(&b.1, part)
        } else {
            a.1
        }
    }
}

impl Weather {
    /// Part of the way to other weather; thunder where either has it.
    #[inline]
    pub(super) fn towards(&self, other: &Weather, part: f64) -> Weather {
        let between = |a: f64, b: f64| a + (b - a) * part;
        Weather {
            temp_c: between(self.temp_c, other.temp_c),
            humidity_pct: between(self.humidity_pct, other.humidity_pct),
            wind_kmh: between(self.wind_kmh, other.wind_kmh),
            rain_mm_per_h: between(self.rain_mm_per_h, other.rain_mm_per_h),
            thunder: self.thunder || other.thunder,
            rain_chance_pct: match (self.rain_chance_pct, other.rain_chance_pct) {
                (Some(a), Some(b)) => Some(between(a, b)),
                (one, other) => one.or(other),
            },
        }
    }
}

/// The items on both sides of a value and how far between them it is, from 0 to below 1. On an
/// item, and outside all of them, it is that item with 0.
#[inline]
fn bracket<T>(items: &[T], key: impl Fn(&T) -> f64, value: f64) -> (&T, &T, f64) {
    let after = items.partition_point(|item| key(item) <= value);
    let i = after.saturating_sub(1);
    let (a, b) = (&items[i], &items[after.min(items.len() - 1)]);
    let width = key(b) - key(a);
    let part = if after > 0 && width > 0.0 {
        (value - key(a)) / width
    } else {
        0.0
    };
    (a, b, part)
}
