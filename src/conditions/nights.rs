//! Nights along the whole route, with the sun below a horizon: those at a few anchors, and
//! straight lines between them.

use std::ops::RangeInclusive;

use solar_positioning::time::JulianDate;
use solar_positioning::{Horizon, Location, Result, SolarEvents};

use super::sky::{Sky, nearest_turn};

/// Seconds in a mean solar day.
const S_PER_DAY: f64 = 86_400.0;

/// No solar day differs by more from a mean one, seconds: half of it in late December.
const DAY_SLACK_S: f64 = 60.0;

/// Years of the solar position algorithm.
const YEARS: RangeInclusive<i32> = -2000..=6000;

/// A spot where nights are computed.
#[derive(Clone, Copy, Debug)]
pub(super) struct NightAnchor {
    /// degrees, north positive
    pub(super) lat_deg: f64,
    /// degrees, east positive
    pub(super) lon_deg: f64,
}

/// Every night at every point of the route.
///
/// Night `k` lies between the sun's `k`-th and next transit. Where the sun does not come down to
/// the horizon the night shrinks to an instant at midnight; where it does not come up, the night
/// reaches from noon to noon and runs into its neighbours. Thus each night exists at every
/// anchor, and its ends are continuous along the route.
///
/// Within some 25 km of a pole, where the sun's yearly drift outruns its daily swing, a change
/// may be moved to the noon or midnight nearest to it.
#[derive(Clone, Debug)]
pub(super) struct Nights {
    spacing_m: f64,
    per_anchor: usize,
    /// Start and end of each night, seconds after the runner's start; anchor by anchor.
    spans: Vec<(f64, f64)>,
    /// First noon at each anchor, seconds after the runner's start.
    first_noon_s: Vec<f64>,
    /// By how much noons may be off from a mean day after the first, here or at the next anchor.
    slack_days: f64,
}

/// A point between two anchors.
#[derive(Clone, Copy)]
struct Between {
    anchor: usize,
    part: f64,
}

impl Nights {
    /// The nights at two anchors or more that stand `spacing_m` apart along the route, from
    /// before `from_s` until after `until_s`.
    ///
    /// # Errors
    /// Where a latitude is none.
    pub(super) fn along(
        sky: &Sky,
        horizon: Horizon,
        anchors: &[NightAnchor],
        spacing_m: f64,
        (from_s, until_s): (f64, f64),
    ) -> Result<Nights> {
        let mut nights = Nights {
            spacing_m,
            per_anchor: 0,
            spans: Vec::new(),
            first_noon_s: Vec::new(),
            slack_days: 0.0,
        };
        let mut lon_deg = anchors.first().map_or(0.0, |a| a.lon_deg);
        // Turns of the sun at the first anchor; the others count the same turns, also where the
        // route crosses the 180th meridian.
        let turns = |elapsed_s: f64| (sky.at(sky.jd(elapsed_s)).1 + lon_deg) / 360.0;
        let first = turns(from_s).floor() as i64;
        let last = (turns(until_s).ceil() as i64).max(first + 1);
        for anchor in anchors {
            lon_deg = nearest_turn(anchor.lon_deg, lon_deg);
            let search = Search {
                sky,
                horizon,
                location: Location {
                    latitude: anchor.lat_deg,
                    longitude: nearest_turn(anchor.lon_deg, 0.0),
                },
                lon_deg,
            };
            let spans = search.nights(first, last)?;
            nights.per_anchor = spans.len();
            nights
                .first_noon_s
                .push(sky.elapsed_s(search.transit(first as f64)));
            nights.spans.extend(
                spans
                    .iter()
                    .map(|(begin, end)| (sky.elapsed_s(*begin), sky.elapsed_s(*end))),
            );
        }
        let steps_s = nights.first_noon_s.windows(2).map(|w| (w[1] - w[0]).abs());
        nights.slack_days = steps_s.fold(0.0, f64::max) / S_PER_DAY
            + DAY_SLACK_S * nights.per_anchor as f64 / S_PER_DAY;
        Ok(nights)
    }

    /// True where the sun is below the horizon.
    #[inline]
    pub(super) fn covers(&self, distance_m: f64, elapsed_s: f64) -> bool {
        let at = self.locate(distance_m);
        for k in self.possible(at, elapsed_s) {
            let (begin, end) = self.span(at, k);
            if begin <= elapsed_s && elapsed_s < end {
                return true;
            }
        }
        false
    }

    /// The first begin or end of a night strictly after a time; infinite where there is none.
    #[inline]
    pub(super) fn next_change_s(&self, distance_m: f64, elapsed_s: f64) -> f64 {
        let at = self.locate(distance_m);
        for k in *self.possible(at, elapsed_s).start()..self.per_anchor {
            let (begin, end) = self.span(at, k);
            if elapsed_s < begin && self.is_change(at, k, Edge::Begin) {
                return begin;
            }
            if elapsed_s < end && self.is_change(at, k, Edge::End) {
                return end;
            }
        }
        f64::INFINITY
    }

