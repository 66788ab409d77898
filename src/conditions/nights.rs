//! When the sun is below a horizon, along the whole route: the nights at a few anchors, and
//! straight lines between them.

use std::ops::RangeInclusive;

use solar_positioning::time::JulianDate;
use solar_positioning::{Horizon, Location, Result, SolarEvents};

use super::sky::{Sky, nearest_turn};

/// Seconds in a mean solar day.
const S_PER_DAY: f64 = 86_400.0;

/// Years of the solar position algorithm.
const YEARS: RangeInclusive<i32> = -2000..=6000;

/// A spot where nights are computed.
#[derive(Clone, Copy, Debug)]
pub(super) struct Anchor {
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
        anchors: &[Anchor],
        spacing_m: f64,
        (from_s, until_s): (f64, f64),
    ) -> Result<Nights> {
        let mut nights = Nights {
            spacing_m,
            per_anchor: 0,
            spans: Vec::new(),
            first_noon_s: Vec::new(),
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
        Ok(nights)
    }

    /// Whether the sun is below the horizon.
    pub(super) fn covers(&self, distance_m: f64, elapsed_s: f64) -> bool {
        let at = self.locate(distance_m);
        (self.near(at, elapsed_s)..self.per_anchor)
            .map(|k| self.span(at, k))
            .take_while(|(begin, _)| *begin <= elapsed_s)
            .any(|(_, end)| elapsed_s < end)
    }

    /// The first begin or end of a night strictly after a time; infinite where there is none.
    pub(super) fn next_change_s(&self, distance_m: f64, elapsed_s: f64) -> f64 {
        let at = self.locate(distance_m);
        (self.near(at, elapsed_s)..self.per_anchor)
            .flat_map(|k| self.changes(at, k))
            .flatten()
            .find(|change| elapsed_s < *change)
            .unwrap_or(f64::INFINITY)
    }

    /// The last begin or end of a night strictly before a time; minus infinity where there is
    /// none.
    pub(super) fn previous_change_s(&self, distance_m: f64, elapsed_s: f64) -> f64 {
        let at = self.locate(distance_m);
        let last = (self.near(at, elapsed_s) + 3).min(self.per_anchor);
        (0..last)
            .rev()
            .flat_map(|k| self.changes(at, k).into_iter().rev())
            .flatten()
            .find(|change| *change < elapsed_s)
            .unwrap_or(f64::NEG_INFINITY)
    }

    /// Every begin (`true`) and end of a night at the start of the route.
    pub(super) fn at_start(&self) -> impl Iterator<Item = (f64, bool)> + '_ {
        let at = self.locate(0.0);
        (0..self.per_anchor).flat_map(move |k| {
            let [begin, end] = self.changes(at, k);
            let begin = begin.map(|s| (s, true));
            begin.into_iter().chain(end.map(|s| (s, false)))
        })
    }

    fn locate(&self, distance_m: f64) -> Between {
        let last = self.first_noon_s.len() - 1;
        let at = (distance_m / self.spacing_m).clamp(0.0, last as f64);
        let anchor = (at as usize).min(last - 1);
        Between {
            anchor,
            part: at - anchor as f64,
        }
    }

    /// A night at or before the one that a time may be in: no earlier one matters for it.
    fn near(&self, at: Between, elapsed_s: f64) -> usize {
        let nights = (elapsed_s - self.first_noon_s[at.anchor]) / S_PER_DAY;
        // Solar days drift by minutes against the mean day, and the next anchor is less than
        // half a turn away: one night earlier is early enough.
        ((nights - 1.0).max(0.0) as usize).min(self.per_anchor)
    }

    fn span(&self, at: Between, k: usize) -> (f64, f64) {
        let here = self.spans[at.anchor * self.per_anchor + k];
        let there = self.spans[(at.anchor + 1) * self.per_anchor + k];
        (
            here.0 + (there.0 - here.0) * at.part,
            here.1 + (there.1 - here.1) * at.part,
        )
    }

    /// The begin and end of night `k`, where they are changes of light.
    fn changes(&self, at: Between, k: usize) -> [Option<f64>; 2] {
        let (begin, end) = self.span(at, k);
        if end <= begin {
            return [None, None];
        }
        // Nights that touch at noon are one.
        let follows = k > 0 && is_reached(self.span(at, k - 1), begin);
        let precedes = k + 1 < self.per_anchor && touches(end, self.span(at, k + 1));
        [(!follows).then_some(begin), (!precedes).then_some(end)]
    }
}

fn is_reached((begin, end): (f64, f64), by: f64) -> bool {
    begin < end && by <= end
}

fn touches(end: f64, (next_begin, next_end): (f64, f64)) -> bool {
    next_begin < next_end && next_begin <= end
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
