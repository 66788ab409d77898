//! Facts that hold for every target: the race, its stations, its ground.

use crate::course::{Course, Segment, Station, StationRole};
use crate::inputs::stations_csv::StationKind;
use crate::time::day_name;
use crate::units::{M_PER_FOOT, ML_PER_FLOZ, Units};

use super::View;
use super::value::{Measure, Moment, record};

record! {
    /// The race: its name, start, length and rules.
    pub struct RaceFacts {
        /// The race's name.
        pub course: String = course.name.clone(),
        /// The origin of the route, in the user's words.
        pub origin: Option<String> = course.origin.clone(),
        /// The runner's own start.
        pub start: Option<Moment> = start,
        /// The runner's own start in words, such as `Sat 24 October 2026, 06:00 CEST`.
        pub start_words: Option<String> = clock.map(|clock| words(&clock.start())),
        /// The organiser's start in words.
        pub official_start_words: Option<String> = course.official_start.as_ref().map(words),
        /// The time zone's name.
        pub zone: Option<String> = clock.map(|clock| clock.start().timezone().name().to_owned()),
        /// The organiser's length, or the route's where no station says otherwise.
        pub length: Measure = Measure::distance(units, end_m(course)),
        /// Climb of the course.
        pub climb: Measure = Measure::height(units, climb_m),
        /// Descent of the course.
        pub descent: Measure = Measure::height(units, descent_m),
        /// Gradient of the steepest 500 m uphill; nothing where none climbs.
        pub steepest_up: Option<Measure> =
            steepest(&course.segments, |segment| segment.steepest_up),
        /// Gradient of the steepest 500 m downhill, as a positive share; nothing where none falls.
        pub steepest_down: Option<Measure> =
            steepest(&course.segments, |segment| -segment.steepest_down),
        /// Length and climb by each count.
        pub survey: SurveyFacts = SurveyFacts::of(course, units),
        /// Kit that the organiser demands.
        pub mandatory_kit: Vec<String> = course.mandatory_kit.clone(),
        /// The organiser's rules that the course file repeats.
        pub rules: Vec<String> = course.rules.clone(),
        /// The time and place at which the organiser takes the drop bags.
        pub hand_in: Option<String> = course.hand_in.clone(),
        /// Those of the rules that speak of bags.
        pub bag_rules: Vec<String> = of_bags.cloned().collect(),
        /// The units that everything is printed in.
        pub units: UnitFacts = UnitFacts::of(units),
    } from pub(super) fn of(view: &View<'_>) {
        let (course, units) = (&view.race.course, view.units);
        let (climb_m, descent_m) = course.climb_and_descent_m();
        let clock = view.race.clock.as_ref();
        let start = clock.map(|clock| Moment::on(Some(clock), crate::time::Elapsed::ZERO));
        let words = |at: &chrono::DateTime<chrono_tz::Tz>| {
            format!("{} {}", day_name(at), at.format("%-d %B %Y, %H:%M %Z"))
        };
        let of_bags = course.rules.iter();
        let of_bags = of_bags.filter(|rule| rule.to_lowercase().contains("bag"));
    }

    /// The units that texts are printed in.
    pub struct UnitFacts {
        /// `metric` or `imperial`.
        pub system: String = system.to_owned(),
        /// Of distances, such as `km`.
        pub distance: String = units.distance_symbol().to_owned(),
        /// Metres in one of them.
        pub distance_m: f64 = units.distance_unit_m(),
        /// Of heights, such as `m`.
        pub height: String = units.height_symbol().to_owned(),
        /// Metres in one of them.
        pub height_m: f64 = height_m,
        /// Of volumes, such as `ml`.
        pub volume: String = units.volume_symbol().to_owned(),
        /// Millilitres in one of them.
        pub volume_ml: f64 = volume_ml,
        /// Of temperatures, such as `°C`.
        pub temperature: String = units.temperature_symbol().to_owned(),
        /// Of pace, such as `min/km`.
        pub pace: String = format!("min/{}", units.distance_symbol()),
    } from pub(super) fn of(units: Units) {
        let (system, height_m, volume_ml) = match units {
            Units::Metric => ("metric", 1.0, 1.0),
            Units::Imperial => ("imperial", M_PER_FOOT, ML_PER_FLOZ),
        };
    }