    /// The last begin or end of a night strictly before a time; minus infinity where there is
    /// none.
    pub(super) fn previous_change_s(&self, distance_m: f64, elapsed_s: f64) -> f64 {
        let at = self.locate(distance_m);
        for k in (0..=*self.possible(at, elapsed_s).end()).rev() {
            let (begin, end) = self.span(at, k);
            if end < elapsed_s && self.is_change(at, k, Edge::End) {
                return end;
            }
            if begin < elapsed_s && self.is_change(at, k, Edge::Begin) {
                return begin;
            }
        }
        f64::NEG_INFINITY
    }

    /// Every begin (`true`) and end of a night at the start of the route.
    pub(super) fn at_start(&self) -> Vec<(f64, bool)> {
        let at = self.locate(0.0);
        let mut changes = Vec::new();
        for k in 0..self.per_anchor {
            let (begin, end) = self.span(at, k);
            if self.is_change(at, k, Edge::Begin) {
                changes.push((begin, true));
            }
            if self.is_change(at, k, Edge::End) {
                changes.push((end, false));
            }
        }
        changes
    }

    #[inline]
    fn locate(&self, distance_m: f64) -> Between {
        let last = self.first_noon_s.len() - 1;
        let at = (distance_m / self.spacing_m).clamp(0.0, last as f64);
        let anchor = (at as usize).min(last - 1);
        Between {
            anchor,
            part: at - anchor as f64,
        }
    }

    /// The nights that a time may be in: earlier ones are over by then, later ones not begun.
    #[inline]
    fn possible(&self, at: Between, elapsed_s: f64) -> RangeInclusive<usize> {
        let nights = (elapsed_s - self.first_noon_s[at.anchor]) / S_PER_DAY;
        let last = self.per_anchor - 1;
        // A float becomes an index by saturation: a time outside all nights is near the outermost.
        let first = ((nights - self.slack_days) as usize).min(last);
        first..=((nights + self.slack_days) as usize).min(last)
    }

    #[inline]
    fn span(&self, at: Between, k: usize) -> (f64, f64) {
        let here = self.spans[at.anchor * self.per_anchor + k];
        let there = self.spans[(at.anchor + 1) * self.per_anchor + k];
        (
            here.0 + (there.0 - here.0) * at.part,
            here.1 + (there.1 - here.1) * at.part,
        )
    }

    /// True where the light changes at an end of night `k`: not where there is no night, nor where
    /// it touches its neighbour at noon.
    #[inline]
    fn is_change(&self, at: Between, k: usize, edge: Edge) -> bool {
        let is_night = |(begin, end): (f64, f64)| begin < end;
        let night = self.span(at, k);
        let neighbour = match edge {
            Edge::Begin => k.checked_sub(1),
            Edge::End => Some(k + 1).filter(|next| *next < self.per_anchor),
        };
        is_night(night)
            && neighbour.is_none_or(|other| {
                let other = self.span(at, other);
                let touches = match edge {
                    Edge::Begin => night.0 <= other.1,
                    Edge::End => other.0 <= night.1,
                };
                !(touches && is_night(other))
            })
    }
}

/// An end of a night.
#[derive(Clone, Copy)]
enum Edge {
    Begin,
    End,
}

/// The nights of one anchor.
struct Search<'a> {
    sky: &'a Sky,
    horizon: Horizon,
    location: Location,
    /// Longitude counted through the 180th meridian.
    lon_deg: f64,
}

impl Search<'_> {
    /// Begin and end of the nights after the noons `first` to `last`, Julian dates.
    fn nights(&self, first: i64, last: i64) -> Result<Vec<(f64, f64)>> {
        let provider =
            |jd: JulianDate, place: Location| Ok(self.sky.position(jd.julian_date(), place));
        let events = SolarEvents::with_provider(provider, YEARS)?;
        let delta_t = self.sky.delta_t_s();
        (first..last)
            .map(|k| {
                let (noon, next_noon) = (self.transit(k as f64), self.transit((k + 1) as f64));
                let midnight = self.transit(k as f64 + 0.5);
                let below = self.sky.position(midnight, self.location).elevation
                    < self.horizon.elevation_angle();
                let (place, horizon) = (self.location, self.horizon);
                let set = events.next_set_from_julian(noon, midnight, place, delta_t, horizon)?;
                let rise =
                    events.next_rise_from_julian(midnight, next_noon, place, delta_t, horizon)?;
                // Without a crossing the sun stays on midnight's side of the horizon till noon.
                Ok((
                    set.unwrap_or(if below { noon } else { midnight }),
                    rise.unwrap_or(if below { next_noon } else { midnight }),
                ))
            })
            .collect()
    }

    /// The Julian date at which the sun has made so many turns, counted from noon to noon.
    fn transit(&self, turns: f64) -> f64 {
        self.sky.when_hour_angle(360.0 * turns - self.lon_deg)
    }
}
