//! Facts of times: when the runner is where, how sure that is, and which cutoffs hold.

use crate::conditions::{ForecastScope, SunEventKind};
use crate::course::Course;
use crate::exposure::Air;
use crate::pacing::factors::transition_speed_mps;
use crate::plan::Plan;
use crate::schedule::{DOUBTFUL, Leg, Split, UNLIKELY};
use crate::time::Elapsed;
use crate::units::Units;

use super::View;
use super::race::number;
use super::value::{Measure, Moment, record};

record! {
    /// A station's times: arrival, window, departure and cutoff.
    pub struct SplitFacts {
        /// The station's number as printed.
        pub number: String = number(course, split.station),
        /// The station's name.
        pub station: String = station.name.clone(),
        /// The name of its place.
        pub place: String = course.places[station.place].name.clone(),
        /// The number of this visit to the place, from 1.
        pub visit: u32 = station.visit,
        /// Distance along the route file.
        pub distance: Measure = Measure::distance(units, station.distance_m),
        /// Distance by the organiser's count.
        pub official: Measure = Measure::distance(units, station.official_m),
        /// Planned arrival, own stop left out.
        pub arrival: Moment = arrival.clone(),
        /// Planned departure, own stop included; the arrival at the finish.
        pub departure: Moment = departure.clone(),
        /// The early arrival: 9 in 10 come later.
        pub early: Moment = at(split.early),
        /// The arrival to expect: half come earlier. Later than `arrival` where the target is
        /// faster than what it rests on supports.
        pub likely: Moment = at(split.likely),
        /// The departure to expect, not before the planned one.
        pub departure_likely: Moment = at(split.departure_likely()),
        /// The late arrival: 9 in 10 come earlier.
        pub late: Moment = at(split.late),
        /// The planned stop; nothing where the runner runs through.
        pub stop: Option<Measure> = stops.then(|| Measure::between(&arrival, &departure)),
        /// The cutoff.
        pub cutoff: Option<Moment> = split.cutoff.map(|limit| at(limit.elapsed)),
        /// True where the organiser has a cutoff that the station list does not say.
        pub cutoff_unread: bool = station.is_cutoff_unread(),
        /// `arrival` or `departure`: what the cutoff limits.
        pub cutoff_on: Option<&'static str> = split.cutoff.map(|limit| limit.on.name()),
        /// The chance of being in before the cutoff, of the same races as `late`.
        pub cutoff_chance: Option<Measure> = split.cutoff_chance.map(Measure::chance),
        /// The chance of making this cutoff and all before it.
        pub chance_so_far: Option<Measure> = split.chance_so_far.map(Measure::chance),
        /// Grade of the chance of being still in: `good`, `doubtful` or `unlikely`.
        pub chance_is: Option<&'static str> = split.chance_so_far.map(chance_is),
        /// Time in hand at the cutoff on plan; negative is late.
        pub margin: Option<Measure> = split.margin.map(Measure::margin),
        /// The same at the likely arrival.
        pub margin_likely: Option<Measure> = split.margin_likely().map(Measure::margin),
        /// The comfort of the margin: `good`, `close` or `missed`.
        pub margin_is: Option<&'static str> = split.margin.map(margin_is),
        /// Time in hand to the cutoff that binds from here on, on plan; nothing after the last.
        pub in_hand: Option<Measure> = in_hand(planned, split.arrival),
        /// The same for an early runner.
        pub in_hand_early: Option<Measure> = in_hand(planned, split.early),
        /// The same for the likely runner.
        pub in_hand_likely: Option<Measure> = in_hand(expected, split.likely),
        /// The same for a late runner.
        pub in_hand_late: Option<Measure> = in_hand(expected, split.late),
        /// The latest departure that still meets every later cutoff, at the effort of
        /// `leave_by_effort`.
        pub latest_departure: Option<Moment> = split.latest_departure.map(at),
        /// The station whose cutoff decides the latest departure.
        pub binding: Option<String> = split.binding.map(|to| course.stations[to].name.clone()),
        /// Its number.
        pub binding_number: Option<String> = split.binding.map(|to| number(course, to)),
        /// True where a lamp is needed at the planned arrival.
        pub dark: bool = air.dark,
        /// The number of the station as far as which it is cold, not only to who walks at night,
        /// where such a stretch is under way or begins before the next station.
        pub cold_to: Option<String> = cold.map(|cold| number(course, cold.until)),
        /// Weather at the planned arrival.
        pub weather: Option<WeatherFacts> = WeatherFacts::of(air, told, units),
        /// True where the crew meets the runner here.
        pub meets_crew: bool = meeting.is_some(),
        /// True where a drop bag is opened here.
        pub opens_bag: bool = visits
            .into_iter()
            .any(|visit| visit.station == split.station),
        /// True where a pacer joins here.
        pub pacer_joins: bool = meeting.is_some_and(|met| !met.pacers_on.is_empty()),
    } from fn of(view: &View<'_>, plan: &Plan, split: &Split) {
        let (course, units) = (&view.race.course, view.units);
        let station = &course.stations[split.station];
        let at = |elapsed| Moment::of(&plan.schedule, elapsed);
        let (arrival, departure) = (at(split.arrival), at(split.departure));
        let stops = split.departure > split.arrival;
        let meeting = plan.crew.meetings.iter();
        let meeting = meeting.clone().find(|met| met.station == split.station);
        let visits = plan.packing.bags.iter().flat_map(|bag| &bag.visits);
        let mut cold = plan.fueling.cold.iter().filter(|cold| !cold.is_mild());
        let cold = cold.rfind(|cold| (cold.from..cold.until).contains(&split.station));
        let (air, told) = (
            plan.exposures.stations[split.station].planned,
            plan.exposures.told,
        );
        let stop = split.departure - split.arrival;
        let last =
            || Some(split.cutoff?.elapsed).filter(|_| split.station + 1 == course.stations.len());
        let in_hand = |latest: Option<Elapsed>, in_at: Elapsed| {
            let latest = latest.or_else(last)?;
            Some(Measure::margin(latest - in_at - stop))
        };
        let (planned, expected) = (split.latest_on_plan, split.latest_departure);
    }

