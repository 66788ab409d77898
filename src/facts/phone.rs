//! Facts of the crew's phone: what its page projects the rest of the day with. The tables are the
//! engine's own, so that the page says what replanning says.

use chrono::Offset;

use crate::diagnostics::Notes;
use crate::inputs::stations_csv::CutoffOn;
use crate::pacing::FASTEST_LEVEL_MPS;
use crate::plan::{Plan, Race};
use crate::replan::{PRIOR_H, Response};
use crate::time::{Elapsed, RaceClock};

use super::View;
use super::value::record;

record! {
    /// What a page needs to project a plan without the engine; times in seconds of race time.
    pub struct PhoneFacts {
        /// The organiser's clock; nothing without date and zone.
        pub clock: Option<ClockFacts>,
        /// The planned finish.
        pub finish_s: f64,
        /// Hours of the plan that count as seen before anything is seen.
        pub prior_h: f64,
        /// The greatest speed worth asking for, over the plan's.
        pub most_ratio: f64,
        /// The fastest speed that anyone runs on level ground, metres per second.
        pub fastest_mps: f64,
        /// How long before the early arrival the crew stands there.
        pub buffer_s: f64,
        /// Times per level metre over the plan's, for the first table of each part.
        pub slowness: Vec<f64>,
        /// Segments, each in parts: what a part takes by slowness, race times of entering, and
        /// what it takes then over what it takes when the plan enters it.
        pub segments: Vec<Vec<(Vec<f64>, Vec<f64>, Vec<f64>)>>,
        /// What each segment takes as planned.
        pub moving_s: Vec<f64>,
        /// Each segment in metres of level ground.
        pub effort_m: Vec<f64>,
        /// Stations in course order.
        pub stations: Vec<PhoneStationFacts>,
    }
}

record! {
    /// A station as the phone's page computes with it.
    pub struct PhoneStationFacts {
        /// Its place in course order, from 0.
        pub index: usize,
        /// Its name.
        pub name: String,
        /// Planned arrival, to the fraction of a second.
        pub arrival_s: f64,
        /// Planned departure, to the fraction of a second.
        pub departure_s: f64,
        /// Planned stop.
        pub stop_s: f64,
        /// The early arrival.
        pub early_s: i64,
        /// The late arrival.
        pub late_s: i64,
        /// The cutoff.
        pub cutoff_s: Option<i64>,
        /// Whether the cutoff is on leaving.
        pub cutoff_leaves: bool,
        /// Whether the crew meets the runner here.
        pub meets: bool,
        /// How long the crew drives to get here.
        pub drive_s: Option<f64>,
        /// When the runner goes on from this meeting, as likely as not.
        pub gone_s: Option<i64>,
    }
}

record! {
    /// The organiser's clock as arithmetic.
    pub struct ClockFacts {
        /// The runner's own start, seconds since 1970 in UTC.
        pub start_s: i64,
        /// Offsets from UTC in seconds, each after the race time that it holds from.
        pub offsets: Vec<(i64, i32)>,
    }
}

const DAY_S: i64 = 86_400;
/// Clocks are known so long before the start and after twice the finish, seconds.
const AROUND_S: i64 = 6 * DAY_S;

impl PhoneFacts {
    /// The tables of a view's first plan; `None` where there is none.
    #[must_use]
    pub fn of(view: &View<'_>) -> Option<PhoneFacts> {
        let plan = view.plans.first()?;
        let longest = plan.finish + plan.finish;
        // the plan's own race may end before a late runner's second night
        let race = Race::prepare(view.inputs, longest, &mut Notes::new())?;
        let response = Response::of(&race, plan);
        let pacing = &plan.pacing;
        let segments = response.segments.iter().map(|parts| {
            let parts = parts.iter().map(|part| {
                (
                    rounded(&part.cool_s, 100.0),
                    rounded(&part.enter_s, 10.0),
                    rounded(&part.hour, 1e6),
                )
            });
            parts.collect()
        });
        let clock = view.race.clock.as_ref();
        Some(PhoneFacts {
            clock: clock.map(|clock| ClockFacts::of(clock, longest)),
            finish_s: pacing.finish_s,
            prior_h: PRIOR_H,
            most_ratio: pacing.most_ratio(),
            fastest_mps: FASTEST_LEVEL_MPS,
            buffer_s: view.inputs.crew.as_ref().map_or(0.0, |crew| crew.buffer_s),
            segments: segments.collect(),
            moving_s: pacing.segments.iter().map(|s| s.moving_s).collect(),
            effort_m: pacing.segments.iter().map(|s| s.effort_m).collect(),
            stations: PhoneStationFacts::all(view, plan),
            slowness: response.slowness,
        })
    }
}

fn rounded(values: &[f64], parts: f64) -> Vec<f64> {
    values.iter().map(|v| (v * parts).round() / parts).collect()
}

impl PhoneStationFacts {
    fn all(view: &View<'_>, plan: &Plan) -> Vec<PhoneStationFacts> {
        let stations = view.race.course.stations.iter();
        let pairs = stations.zip(&plan.schedule.splits).enumerate();
        pairs
            .map(|(index, (station, split))| {
                let mut meetings = plan.crew.meetings.iter();
                let meeting = meetings.find(|meeting| meeting.station == index);
                PhoneStationFacts {
                    index,
                    name: station.name.clone(),
                    arrival_s: plan.pacing.arrival_s[index],
                    departure_s: plan.pacing.departure_s[index],
                    stop_s: view.race.stops_s[index],
                    early_s: split.early.as_secs(),
                    late_s: split.late.as_secs(),
                    cutoff_s: split.cutoff.map(|limit| limit.elapsed.as_secs()),
                    cutoff_leaves: split.cutoff.is_some_and(|l| l.on == CutoffOn::Departure),
                    meets: meeting.is_some(),
                    drive_s: meeting.and_then(|meeting| meeting.drive_s),
                    gone_s: meeting.map(|meeting| meeting.leaves.as_secs()),
                }
            })
            .collect()
    }
}

impl ClockFacts {
    fn of(clock: &RaceClock, longest: Elapsed) -> ClockFacts {
        let offset_s = |at_s: i64| {
            let instant = clock.at(Elapsed::from_secs(at_s));
            instant.offset().fix().local_minus_utc()
        };
        let mut offsets = vec![(-AROUND_S, offset_s(-AROUND_S))];
        // zones change on whole minutes
        let start_s = clock.start().timestamp();
        let mut at_s = -AROUND_S - (start_s - AROUND_S).rem_euclid(60);
        while at_s < longest.as_secs() + AROUND_S {
            let now_s = offset_s(at_s);
            if offsets.last().is_some_and(|(_, known_s)| *known_s != now_s) {
                offsets.push((at_s, now_s));
            }
            at_s += 60;
        }
        ClockFacts { start_s, offsets }
    }
}
