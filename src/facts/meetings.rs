//! Facts of the crew: who helps, where they meet the runner, and what changes hands.

use crate::course::Station;
use crate::crew::{Meeting, Stint};
use crate::fueling::ColdStretch;
use crate::plan::Plan;
use crate::time::Elapsed;
use crate::words::same_name;

use super::View;
use super::nights::{LampChangeFacts, LampFacts, SleepFacts};
use super::packs::ServingFacts;
use super::race::number;
use super::splits::WeatherFacts;
use super::value::{Measure, Moment, each, record};

record! {
    /// A meeting of crew and runner.
    pub struct MeetingFacts {
        /// The station's number.
        pub number: String = number(course, meeting.station),
        /// The station.
        pub station: String = station.name.clone(),
        /// Its place.
        pub place: String = place(meeting.station),
        /// Distance by the organiser's count.
        pub official: Measure = Measure::distance(units, station.official_m),
        /// The time to stand there: before the early arrival, as far as a known drive lets it.
        pub be_there: Moment = at(meeting.be_there),
        /// The early arrival.
        pub early: Moment = at(split.early),
        /// The likely arrival.
        pub likely: Moment = at(meeting.likely),
        /// The late arrival.
        pub late: Moment = at(meeting.late),
        /// The planned departure; the arrival at the finish.
        pub departure: Moment = at(meeting.departure),
        /// The likely departure of the runner, not before the planned one.
        pub leaves: Moment = at(meeting.leaves),
        /// True where it is the finish.
        pub is_finish: bool = meeting.station + 1 == course.stations.len(),
        /// The place the crew drives from: the meeting before, or the start.
        pub drives_from: String = place(before.map_or(0, |before| before.station)),
        /// The time of the drive.
        pub drive: Option<Measure> = meeting.drive_s.map(|s| Measure::time(Elapsed::from_s(s))),
        /// The time to drive off: not before the runner has left the meeting before.
        pub drive_off_by: Option<Moment> = meeting.leave_by.map(at),
        /// The meeting before, where the drive from it is not known.
        pub after: Option<String> = before
            .filter(|_| meeting.drive_s.is_none())
            .map(|before| course.stations[before.station].name.clone()),
        /// Clothes for cold that goes on past here, and for cold that begins past the next supply
        /// point and before the next meeting.
        pub dress_ahead: Vec<String> = dress_ahead(view, plan, meeting, next),
        /// Servings to hand over.
        pub servings: Vec<ServingFacts> = handover.map_or_else(Vec::new, |over| {
            ServingFacts::all(&over.servings, meeting.station, &view.inputs.pantry)
        }),
        /// Water to bring because the station has none.
        pub water: Option<Measure> = water.map(|over| Measure::volume(units, over.water_ml)),
        /// Gear to hand over.
        pub gear: Vec<String> = handover.map(|over| over.gear.clone()).unwrap_or_default(),
        /// Gear to take back.
        pub take_back: Vec<String> = handover
            .map(|over| over.take_back.clone())
            .unwrap_or_default(),
        /// Things to bring besides.
        pub bring: Vec<String> = meeting.bring.clone(),
        /// Pacers who join here.
        pub pacers_on: Vec<String> = meeting.pacers_on.clone(),
        /// Pacers who stop here.
        pub pacers_off: Vec<String> = meeting.pacers_off.clone(),
        /// Stretches of those who join here.
        pub stints: Vec<StintFacts> = each(&meeting.stints, |stint| {
            StintFacts::of(view, plan, meeting, stint)
        }),
        /// Those of the crew who are in the car on the way here.
        pub driving: Vec<String> = meeting.driving.clone(),
        /// The one at the wheel, where the crew file says it.
        pub driver: Option<String> = meeting.driver.clone(),
        /// The lamp, where a late runner needs it before the next meeting.
        pub lamp: Option<LampFacts> =
            next.and_then(|next| LampFacts::between(view.race, meeting.likely, next.late)),
        /// Batteries and lamps that go on here or before the next meeting.
        pub lamp_changes: Vec<String> = lamp_changes,
        /// Time to sleep, where the crew waits for hours between midnight and dawn.
        pub sleep: Option<SleepFacts> =
            before.and_then(|_| SleepFacts::of(view.race, meeting, split.early)),
        /// The place itself: how to get there, where to park, whom to call.
        pub spot: SpotFacts = SpotFacts::of(view, meeting.station),
        /// The cutoff, where the late arrival is past it: who comes later is out.
        pub out_after: Option<Moment> = (split.cutoff.map(|cutoff| cutoff.elapsed))
            .filter(|cutoff| *cutoff < meeting.late)
            .map(at),
        /// `arrival` or `departure`: what the cutoff limits.
        pub cutoff_on: Option<&'static str> = split.cutoff.map(|limit| limit.on.name()),
        /// The first station at whose cutoff the likely runner is out, where that is here or
        /// before; nothing where none is missed.
        pub out_at: Option<String> = out_at.map(|at| course.stations[at].name.clone()),
        /// Its number.
        pub out_at_number: Option<String> = out_at.map(|at| number(course, at)),
        /// The latest departure that still meets every later cutoff.
        pub latest_departure: Option<Moment> = split.latest_departure.map(at),
        /// True where it is dark at the likely arrival.
        pub dark: bool = air.dark,
        /// Weather at the likely arrival.
        pub weather: Option<WeatherFacts> = WeatherFacts::of(air, plan.exposures.told, units),
    } from fn of(
        view: &View<'_>,
        plan: &Plan,
        (before, meeting, next): (Option<&Meeting>, &Meeting, Option<&Meeting>),
        out_at: Option<usize>,
    ) {
        let (course, units) = (&view.race.course, view.units);
        let station = &course.stations[meeting.station];
        let split = &plan.schedule.splits[meeting.station];
        let at = |elapsed| Moment::of(&plan.schedule, elapsed);
        let place = |station: usize| course.places[course.stations[station].place].name.clone();
        let out_at = out_at.filter(|at| *at <= meeting.station);
        let handover = meeting.handover;
        let handover = handover.and_then(|index| plan.packing.handovers.get(index));
        let water = handover.filter(|over| over.water_ml > 0.0);
        let air = plan.exposures.stations[meeting.station].likely;
        let ahead = meeting.station..next.map_or(course.stations.len(), |next| next.station);
        let changes = LampChangeFacts::all(view, plan).into_iter().zip(&plan.packing.lamp_changes);
        let lamp_changes = changes
            .filter(|(_, change)| ahead.contains(&change.station))
            .map(|(told, change)| match change.station == meeting.station {
                true => told.brief.clone(),
                false => told.words.clone(),
            })
            .collect();
    }