    /// The pace of a segment.
    pub struct PaceFacts {
        /// Time from departure to arrival.
        pub moving: Measure = Measure::time(leg.moving),
        /// The same as a difference of the printed times.
        pub printed: Measure =
            Measure::between(&at(splits[from].departure), &at(splits[from + 1].arrival)),
        /// Pace over the organiser's distance.
        pub pace: Measure = Measure::pace(units, leg.pace_s_per_m),
        /// Share of the time that is walked.
        pub walk_share: Measure = Measure::share(leg.walk_share),
        /// Share of the time in the dark.
        pub dark_share: Measure = Measure::share(leg.dark_share),
        /// `run`, `jog` or `hike`: what its pace and its climbs come to.
        pub going: &'static str = going(1.0 / leg.pace_s_per_m.max(1e-3), leg.walk_share),
    } from pub(super) fn of(course: &Course, plan: &Plan, index: usize, units: Units) {
        let leg: &Leg = &plan.schedule.legs[index];
        let from = course.segments[index].from;
        let splits = &plan.schedule.splits;
        let at = |elapsed| Moment::of(&plan.schedule, elapsed);
    }

    /// Weather at one spot and time.
    pub struct WeatherFacts {
        /// Air temperature.
        pub temp: Measure,
        /// Relative humidity, percent, where the forecast names it.
        pub humidity_pct: Option<f64>,
        /// Wind at 10 m, where the forecast names it.
        pub wind: Option<Measure>,
        /// Rain, millimetres per hour, where the forecast names it.
        pub rain_mm_per_h: Option<f64>,
        /// Chance of rain, percent, where the forecast names it.
        pub rain_chance_pct: Option<f64>,
        /// True where thunderstorms are forecast.
        pub thunder: bool,
        /// All of it in words.
        pub words: String,
    }

    /// An event of the sun or the moon while the runner is out.
    pub struct SunFacts {
        /// `dawn`, `sunrise`, `sunset` or `dusk`; `moonrise` or `moonset`.
        pub kind: &'static str,
        /// The event in a runner's words, such as `lamp on`.
        pub words: &'static str,
        /// The time.
        pub at: Moment,
    }
}

/// Time in hand below which a met cutoff is close.
const CLOSE: Elapsed = Elapsed::from_secs(20 * 60);

/// Whatever is slower is hiked on any ground: people walk on the level at about 1.4 m/s (Bohannon
/// 1997, doi 10.1093/ageing/26.1.15: 1.27 to 1.46 m/s when comfortable; from memory).
const HIKED_BELOW_MPS: f64 = 1.39;
/// Nobody hikes faster than this for long, 10:00 /km. Common practice, no source.
const HIKED_UP_TO_MPS: f64 = 1.67;
/// Between the two, a segment is hiked where this share of its time is climbs to walk. Our choice.
const HIKE_FROM: f64 = 0.6;