    /// The course by the route file's count and by the organiser's.
    pub struct SurveyFacts {
        /// Length of the route file.
        pub route_length: Measure = Measure::distance(units, survey.route_length_m),
        /// The organiser's length.
        pub official_length: Option<Measure> = survey
            .official_length_m
            .map(|m| Measure::distance(units, m)),
        /// Percent that the route file is longer than the organiser says.
        pub length_differs_pct: Option<f64> = survey.official_length_m.map(differs),
        /// Climb as recorded.
        pub raw_climb: Measure = Measure::height(units, survey.raw_climb_m),
        /// Descent as recorded.
        pub raw_descent: Measure = Measure::height(units, survey.raw_descent_m),
        /// Climb after filtering.
        pub filtered_climb: Measure = Measure::height(units, survey.filtered_climb_m),
        /// Descent after filtering.
        pub filtered_descent: Measure = Measure::height(units, survey.filtered_descent_m),
        /// The organiser's climb; heights are scaled to it.
        pub official_climb: Option<Measure> = official_climb.map(|m| Measure::height(units, m)),
        /// Points in the route file.
        pub points: usize = survey.points,
        /// Physical places.
        pub places: usize = course.places.len(),
        /// Places that are visited more than once.
        pub places_visited_again: usize = again.count(),
        /// True where the route file has no heights, so that the course is taken as flat.
        pub flat: bool = repairs.flat,
        /// Turns of less than this height do not count as climb or descent.
        pub least_turn: Measure = Measure::height(units, repairs.threshold_m),
        /// Heights are averaged over this length, metres; 0 where they are not.
        pub averaged_over_m: f64 = repairs.window_m,
        /// Missing heights that were filled in.
        pub heights_filled: usize = repairs.filled,
        /// Jumps in height that were taken out.
        pub jumps_removed: usize = repairs.spikes,
    } from fn of(course: &Course, units: Units) {
        let survey = &course.survey;
        let repairs = &survey.repairs;
        let again = course.places.iter().filter(|place| place.visits.len() > 1);
        let differs = |official_m| (survey.route_length_m / official_m - 1.0) * 100.0;
        let official_climb = survey.official_climb_m;
    }

    /// A station: one visit to a place, whatever the target.
    pub struct StationFacts {
        /// A name for this station that stays the same in all outputs, such as `station-3`.
        pub id: String = format!("station-{index}"),
        /// Its number as printed: `S`, 1, 2 … `F`.
        pub number: String = number(course, index),
        /// Its name.
        pub station: String = station.name.clone(),
        /// The name of its place.
        pub place: String = course.places[station.place].name.clone(),
        /// The number of this visit to the place, from 1.
        pub visit: u32 = station.visit,
        /// Distance along the route file.
        pub distance: Measure = Measure::distance(units, station.distance_m),
        /// Distance by the organiser's count.
        pub official: Measure = Measure::distance(units, station.official_m),
        /// Height above the sea.
        pub elevation: Measure = Measure::height(units, station.elevation_m),
        /// Latitude, degrees.
        pub lat: f64 = station.position_deg.0,
        /// Longitude, degrees.
        pub lon: f64 = station.position_deg.1,
        /// `start`, `aid station`, `water`, `checkpoint`, `crew` or `finish`.
        pub kind: &'static str = match station.role {
            StationRole::Start => "start",
            StationRole::Finish => "finish",
            StationRole::Between(StationKind::Water) => "water",
            StationRole::Between(StationKind::Checkpoint) => "checkpoint",
            StationRole::Between(StationKind::CrewOnly) => "crew",
            StationRole::Between(StationKind::Aid) => "aid station",
        },
        /// True where it is the start.
        pub is_start: bool = station.role == StationRole::Start,
        /// True where it is the finish.
        pub is_finish: bool = station.role == StationRole::Finish,
        /// True where the crew may meet the runner.
        pub crew: bool = station.crew,
        /// True where there is a drop bag.
        pub drop_bag: bool = station.drop_bag,
        /// True where a pacer may join or stop.
        pub pacer: bool = station.pacer,
        /// True where there is water to be had.
        pub has_water: bool = station.has_water,
        /// The organiser's offers.
        pub offers: Vec<String> = station.offered(),
    } from fn of(course: &Course, index: usize, station: &Station, units: Units) {}
}

/// The organiser's distance of the finish, metres.
fn end_m(course: &Course) -> f64 {
    course.stations.last().map_or(0.0, |last| last.official_m)
}

/// The steepest of all segments by some measure, where it is above level.
fn steepest(segments: &[Segment], of: fn(&Segment) -> f64) -> Option<Measure> {
    let most = segments.iter().map(of).fold(0.0, f64::max);
    (most > 0.0).then(|| Measure::share(most))
}

/// A station's number as printed: `S`, 1, 2 … `F`.
pub(super) fn number(course: &Course, station: usize) -> String {
    match course.stations[station].role {
        StationRole::Start => "S".to_owned(),
        StationRole::Finish => "F".to_owned(),
        StationRole::Between(_) => station.to_string(),
    }
}

impl StationFacts {
    pub(super) fn all(course: &Course, units: Units) -> Vec<StationFacts> {
        let stations = course.stations.iter().enumerate();
        stations
            .map(|(index, station)| StationFacts::of(course, index, station, units))
            .collect()
    }
}
