//! Cold as it is felt: air, wind, wet, and a slow night.

use super::exposure::{Exposure, Step};
use super::heat::wind_chill_c;

/// Rain and wind from which on clothes soak and blow through, mm/h and km/h (our choice).
const WETTING_RAIN_MM_PER_H: f64 = 0.2;
const CHILLING_WIND_KMH: f64 = 15.0;
/// Air in which wet clothes in the wind chill, and in which a walk in the dark does, °C (our choice:
/// hypothermia is met in runners up to about 10 °C, warmer when wet; American College of Sports
/// Medicine 2006).
const WET_C: f64 = 12.0;
const SLOW_NIGHT_C: f64 = 10.0;

/// A cause of cold, with the air or its wind chill, °C; the gravest first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Chill {
    /// Wind chill at freezing or below.
    Wind(f64),
    /// Rain in the wind.
    Wet(f64),
    /// A walk in the dark.
    SlowNight(f64),
}

impl Chill {
    pub(super) fn felt_c(self) -> f64 {
        match self {
            Chill::Wind(c) | Chill::Wet(c) | Chill::SlowNight(c) => c,
        }
    }

    pub(super) fn rank(self) -> u8 {
        match self {
            Chill::Wind(_) => 0,
            Chill::Wet(_) => 1,
            Chill::SlowNight(_) => 2,
        }
    }
}

/// The worst of a segment and the stop before it; `None` where nothing chills or no weather is known.
pub(super) fn on(exposure: &Exposure) -> Option<Chill> {
    let walks = exposure.walk_share > 0.5;
    let all = exposure.steps().filter_map(|step| of(step, walks));
    all.min_by(|a, b| {
        let by_felt = a.felt_c().total_cmp(&b.felt_c());
        a.rank().cmp(&b.rank()).then(by_felt)
    })
}

fn of(step: &Step, walks: bool) -> Option<Chill> {
    let weather = step.weather?;
    let air_c = weather.temp_c;
    let felt_c = wind_chill_c(air_c, weather.wind_kmh).map_or(air_c, |chill| chill.min(air_c));
    let soaks = weather.rain_mm_per_h >= WETTING_RAIN_MM_PER_H
        && weather.wind_kmh >= CHILLING_WIND_KMH
        && air_c <= WET_C;
    if felt_c <= 0.0 {
        Some(Chill::Wind(felt_c))
    } else if soaks {
        Some(Chill::Wet(air_c))
    } else if step.dark && walks && air_c <= SLOW_NIGHT_C {
        Some(Chill::SlowNight(air_c))
    } else {
        None
    }
}