    /// The stretch of a pacer.
    pub struct StintFacts {
        /// The pacer.
        pub name: String = stint.name.clone(),
        /// The number of the station where they stop.
        pub until_number: String = number(course, stint.to),
        /// The station where they stop.
        pub until: String = course.stations[stint.to].name.clone(),
        /// The time to stand there ready: the early arrival, or that of the car they come in.
        pub ready: Moment = at(ready),
        /// Their likely departure.
        pub from: Moment = from.clone(),
        /// Their likely arrival.
        pub to: Moment = to.clone(),
        /// Those of the crew in whose car they come.
        pub brought_by: Vec<String> = brought_by,
        /// The time between.
        pub time: Measure = Measure::between(&from, &to),
        /// The distance.
        pub length: Measure =
            Measure::distance(view.units, official_m(stint.to) - official_m(stint.from)),
        /// True where any of it is in the dark for a late runner.
        pub dark: bool = LampFacts::between(view.race, meeting.likely, late).is_some(),
    } from fn of(view: &View<'_>, plan: &Plan, meeting: &Meeting, stint: &Stint) {
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
    }

    /// A place where crew and runner meet.
    pub struct SpotFacts {
        /// The way there.
        pub directions: Option<String> = notes.and_then(|noted| noted.directions.clone()),
        /// The place to leave the car.
        pub parking: Option<String> = notes.and_then(|noted| noted.parking.clone()),
        /// Whom to call there.
        pub phone: Option<String> = notes.and_then(|noted| noted.phone.clone()),
        /// Anything else that the crew noted.
        pub notes: Option<String> = notes.and_then(|noted| noted.notes.clone()),
        /// Latitude of the parking, of the station where nobody noted it; degrees.
        pub lat: f64 = lat,
        /// Its longitude, degrees.
        pub lon: f64 = lon,
        /// Both as printed, such as `46.77123, 11.65432`.
        pub coordinates: String = format!("{lat:.5}, {lon:.5}"),
        /// Both as an address that phones open (RFC 5870).
        pub geo: String = format!("geo:{lat:.5},{lon:.5}"),
        /// True where it is the parking and not the station.
        pub is_parking: bool = parking.is_some(),
    } from fn of(view: &View<'_>, station: usize) {
        let course = &view.race.course;
        let station: &Station = &course.stations[station];
        let place = &course.places[station.place].name;
        let notes = view.inputs.crew.as_ref().and_then(|crew| {
            let about = |name: &str| same_name(name, &station.name) || same_name(name, place);
            (crew.places.iter()).find(|noted| about(&noted.name.value))
        });
        let parking = notes.and_then(|noted| noted.coordinates_deg);
        let (lat, lon) = parking.unwrap_or(station.position_deg);
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

/// Such as `warm clothes stay on: cold as far as Pass`, and `warm clothes go with the runner: cold
/// from Alp to Pass, before you meet again`.
fn dress_ahead(
    view: &View<'_>,
    plan: &Plan,
    meeting: &Meeting,
    next: Option<&Meeting>,
) -> Vec<String> {
    let mut pickups = plan.packing.pickups.iter();
    let pickup = pickups.find(|pickup| pickup.station == meeting.station);
    // what begins before is said with the pick-up here
    let told_to = pickup.map_or(meeting.station, |pickup| pickup.until);
    let ahead = told_to..next.map_or(told_to, |next| next.station);
    let name = |station: usize| &view.race.course.stations[station].name;
    let cold = || plan.fueling.cold.iter();
    let goes_on = cold().find(|cold| {
        !cold.is_mild() && cold.from < meeting.station && meeting.station < cold.until
    });
    let stays = goes_on.map(|cold| {
        let (what, until) = (cold.name(), name(cold.until));
        format!("warm clothes stay on: {what} as far as {until}")
    });
    let begin: Vec<_> = cold().filter(|cold| ahead.contains(&cold.from)).collect();
    // who dresses for worse on the way has what a mild night asks for
    let is_said = |mild: &ColdStretch| {
        let mut worse = begin
            .iter()
            .filter(|cold| mild.is_mild() && !cold.is_mild());
        worse.any(|cold| cold.from <= mild.from && mild.until <= cold.until)
    };
    let begin = begin.iter().filter(|cold| !is_said(cold));
    let begin = begin.map(|cold| {
        let (from, until) = (name(cold.from), name(cold.until));
        format!("{} from {from} to {until}", cold.name())
    });
    let begin: Vec<String> = begin.collect();
    let goes = (!begin.is_empty()).then(|| {
        let begin = begin.join(", then ");
        format!("warm clothes go with the runner: {begin}, before you meet again")
    });
    stays.into_iter().chain(goes).collect()
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
    /// Such as `drive from Ponte Morlin unknown`.
    #[must_use]
    pub fn unknown_drive(&self) -> Option<String> {
        let after = self.after.as_ref()?;
        Some(format!("drive from {after} unknown"))
    }

    /// Every meeting of a plan in course order; the runner is likely out at `out_at`.
    pub(super) fn all(view: &View<'_>, plan: &Plan, out_at: Option<usize>) -> Vec<MeetingFacts> {
        let meetings = &plan.crew.meetings;
        let with_next = |(index, meeting): (usize, &Meeting)| {
            let before = index.checked_sub(1).map(|before| &meetings[before]);
            let next = meetings.get(index + 1);
            MeetingFacts::of(view, plan, (before, meeting, next), out_at)
        };
        meetings.iter().enumerate().map(with_next).collect()
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
