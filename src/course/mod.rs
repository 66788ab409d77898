//! The course model: one profile on an even grid, the stations placed on it in order, and the
//! segments between them. From here on nothing knows what a file format is called.

mod geodesy;
mod jitter;
mod route;
mod stray;

mod cells;
mod climb;
mod elevation;
mod profile;
mod smooth;

mod assign;
mod coordinates;
mod draft;
mod list;
mod marks;
mod named;
mod place;
mod scale;
mod snap;
mod waypoints;

mod build;
mod segment;
mod words;

#[cfg(test)]
pub(crate) mod tests;

use chrono::DateTime;
use chrono_tz::Tz;

use crate::diagnostics::{Notes, Span};
use crate::inputs::Inputs;
use crate::inputs::stations_csv::{Cutoff, CutoffOn, StationKind};

pub use climb::{climb_and_descent_m, longest_climb_and_descent_m};
pub use elevation::HeightRepair;
pub use geodesy::distance_m;
pub use profile::Profile;

/// A checked course, start to finish.
///
/// # Invariants
/// At least two stations, the first at distance 0 and the last at the profile's end; stations
/// strictly increase in distance; one segment fewer than stations.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Course {
    /// Its name.
    pub name: String,
    /// The source of its data, where the organiser's file says.
    pub origin: Option<String>,
    /// The organiser's official start, where date, time and zone are known.
    pub official_start: Option<DateTime<Tz>>,
    /// Heights, positions and ground along the route.
    pub profile: Profile,
    /// Start, stations, finish.
    pub stations: Vec<Station>,
    /// Between each station and the next.
    pub segments: Vec<Segment>,
    /// The physical spots, in order of the first visit.
    pub places: Vec<Place>,
    /// Route file and organiser compared, and the mends made to the heights.
    pub survey: RouteComparison,
    /// Items the organiser demands.
    pub mandatory_kit: Vec<String>,
    /// Sentences from the race rules.
    pub rules: Vec<String>,
    /// The time and place at which the organiser takes the drop bags.
    pub hand_in: Option<String>,
}

/// One visit to a place.
#[derive(Clone, Debug)]
pub struct Station {
    /// As the organiser calls it; `Start` and `Finish` where nobody said.
    pub name: String,
    /// Index into [`Course::places`].
    pub place: usize,
    /// The number of this visit to that place, from 1.
    pub visit: u32,
    /// The kind of station.
    pub role: StationRole,
    /// Metres along the route file.
    pub distance_m: f64,
    /// Metres by the organiser's count.
    pub official_m: f64,
    /// Height, metres.
    pub elevation_m: f64,
    /// Latitude and longitude, degrees.
    pub position_deg: (f64, f64),
    /// The time limit as written, and what it limits.
    pub cutoff: Option<(Cutoff, CutoffOn, Option<Span>)>,
    /// True where the crew may meet the runner.
    pub crew: bool,
    /// True where the organiser brings a drop bag.
    pub drop_bag: bool,
    /// True where a pacer may join.
    pub pacer: bool,
    /// Planned stop, where the station list says.
    pub stop_s: Option<f64>,
    /// True where the organiser has water.
    pub has_water: bool,
    /// Names of the foods and drinks that the organiser has, water left out.
    pub offers: Vec<String>,
    /// The row it came from.
    pub span: Option<Span>,
}

impl Station {
    /// True where the organiser has a cutoff that the station list does not say.
    #[must_use]
    pub fn is_cutoff_unread(&self) -> bool {
        matches!(self.cutoff, Some((Cutoff::Unread, ..)))
    }

    /// Everything the organiser has, water first.
    #[must_use]
    pub fn offered(&self) -> Vec<String> {
        let water = self.has_water.then(|| "water".to_owned());
        water
            .into_iter()
            .chain(self.offers.iter().cloned())
            .collect()
    }
}