impl SplitFacts {
    /// Every split of a plan in course order.
    pub(crate) fn all(view: &View<'_>, plan: &Plan) -> Vec<SplitFacts> {
        let splits = plan.schedule.splits.iter();
        splits
            .map(|split| SplitFacts::of(view, plan, split))
            .collect()
    }
}

pub(super) fn chance_is(chance: f64) -> &'static str {
    match chance {
        c if c < UNLIKELY => "unlikely",
        c if c < DOUBTFUL => "doubtful",
        _ => "good",
    }
}

pub(super) fn margin_is(margin: Elapsed) -> &'static str {
    if margin < Elapsed::ZERO {
        "missed"
    } else if margin < CLOSE {
        "close"
    } else {
        "good"
    }
}

impl SplitFacts {
    /// The word before a cutoff's time: `out by` where it limits the departure, else `in by`.
    #[must_use]
    pub fn cutoff_word(&self) -> &'static str {
        match self.cutoff_on {
            Some("departure") => "out by",
            _ => "in by",
        }
    }

    /// The cutoff that comes before the latest departure, which holds only for who is in by then.
    #[must_use]
    pub fn if_in_by(&self) -> Option<&Moment> {
        let cutoff = self.cutoff.as_ref()?;
        let latest = self.latest_departure.as_ref()?;
        let is_first = self.cutoff_on != Some("departure") && cutoff.elapsed < latest.elapsed;
        is_first.then_some(cutoff)
    }
}

/// A runner's word for a speed: run is faster than people change from walking to running.
fn going(speed_mps: f64, walk_share: f64) -> &'static str {
    let hiked = speed_mps <= HIKED_UP_TO_MPS && walk_share >= HIKE_FROM;
    if speed_mps >= transition_speed_mps(0.0) {
        "run"
    } else if hiked || speed_mps <= HIKED_BELOW_MPS {
        "hike"
    } else {
        "jog"
    }
}

impl WeatherFacts {
    /// The weather at a station when the runner comes; `None` without a forecast.
    pub(super) fn of(air: Air, told: ForecastScope, units: Units) -> Option<WeatherFacts> {
        let weather = air.weather?;
        let temp = Measure::temperature(units, weather.temp_c);
        let wind = told.wind.then(|| Measure::wind(units, weather.wind_kmh));
        let mut words = temp.text.clone();
        if let Some(wind) = &wind {
            words += &format!(", wind {}", wind.text);
        }
        let rain_chance_pct = weather.rain_chance_pct.map(f64::round);
        if let Some(pct) = rain_chance_pct {
            words += &format!(", {pct} % chance of rain");
        }
        if weather.rain_mm_per_h > 0.0 {
            words += &format!(", rain {:.1} mm/h", weather.rain_mm_per_h);
        }
        if weather.thunder {
            words += ", thunderstorms forecast";
        }
        Some(WeatherFacts {
            temp,
            humidity_pct: told.humidity.then_some(weather.humidity_pct),
            wind,
            rain_mm_per_h: told.rain.then_some(weather.rain_mm_per_h),
            rain_chance_pct,
            thunder: weather.thunder,
            words,
        })
    }
}

impl SunFacts {
    /// Sunrises and the like from the start to the late arrival at the finish.
    pub(super) fn all(view: &View<'_>, plan: &Plan) -> Vec<SunFacts> {
        let (Some(clock), Some(last)) = (view.race.clock, plan.schedule.splits.last()) else {
            return Vec::new();
        };
        let zone = clock.start().timezone();
        let events = view.race.conditions.sun_events().iter();
        events
            .map(|event| {
                let at = clock.elapsed_at(event.instant.with_timezone(&zone));
                (event.kind, at)
            })
            .filter(|(_, at)| (Elapsed::ZERO..=last.late).contains(at))
            .map(|(kind, at)| {
                let (kind, words) = match kind {
                    SunEventKind::Dawn => ("dawn", "lamp off"),
                    SunEventKind::Sunrise => ("sunrise", "sunrise"),
                    SunEventKind::Sunset => ("sunset", "sunset"),
                    SunEventKind::Dusk => ("dusk", "lamp on"),
                };
                let at = Moment::on(Some(&clock), at);
                SunFacts { kind, words, at }
            })
            .collect()
    }
}
