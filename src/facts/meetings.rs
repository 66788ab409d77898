//! Facts of the crew: who helps, where they meet the runner, and what changes hands.

use crate::course::Station;
use crate::crew::{Meeting, Stint};
use crate::plan::Plan;
use crate::time::Elapsed;
use crate::words::same_name;

use super::View;
use super::nights::{LampFacts, SleepFacts};
use super::packs::ServingFacts;
use super::race::number;
use super::splits::{WeatherFacts, weather_at};
use super::value::{Measure, Moment, each, record};

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
        /// The time to stand there: before the early arrival, as far as the drive lets it.
        pub be_there: Moment,
        /// The early arrival.
        pub early: Moment,
        /// The likely arrival.
        pub likely: Moment,
        /// The late arrival.
        pub late: Moment,
        /// The planned departure; the arrival at the finish.
        pub departure: Moment,
        /// The likely departure of the runner, not before the planned one.
        pub leaves: Moment,
        /// True where it is the finish.
        pub is_finish: bool,
        /// The place the crew drives from: the meeting before, or the start.
        pub drives_from: String,
        /// The time of the drive.
        pub drive: Option<Measure>,
        /// The time to drive off: not before the runner has left the meeting before.
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
        /// Stretches of those who join here.
        pub stints: Vec<StintFacts>,
        /// Those of the crew who are in the car on the way here.
        pub driving: Vec<String>,
        /// The one at the wheel, where the crew file says it.
        pub driver: Option<String>,
        /// The lamp, where a late runner needs it before the next meeting.
        pub lamp: Option<LampFacts>,
        /// Time to sleep, where the crew waits for hours between midnight and dawn.
        pub sleep: Option<SleepFacts>,
        /// The place itself: how to get there, where to park, whom to call.
        pub spot: SpotFacts,
        /// The cutoff, where the late arrival is past it: who comes later is out.
        pub out_after: Option<Moment>,
        /// The latest departure that still meets every later cutoff.
        pub latest_departure: Option<Moment>,
        /// True where it is dark at the likely arrival.
        pub dark: bool,
        /// Weather at the likely arrival.
        pub weather: Option<WeatherFacts>,
    }

    /// The stretch of a pacer.
    pub struct StintFacts {
        /// The pacer.
        pub name: String,
        /// The number of the station where they stop.
        pub until_number: String,
        /// The station where they stop.
        pub until: String,
        /// The time to stand there ready: the early arrival, or that of the car they come in.
        pub ready: Moment,
        /// Their likely departure.
        pub from: Moment,
        /// Their likely arrival.
        pub to: Moment,
        /// Those of the crew in whose car they come.
        pub brought_by: Vec<String>,
        /// The time between.
        pub time: Measure,
        /// The distance.
        pub length: Measure,
        /// True where any of it is in the dark for a late runner.
        pub dark: bool,
    }

    /// A place where crew and runner meet.
    pub struct SpotFacts {
        /// The way there.
        pub directions: Option<String>,
        /// The place to leave the car.
        pub parking: Option<String>,
        /// Whom to call there.
        pub phone: Option<String>,
        /// Anything else that the crew noted.
        pub notes: Option<String>,
        /// Latitude of the parking, of the station where nobody noted it; degrees.
        pub lat: f64,
        /// Its longitude, degrees.
        pub lon: f64,
        /// Both as printed, such as `46.77123, 11.65432`.
        pub coordinates: String,
        /// Both as an address that phones open (RFC 5870).
        pub geo: String,
        /// True where it is the parking and not the station.
        pub is_parking: bool,
    }

    /// A person's phone number.
    pub struct NumberFacts {
        /// The person who answers.
        pub name: String,
        /// The number as written.
        pub number: String,
    }

    /// The people who help.
    pub struct HelperFacts {
        /// Names.
        pub names: Vec<String>,
        /// A phone number that is printed on what they carry.
        pub phone: Option<String>,
        /// The organiser's number on race day.
        pub race_control: Option<String>,
        /// Numbers of anybody else.
        pub phones: Vec<NumberFacts>,
        /// The time that they stand there before the early arrival.
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
            race_control: crew.race_control.clone(),
            phones: (crew.phones.iter())
                .map(|(name, number)| NumberFacts {
                    name: name.clone(),
                    number: number.clone(),
                })
                .collect(),
            buffer: Measure::time(Elapsed::from_s(crew.buffer_s)),
        })
    }
}

impl HelperFacts {
    /// Every number to call, with who answers: the race, the crew, then the others.
    #[must_use]
    pub fn numbers(&self) -> Vec<(&str, &str)> {
        let race = self.race_control.iter();
        let race = race.map(|number| ("race control", number.as_str()));
        let own = self.phone.iter().map(|number| ("crew", number.as_str()));
        let others = self.phones.iter();
        let others = others.map(|one| (one.name.as_str(), one.number.as_str()));
        race.chain(own).chain(others).collect()
    }

