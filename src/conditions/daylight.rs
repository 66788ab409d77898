//! Daylight along the route for as long as anyone may be on it.

use chrono::{DateTime, Duration, Utc};
use solar_positioning::Horizon;

use crate::course::Profile;

use super::nights::{NightAnchor, Nights};
use super::sky::Sky;
use super::{Light, SunEvent, SunEventKind};

/// Most metres along the route between two anchors. The sun is late by 80 s for each 25 km
/// westwards at 48° of latitude; between anchors this near, a route that winds about the straight
/// line is off by half a minute at the worst.
const ANCHOR_SPACING_M: f64 = 15_000.0;

/// Days before the start and after the longest time for which nights are known.
const MARGIN_DAYS: f64 = 2.0;

/// Days that the sun's positions reach further, so that every night is whole.
const WHOLE_NIGHT_DAYS: f64 = 1.5;

/// Nights with and without twilight.
#[derive(Clone, Debug)]
pub(super) struct Daylight {
    dark: Nights,
    sunless: Nights,
}

impl Daylight {
    /// Daylight along a route from a start until so many seconds later.
    ///
    /// `None` where the year is outside the algorithm's, or a position not on Earth.
    pub(super) fn along(
        profile: &Profile,
        start: DateTime<Utc>,
        longest_s: f64,
    ) -> Option<Daylight> {
        let (anchors, spacing_m) = anchors(profile);
        if anchors.is_empty() {
            return None;
        }
        let margin_s = MARGIN_DAYS * 86_400.0;
        let sky = Sky::around(
            start,
            MARGIN_DAYS + WHOLE_NIGHT_DAYS,
            longest_s / 86_400.0 + MARGIN_DAYS + WHOLE_NIGHT_DAYS,
        )
        .ok()?;
        let range_s = (-margin_s, longest_s + margin_s);
        let nights = |horizon| Nights::along(&sky, horizon, &anchors, spacing_m, range_s).ok();
        Some(Daylight {
            dark: nights(Horizon::CivilTwilight)?,
            sunless: nights(Horizon::SunriseSunset)?,
        })
    }

    /// Nights in which a lamp is needed.
    pub(super) fn dark(&self) -> &Nights {
        &self.dark
    }

    /// The light at a distance along the route and a race time.
    pub(super) fn light(&self, distance_m: f64, elapsed_s: f64) -> Light {
        if self.dark.covers(distance_m, elapsed_s) {
            Light::Dark
        } else if self.sunless.covers(distance_m, elapsed_s) {
            Light::Twilight
        } else {
            Light::Day
        }
    }

    /// Events of the sun at the start of the route, in time order, from the start until then.
    pub(super) fn events(&self, start: DateTime<Utc>, until_s: f64) -> Vec<SunEvent> {
        let named = |nights: &Nights, begin: SunEventKind, end: SunEventKind| {
            nights
                .at_start()
                .into_iter()
                .filter(|(seconds, _)| (0.0..=until_s).contains(seconds))
                .map(|(seconds, begins)| SunEvent {
                    instant: start + Duration::milliseconds((seconds * 1000.0).round() as i64),
                    kind: if begins { begin } else { end },
                })
                .collect::<Vec<_>>()
        };
        let mut events = named(&self.dark, SunEventKind::Dusk, SunEventKind::Dawn);
        events.extend(named(
            &self.sunless,
            SunEventKind::Sunset,
            SunEventKind::Sunrise,
        ));
        events.sort_by_key(|event| event.instant);
        events
    }
}

/// Start, finish and spots evenly between, and the metres between them.
fn anchors(profile: &Profile) -> (Vec<NightAnchor>, f64) {
    let last = profile.position_deg.len().saturating_sub(1);
    let length_m = profile.spacing_m * last as f64;
    let parts = (length_m / ANCHOR_SPACING_M).ceil().max(1.0) as usize;
    let anchors = (0..=parts)
        .filter_map(|i| profile.position_deg.get((i * last + parts / 2) / parts))
        .map(|(lat_deg, lon_deg)| NightAnchor {
            lat_deg: *lat_deg,
            lon_deg: *lon_deg,
        })
        .collect();
    (anchors, (length_m / parts as f64).max(1.0))
}
