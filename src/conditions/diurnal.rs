//! The day's course of the temperature between its coldest and its warmest hour.

use std::f64::consts::PI;

use chrono::{DateTime, TimeDelta};
use chrono_tz::Tz;

use super::sun::sun_times;

/// Hours from solar noon to the warmest: 14:00 by the sun.
const WARMEST_AFTER_NOON_H: f64 = 2.0;
/// Sunrise before noon where the sun does not rise or set, hours.
const HALF_DAY_H: f64 = 9.0;

/// The warmth of the air from its coldest, 0, to its warmest, 1.
///
/// Coldest at sunrise, warmest two hours after solar noon, a half cosine from each to the other: C. T.
/// de Wit and others, *Simulation of assimilation, respiration and transpiration of crops*, Wageningen
/// 1978, as used since in crop models (from memory). Clear settled weather goes like this; a front or a
/// cold-air pool does not.
pub(super) fn warmth(lat_deg: f64, lon_deg: f64, at: DateTime<Tz>) -> f64 {
    let zone = at.timezone();
    let sun = sun_times(lat_deg, lon_deg, at.date_naive(), zone);
    let (sunrise, noon) = match (sun.sunrise, sun.sunset) {
        (Some(rise), Some(set)) if rise < set => (rise, rise + (set - rise) / 2),
        _ => {
            let midday_utc = at
                .date_naive()
                .and_hms_opt(12, 0, 0)
                .unwrap_or_default()
                .and_utc();
            let noon = midday_utc - hours(lon_deg / 15.0);
            (noon - hours(HALF_DAY_H), noon)
        }
    };
    let since_rise_h = h_of(at.to_utc() - sunrise).rem_euclid(24.0);
    let to_warmest_h = h_of(noon - sunrise) + WARMEST_AFTER_NOON_H;
    if since_rise_h < to_warmest_h {
        (1.0 - f64::cos(PI * since_rise_h / to_warmest_h)) / 2.0
    } else {
        let falling_h = 24.0 - to_warmest_h;
        (1.0 + f64::cos(PI * (since_rise_h - to_warmest_h) / falling_h)) / 2.0
    }
}

fn hours(hours: f64) -> TimeDelta {
    TimeDelta::seconds((hours * 3600.0) as i64)
}

fn h_of(span: TimeDelta) -> f64 {
    span.num_seconds() as f64 / 3600.0
}
