//! Facts of the crew: who helps, where they meet the runner, and what changes hands.

use crate::crew::Meeting;
use crate::plan::Plan;
use crate::time::Elapsed;

use super::View;
use super::packs::ServingFacts;
use super::race::number;
use super::splits::{WeatherFacts, weather_at};
use super::value::{Measure, Moment, record};

record! {
    /// A meeting of crew and runner.
    pub struct MeetingFacts {
        /// The station's number.
        pub number: String,
        /// The station.
        pub station: String,
        /// Its place.
        pub place: String,
        /// Distance by the organiser's count.
        pub official: Measure,
        /// When to stand there: before the early arrival, as far as the drive lets it.
        pub be_there: Moment,
        /// The early arrival.
        pub early: Moment,
        /// The likely arrival.
        pub likely: Moment,
        /// The late arrival.
        pub late: Moment,
        /// The planned departure; the arrival at the finish.
        pub departure: Moment,
        /// When the runner goes on, as likely as not, and not before the planned departure.
        pub leaves: Moment,
        /// Whether it is the finish.
        pub is_finish: bool,
        /// The place the crew drives from: the meeting before, or the start.
        pub drives_from: String,
        /// How long the drive takes.
        pub drive: Option<Measure>,
        /// When to drive off: not before the runner has left the meeting before.
        pub drive_off_by: Option<Moment>,
        /// Servings to hand over.
        pub servings: Vec<ServingFacts>,
        /// Water to bring because the station has none.
        pub water: Option<Measure>,
        /// Gear to hand over.
        pub gear: Vec<String>,
        /// Gear to take back.
        pub take_back: Vec<String>,
        /// Things to bring besides.
        pub bring: Vec<String>,
        /// Pacers who join here.
        pub pacers_on: Vec<String>,
        /// Pacers who stop here.
        pub pacers_off: Vec<String>,
        /// The latest departure that still meets every later cutoff.
        pub latest_departure: Option<Moment>,
        /// Whether it is dark at the likely arrival.
        pub dark: bool,
        /// Weather at the likely arrival.
        pub weather: Option<WeatherFacts>,
    }
}

record! {
    /// The people who help.
    pub struct HelperFacts {
        /// Names.
        pub names: Vec<String>,
        /// A phone number that is printed on what they carry.
        pub phone: Option<String>,
        /// How long before the early arrival they stand there.
        pub buffer: Measure,
    }
}

impl HelperFacts {
    /// The crew of a plan's files; nothing where there is none.
    pub(super) fn of(view: &View<'_>) -> Option<HelperFacts> {
        let crew = view.inputs.crew.as_ref()?;
        Some(HelperFacts {
            names: crew.crew.clone(),
            phone: crew.phone.clone(),
            buffer: Measure::time(Elapsed::from_s(crew.buffer_s)),
        })
    }
}

impl MeetingFacts {
    /// Every meeting of a plan in course order.
    pub(crate) fn all(view: &View<'_>, plan: &Plan) -> Vec<MeetingFacts> {
        let meetings = &plan.crew.meetings;
        let pairs = std::iter::once(None).chain(meetings.iter().map(Some));
        pairs
            .zip(meetings)
            .map(|(before, meeting)| MeetingFacts::of(view, plan, before, meeting))
            .collect()
    }

    fn of(
        view: &View<'_>,
        plan: &Plan,
        before: Option<&Meeting>,
        meeting: &Meeting,
    ) -> MeetingFacts {
        let (course, units) = (&view.race.course, view.units);
        let station = &course.stations[meeting.station];
        let split = &plan.schedule.splits[meeting.station];
        let at = |elapsed| Moment::of(&plan.schedule, elapsed);
        let place = |station: usize| course.places[course.stations[station].place].name.clone();
        let handover = meeting.handover;
        let handover = handover.and_then(|index| plan.packing.handovers.get(index));
        let water = handover.filter(|over| over.water_ml > 0.0);
        let conditions = &view.race.conditions;
        MeetingFacts {
            number: number(course, meeting.station),
            station: station.name.clone(),
            place: place(meeting.station),
            official: Measure::distance(units, station.official_m),
            be_there: at(meeting.be_there),
            early: at(split.early),
            likely: at(meeting.likely),
            late: at(meeting.late),
            departure: at(meeting.departure),
            leaves: at(meeting.leaves),
            is_finish: meeting.station + 1 == course.stations.len(),
            drives_from: place(before.map_or(0, |before| before.station)),
            drive: meeting.drive_s.map(|s| Measure::time(Elapsed::from_s(s))),
            drive_off_by: meeting.leave_by.map(at),
            servings: handover.map_or_else(Vec::new, |over| {
                ServingFacts::all(&over.servings, meeting.station, &view.inputs.pantry)
            }),
            water: water.map(|over| Measure::volume(units, over.water_ml)),
            gear: handover.map(|over| over.gear.clone()).unwrap_or_default(),
            take_back: handover
                .map(|over| over.take_back.clone())
                .unwrap_or_default(),
            bring: meeting.bring.clone(),
            pacers_on: meeting.pacers_on.clone(),
            pacers_off: meeting.pacers_off.clone(),
            latest_departure: split.latest_departure.map(at),
            dark: conditions.is_dark(station.distance_m, meeting.likely.as_s()),
            weather: weather_at(view, meeting.station, meeting.likely),
        }
    }
}