    /// The number of one of the others.
    #[must_use]
    pub fn number_of(&self, who: &str) -> Option<&str> {
        let mut phones = self.phones.iter();
        let one = phones.find(|one| same_name(&one.name, who))?;
        Some(&one.number)
    }
}

impl MeetingFacts {
    /// Every meeting of a plan in course order.
    pub(crate) fn all(view: &View<'_>, plan: &Plan) -> Vec<MeetingFacts> {
        let meetings = &plan.crew.meetings;
        let with_next = |(index, meeting): (usize, &Meeting)| {
            let before = index.checked_sub(1).map(|before| &meetings[before]);
            MeetingFacts::of(view, plan, (before, meeting, meetings.get(index + 1)))
        };
        meetings.iter().enumerate().map(with_next).collect()
    }

    fn of(
        view: &View<'_>,
        plan: &Plan,
        (before, meeting, next): (Option<&Meeting>, &Meeting, Option<&Meeting>),
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
            stints: each(&meeting.stints, |stint| {
                StintFacts::of(view, plan, meeting, stint)
            }),
            driving: meeting.driving.clone(),
            driver: meeting.driver.clone(),
            lamp: next.and_then(|next| LampFacts::between(view.race, meeting.likely, next.late)),
            sleep: before.and_then(|_| SleepFacts::of(view.race, meeting, split.early)),
            spot: SpotFacts::of(view, meeting.station),
            out_after: (split.cutoff.map(|cutoff| cutoff.elapsed))
                .filter(|cutoff| *cutoff < meeting.late)
                .map(at),
            latest_departure: split.latest_departure.map(at),
            dark: conditions.is_dark(station.distance_m, meeting.likely.as_s()),
            weather: weather_at(view, meeting.station, meeting.likely),
        }
    }

    /// True where the crew comes there by car.
    #[must_use]
    pub fn is_driven_to(&self) -> bool {
        self.drive.as_ref().is_some_and(|drive| drive.value > 0.0)
    }

    /// The one at the wheel on the way there, and how: `drives`, or `alone` in the car; nothing
    /// where nobody is named.
    #[must_use]
    pub fn at_the_wheel(&self) -> Option<(&str, &'static str)> {
        match (&self.driver, self.driving.as_slice()) {
            _ if !self.is_driven_to() => None,
            (Some(driver), _) => Some((driver, "drives")),
            (None, [one]) => Some((one, "alone")),
            (None, _) => None,
        }
    }
}

impl StintFacts {
    fn of(view: &View<'_>, plan: &Plan, meeting: &Meeting, stint: &Stint) -> StintFacts {
        let (course, splits) = (&view.race.course, &plan.schedule.splits);
        let at = |elapsed| Moment::of(&plan.schedule, elapsed);
        let (from, to) = (at(meeting.leaves), at(splits[stint.to].likely));
        let official_m = |station: usize| course.stations[station].official_m;
        let late = splits[stint.to].late;
        let by_car = meeting.drive_s.is_some_and(|drive_s| drive_s > 0.0);
        let others = meeting.driving.iter();
        let brought_by: Vec<String> = others
            .filter(|who| by_car && !same_name(who, &stint.name))
            .cloned()
            .collect();
        let early = splits[meeting.station].early;
        let ready = match brought_by.is_empty() {
            true => early,
            false => early.max(meeting.be_there),
        };
        StintFacts {
            ready: at(ready),
            name: stint.name.clone(),
            until_number: number(course, stint.to),
            until: course.stations[stint.to].name.clone(),
            time: Measure::between(&from, &to),
            from,
            to,
            length: Measure::distance(view.units, official_m(stint.to) - official_m(stint.from)),
            brought_by,
            dark: LampFacts::between(view.race, meeting.likely, late).is_some(),
        }
    }
}

impl SpotFacts {
    fn of(view: &View<'_>, station: usize) -> SpotFacts {
        let course = &view.race.course;
        let station: &Station = &course.stations[station];
        let place = &course.places[station.place].name;
        let notes = view.inputs.crew.as_ref().and_then(|crew| {
            let about = |name: &str| same_name(name, &station.name) || same_name(name, place);
            (crew.places.iter()).find(|noted| about(&noted.name.value))
        });
        let parking = notes.and_then(|noted| noted.coordinates_deg);
        let (lat, lon) = parking.unwrap_or(station.position_deg);
        SpotFacts {
            directions: notes.and_then(|noted| noted.directions.clone()),
            parking: notes.and_then(|noted| noted.parking.clone()),
            phone: notes.and_then(|noted| noted.phone.clone()),
            notes: notes.and_then(|noted| noted.notes.clone()),
            lat,
            lon,
            coordinates: format!("{lat:.5}, {lon:.5}"),
            geo: format!("geo:{lat:.5},{lon:.5}"),
            is_parking: parking.is_some(),
        }
    }
}
