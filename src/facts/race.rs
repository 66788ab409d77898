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
        pub course: String,
        /// The origin of the route, in the user's words.
        pub origin: Option<String>,
        /// The runner's own start.
        pub start: Option<Moment>,
        /// The runner's own start in words, such as `Sat 24 October 2026, 06:00 CEST`.
        pub start_words: Option<String>,
        /// The organiser's start in words.
        pub official_start_words: Option<String>,
        /// The time zone's name.
        pub zone: Option<String>,
        /// The organiser's length, or the route's where no station says otherwise.
        pub length: Measure,
        /// Climb of the course.
        pub climb: Measure,
        /// Descent of the course.
        pub descent: Measure,
        /// Gradient of the steepest 500 m uphill; nothing where none climbs.
        pub steepest_up: Option<Measure>,
        /// Gradient of the steepest 500 m downhill, as a positive share; nothing where none falls.
        pub steepest_down: Option<Measure>,
        /// Length and climb by each count.
        pub survey: SurveyFacts,
        /// Kit that the organiser demands.
        pub mandatory_kit: Vec<String>,
        /// The organiser's rules that the course file repeats.
        pub rules: Vec<String>,
        /// The time and place at which the organiser takes the drop bags.
        pub hand_in: Option<String>,
        /// Those of the rules that speak of bags.
        pub bag_rules: Vec<String>,
        /// The units that everything is printed in.
        pub units: UnitFacts,
    }

    /// The units that texts are printed in.
    pub struct UnitFacts {
        /// `metric` or `imperial`.
        pub system: String,
        /// Of distances, such as `km`.
        pub distance: String,
        /// Metres in one of them.
        pub distance_m: f64,
        /// Of heights, such as `m`.
        pub height: String,
        /// Metres in one of them.
        pub height_m: f64,
        /// Of volumes, such as `ml`.
        pub volume: String,
        /// Millilitres in one of them.
        pub volume_ml: f64,
        /// Of temperatures, such as `°C`.
        pub temperature: String,
        /// Of pace, such as `min/km`.
        pub pace: String,
    }

    /// The course by the route file's count and by the organiser's.
    pub struct SurveyFacts {
        /// Length of the route file.
        pub route_length: Measure,
        /// The organiser's length.
        pub official_length: Option<Measure>,
        /// Percent that the route file is longer than the organiser says.
        pub length_differs_pct: Option<f64>,
        /// Climb as recorded.
        pub raw_climb: Measure,
        /// Descent as recorded.
        pub raw_descent: Measure,
        /// Climb after filtering.
        pub filtered_climb: Measure,
        /// Descent after filtering.
        pub filtered_descent: Measure,
        /// The organiser's climb; heights are scaled to it.
        pub official_climb: Option<Measure>,
        /// Points in the route file.
        pub points: usize,
        /// Physical places.
        pub places: usize,
        /// Places that are visited more than once.
        pub places_visited_again: usize,
        /// True where the route file has no heights, so that the course is taken as flat.
        pub flat: bool,
        /// Turns of less than this height do not count as climb or descent.
        pub least_turn: Measure,
        /// Heights are averaged over this length, metres; 0 where they are not.
        pub averaged_over_m: f64,
        /// Missing heights that were filled in.
        pub heights_filled: usize,
        /// Jumps in height that were taken out.
        pub jumps_removed: usize,
    }

    /// A station: one visit to a place, whatever the target.
    pub struct StationFacts {
        /// A name for this station that stays the same in all outputs, such as `station-3`.
        pub id: String,
        /// Its number as printed: `S`, 1, 2 … `F`.
        pub number: String,
        /// Its name.
        pub station: String,
        /// The name of its place.
        pub place: String,
        /// The number of this visit to the place, from 1.
        pub visit: u32,
        /// Distance along the route file.
        pub distance: Measure,
        /// Distance by the organiser's count.
        pub official: Measure,
        /// Height above the sea.
        pub elevation: Measure,
        /// Latitude, degrees.
        pub lat: f64,
        /// Longitude, degrees.
        pub lon: f64,
        /// `start`, `aid station`, `water`, `checkpoint`, `crew` or `finish`.
        pub kind: &'static str,
        /// True where it is the start.
        pub is_start: bool,
        /// True where it is the finish.
        pub is_finish: bool,
        /// True where the crew may meet the runner.
        pub crew: bool,
        /// True where there is a drop bag.
        pub drop_bag: bool,
        /// True where a pacer may join or stop.
        pub pacer: bool,
        /// True where there is water to be had.
        pub has_water: bool,
        /// The organiser's offers.
        pub offers: Vec<String>,
    }
}