/// The part a station plays in the race.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StationRole {
    /// The start.
    Start,
    /// A station on the way.
    Between(StationKind),
    /// The finish; nobody stops here.
    Finish,
}

/// A physical spot, which a course may pass more than once.
#[derive(Clone, Debug)]
pub struct Place {
    /// Its name.
    pub name: String,
    /// Indices of the stations that are visits to it, in course order.
    pub visits: Vec<usize>,
}

/// The way from one station to the next.
#[derive(Clone, Debug)]
pub struct Segment {
    /// Index of the station it leaves.
    pub from: usize,
    /// Metres along the route file.
    pub length_m: f64,
    /// Metres by the organiser's count.
    pub official_length_m: f64,
    /// Metres up, filtered.
    pub climb_m: f64,
    /// Metres down, filtered.
    pub descent_m: f64,
    /// Gradient of the steepest climbing 500 m (rise over run), or of the whole segment if shorter.
    pub steepest_up: f64,
    /// Gradient of the steepest falling 500 m, negative, or of the whole segment if shorter.
    pub steepest_down: f64,
    /// Share of the length steeper than +10 %.
    pub share_above_10: f64,
    /// Share of the length steeper than -10 %.
    pub share_below_10: f64,
    /// Highest point, metres.
    pub highest_m: f64,
}

/// The route file beside the organiser's figures.
#[derive(Clone, Debug)]
pub struct RouteComparison {
    /// Length of the route file, metres, on the ellipsoid, all laps, without a receiver's jitter.
    pub route_length_m: f64,
    /// Share of that length by which jitter makes the recorded one longer; 0 where it is in no
    /// way notable.
    pub jitter: f64,
    /// The organiser's length, metres, where given.
    pub official_length_m: Option<f64>,
    /// Climb as the raw heights sum up, metres.
    pub raw_climb_m: f64,
    /// Descent as the raw heights sum up, metres.
    pub raw_descent_m: f64,
    /// Climb after filtering, metres, before any scaling.
    pub filtered_climb_m: f64,
    /// Descent after filtering, metres, before any scaling.
    pub filtered_descent_m: f64,
    /// The organiser's climb, metres, where given; the profile is scaled to it.
    pub official_climb_m: Option<f64>,
    /// Points in the route file.
    pub points: usize,
    /// Mends made to the heights.
    pub repairs: HeightRepair,
}

impl Course {
    /// Builds the course from what the user wrote.
    ///
    /// Returns `None` with errors in `notes` where no course can be made: no route, stations that
    /// cannot be placed in order, distances beyond the end.
    #[must_use]
    pub fn build(inputs: &Inputs, notes: &mut Notes) -> Option<Course> {
        build::build(inputs, notes)
    }

    /// Total climb and descent of the filtered (and scaled) profile, metres.
    #[must_use]
    pub fn climb_and_descent_m(&self) -> (f64, f64) {
        self.segments.iter().fold((0.0, 0.0), |(up, down), s| {
            (up + s.climb_m, down + s.descent_m)
        })
    }

    /// The distance along the route file of one by the organiser's count, metres.
    ///
    /// Linear between stations, which are the points where both are known; beyond the start or
    /// the finish it is theirs. [`Course::official_of_distance`] is the inverse.
    #[must_use]
    pub fn distance_of_official(&self, official_m: f64) -> f64 {
        scale::piecewise(
            &self.stations,
            |s| s.official_m,
            |s| s.distance_m,
            official_m,
        )
    }

    /// The distance by the organiser's count of one along the route file, metres.
    #[must_use]
    pub fn official_of_distance(&self, distance_m: f64) -> f64 {
        scale::piecewise(
            &self.stations,
            |s| s.distance_m,
            |s| s.official_m,
            distance_m,
        )
    }
}

impl RouteComparison {
    /// Length of the route file over the organiser's, where that is known.
    #[must_use]
    pub fn ratio(&self) -> Option<f64> {
        self.official_length_m
            .map(|official_m| self.route_length_m / official_m)
    }
}
