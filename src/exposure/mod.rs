//! Light and weather that the runner meets: on the planned way, on arrival at each station, and
//! anywhere in the window from early to late. Sampled here once; what comes after reads it.

mod way;
mod window;

use crate::conditions::{Conditions, ForecastScope, Light, Weather};
use crate::course::{Course, Station};
use crate::pacing::Pacing;
use crate::schedule::Schedule;
use crate::time::{Elapsed, S_PER_HOUR};

pub use way::{Exposure, Spell};
pub use window::{WindowExposure, WindowExposures};

/// Everything that is met along a paced course.
#[derive(Clone, Debug, Default)]
#[non_exhaustive]
pub struct Exposures {
    /// The planned way, one per segment.
    pub segments: Vec<Exposure>,
    /// The window from early to late arrival.
    pub window: WindowExposures,
    /// Each station on arrival.
    pub stations: Vec<StationExposure>,
    /// The light at the start in each of the first 24 hours; `None` where daylight is not known.
    pub start_light: Option<[Light; 24]>,
    /// The quantities that the forecast names.
    pub told: ForecastScope,
}

/// One station on arrival.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct StationExposure {
    /// At the planned arrival.
    pub planned: Air,
    /// At the likely arrival.
    pub likely: Air,
}

/// Darkness and weather at one spot and time.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Air {
    /// True where a lamp is needed.
    pub dark: bool,
    /// The forecast, where there is one.
    pub weather: Option<Weather>,
}

impl Exposures {
    /// Samples the conditions along a paced course.
    #[must_use]
    pub fn along(
        course: &Course,
        conditions: &Conditions,
        pacing: &Pacing,
        schedule: &Schedule,
    ) -> Exposures {
        let air = |station: &Station, at: Elapsed| Air {
            dark: conditions.is_dark(station.distance_m, at.as_s()),
            weather: conditions.weather(station.distance_m, station.elevation_m, at.as_s()),
        };
        let stations = schedule.splits.iter().map(|split| {
            let station = &course.stations[split.station];
            StationExposure {
                planned: air(station, split.arrival),
                likely: air(station, split.likely),
            }
        });
        let light_at = |hour: usize| conditions.light(0.0, hour as f64 * S_PER_HOUR);
        Exposures {
            segments: way::along(course, conditions, pacing, schedule),
            window: window::along(course, conditions, schedule),
            stations: stations.collect(),
            start_light: (conditions.knows_daylight()).then(|| std::array::from_fn(light_at)),
            told: conditions.forecast_scope(),
        }
    }
}