impl RaceFacts {
    pub(super) fn of(view: &View<'_>) -> RaceFacts {
        let (course, units) = (&view.race.course, view.units);
        let (climb_m, descent_m) = course.climb_and_descent_m();
        let clock = view.race.clock.as_ref();
        let start = clock.map(|clock| Moment::on(Some(clock), crate::time::Elapsed::ZERO));
        let words = |at: &chrono::DateTime<chrono_tz::Tz>| {
            format!("{} {}", day_name(at), at.format("%-d %B %Y, %H:%M %Z"))
        };
        let of_bags = course.rules.iter();
        let of_bags = of_bags.filter(|rule| rule.to_lowercase().contains("bag"));
        RaceFacts {
            course: course.name.clone(),
            origin: course.origin.clone(),
            start,
            start_words: clock.map(|clock| words(&clock.start())),
            official_start_words: course.official_start.as_ref().map(words),
            zone: clock.map(|clock| clock.start().timezone().name().to_owned()),
            length: Measure::distance(units, end_m(course)),
            climb: Measure::height(units, climb_m),
            descent: Measure::height(units, descent_m),
            steepest_up: steepest(&course.segments, |segment| segment.steepest_up),
            steepest_down: steepest(&course.segments, |segment| -segment.steepest_down),
            survey: SurveyFacts::of(course, units),
            mandatory_kit: course.mandatory_kit.clone(),
            rules: course.rules.clone(),
            hand_in: course.hand_in.clone(),
            bag_rules: of_bags.cloned().collect(),
            units: UnitFacts::of(units),
        }
    }
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

impl UnitFacts {
    pub(super) fn of(units: Units) -> UnitFacts {
        let (system, height_m, volume_ml) = match units {
            Units::Metric => ("metric", 1.0, 1.0),
            Units::Imperial => ("imperial", M_PER_FOOT, ML_PER_FLOZ),
        };
        UnitFacts {
            system: system.to_owned(),
            distance: units.distance_symbol().to_owned(),
            distance_m: units.distance_unit_m(),
            height: units.height_symbol().to_owned(),
            height_m,
            volume: units.volume_symbol().to_owned(),
            volume_ml,
            temperature: units.temperature_symbol().to_owned(),
            pace: format!("min/{}", units.distance_symbol()),
        }
    }
}

impl SurveyFacts {
    fn of(course: &Course, units: Units) -> SurveyFacts {
        let survey = &course.survey;
        let repairs = &survey.repairs;
        let again = course.places.iter().filter(|place| place.visits.len() > 1);
        let differs = |official_m| (survey.route_length_m / official_m - 1.0) * 100.0;
        let official_climb = survey.official_climb_m;
        SurveyFacts {
            route_length: Measure::distance(units, survey.route_length_m),
            official_length: survey
                .official_length_m
                .map(|m| Measure::distance(units, m)),
            length_differs_pct: survey.official_length_m.map(differs),
            raw_climb: Measure::height(units, survey.raw_climb_m),
            raw_descent: Measure::height(units, survey.raw_descent_m),
            filtered_climb: Measure::height(units, survey.filtered_climb_m),
            filtered_descent: Measure::height(units, survey.filtered_descent_m),
            official_climb: official_climb.map(|m| Measure::height(units, m)),
            points: survey.points,
            places: course.places.len(),
            places_visited_again: again.count(),
            flat: repairs.flat,
            least_turn: Measure::height(units, repairs.threshold_m),
            averaged_over_m: repairs.window_m,
            heights_filled: repairs.filled,
            jumps_removed: repairs.spikes,
        }
    }
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

    fn of(course: &Course, index: usize, station: &Station, units: Units) -> StationFacts {
        StationFacts {
            id: format!("station-{index}"),
            number: number(course, index),
            station: station.name.clone(),
            place: course.places[station.place].name.clone(),
            visit: station.visit,
            distance: Measure::distance(units, station.distance_m),
            official: Measure::distance(units, station.official_m),
            elevation: Measure::height(units, station.elevation_m),
            lat: station.position_deg.0,
            lon: station.position_deg.1,
            kind: match station.role {
                StationRole::Start => "start",
                StationRole::Finish => "finish",
                StationRole::Between(StationKind::Water) => "water",
                StationRole::Between(StationKind::Checkpoint) => "checkpoint",
                StationRole::Between(StationKind::CrewOnly) => "crew",
                StationRole::Between(StationKind::Aid) => "aid station",
            },
            is_start: station.role == StationRole::Start,
            is_finish: station.role == StationRole::Finish,
            crew: station.crew,
            drop_bag: station.drop_bag,
            pacer: station.pacer,
            has_water: station.has_water,
            offers: station.offered(),
        }
    }
}
