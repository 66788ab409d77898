//! Facts of nights: when a lamp is needed, and when a crew may sleep.

use crate::conditions::SunEventKind;
use crate::crew::Meeting;
use crate::packing::LampChange;
use crate::plan::{Plan, Race};
use crate::time::{Elapsed, RaceClock, S_PER_HOUR};

use super::View;
use super::race::number;
use super::value::{Measure, Moment, record};

record! {
    /// The lamp, where it is needed before the crew sees a late runner again.
    pub struct LampFacts {
        /// The time it goes on; nothing where it is dark when the likely runner comes in.
        pub on: Option<Moment>,
        /// The time it goes off; nothing where no dawn comes.
        pub off: Option<Moment>,
    }

    /// A battery that goes in, or the next lamp, before what burns is empty.
    pub struct LampChangeFacts {
        /// The number of the station to do it at.
        pub number: String = number(&view.race.course, change.station),
        /// The station.
        pub station: String = view.race.course.stations[change.station].name.clone(),
        /// The likely arrival there.
        pub at: Moment = Moment::of(&plan.schedule, likely),
        /// The piece that goes on.
        pub to: String = change.to.clone(),
        /// Life of what burned before.
        pub lasts: Measure = Measure::time(Elapsed::from_s(change.lasted_h * S_PER_HOUR)),
        /// True where only a late runner needs it.
        pub only_late: bool = change.only_late,
        /// True where it goes on when the lamp dims on the way from there.
        pub on_the_way: bool = change.on_the_way,
        /// Life that is left of what comes out, where it is to be kept and goes back in later.
        pub keep: Option<Measure> = (change.keep)
            .then(|| Measure::time(Elapsed::from_s(half_hours(change.left_h) * S_PER_HOUR))),
        /// The change in as few words as a card has room for.
        pub brief: String = format!("{goes_in}{place}{kept}"),
        /// The change with its time and its reason.
        pub words: String = format!(
            "{goes_in} {from} {}{when}: the one before lasts {} h{cold}{kept}",
            view.race.course.stations[change.station].name,
            change.lasted_h
        ),
    } from fn of(view: &View<'_>, plan: &Plan, change: &LampChange) {
        let likely = plan.schedule.splits[change.station].likely;
        let late = if change.only_late { ", if late," } else { "" };
        let goes_in = format!("change to {}{late}", change.to);
        let cold = match change.is_cold {
            true => ", less in the cold: keep the next one warm under the jacket",
            false => "",
        };
        let (place, from) = match change.on_the_way {
            true => (" when the lamp dims", "when the lamp dims on the way from"),
            false => ("", "at"),
        };
        let when = match change.on_the_way {
            true => String::new(),
            false => format!(", likely {}", Moment::of(&plan.schedule, likely).text),
        };
        let kept = kept(change);
    }

    /// A wait of the crew that is long enough to sleep in.
    pub struct SleepFacts {
        /// The time the crew is set up there.
        pub from: Moment,
        /// The likely arrival.
        pub to: Moment,
        /// The early arrival, for which somebody is awake.
        pub wake: Moment,
        /// True where one person waits alone.
        pub alone: bool,
    }
}

/// A dusk and the dawn after it, where one comes.
#[derive(Clone, Copy, Debug)]
pub(super) struct Night {
    pub(super) dusk: Elapsed,
    pub(super) dawn: Option<Elapsed>,
}

/// The nights of a race, by the same dusks and dawns for everybody.
pub(super) fn nights(race: &Race) -> Vec<Night> {
    let Some(clock) = &race.clock else {
        return Vec::new();
    };
    let zone = clock.start().timezone();
    let mut nights = Vec::new();
    let mut dusk = race.conditions.is_dark(0.0, 0.0).then_some(Elapsed::ZERO);
    for event in race.conditions.sun_events() {
        let at = clock.elapsed_at(event.instant.with_timezone(&zone));
        match event.kind {
            SunEventKind::Dusk => dusk = Some(at),
            SunEventKind::Dawn => nights.extend(dusk.take().map(|dusk| Night {
                dusk,
                dawn: Some(at),
            })),
            SunEventKind::Sunrise | SunEventKind::Sunset => {}
        }
    }
    nights.extend(dusk.map(|dusk| Night { dusk, dawn: None }));
    nights
}

/// The order to keep what comes out, such as `; keep the old one: about 4 h left, back in when the
/// lamp dims`.
fn kept(change: &LampChange) -> String {
    if !change.keep {
        return String::new();
    }
    let back = "back in when the lamp dims";
    match half_hours(change.left_h) {
        left_h if left_h > 0.0 => format!("; keep the old one: about {left_h} h left, {back}"),
        _ => format!("; keep the old one: {back}"),
    }
}

/// Hours of a battery to the half hour below, for nobody counts on minutes of it.
fn half_hours(hours: f64) -> f64 {
    (hours * 2.0).floor() / 2.0
}

impl LampChangeFacts {
    /// Every change of a plan, in course order.
    pub(super) fn all(view: &View<'_>, plan: &Plan) -> Vec<LampChangeFacts> {
        let changes = plan.packing.lamp_changes.iter();
        changes
            .map(|change| LampChangeFacts::of(view, plan, change))
            .collect()
    }
}

impl LampFacts {
    /// The first night between two times.
    pub(super) fn between(race: &Race, from: Elapsed, until: Elapsed) -> Option<LampFacts> {
        let is_in = |night: &Night| night.dusk < until && night.dawn.is_none_or(|dawn| dawn > from);
        let night = nights(race).into_iter().find(is_in)?;
        let at = |time| Moment::on(race.clock.as_ref(), time);
        Some(LampFacts {
            on: (night.dusk > from).then(|| at(night.dusk)),
            off: night.dawn.map(at),
        })
    }

    /// Such as `on from Sat 18:35 to Sun 06:07`.
    #[must_use]
    pub fn words(&self) -> String {
        match (&self.on, &self.off) {
            (Some(on), Some(off)) => format!("on from {} to {}", on.text, off.text),
            (Some(on), None) => format!("on from {}", on.text),
            (None, Some(off)) => format!("on until {}", off.text),
            (None, None) => "on".to_owned(),
        }
    }
}

/// The least wait that is worth lying down for. Our choice.
pub(super) const WORTH_SLEEPING: Elapsed = Elapsed::from_secs(150 * 60);

impl SleepFacts {
    /// The wait at a meeting, where enough of it lies between midnight and dawn.
    pub(super) fn of(race: &Race, meeting: &Meeting, early: Elapsed) -> Option<SleepFacts> {
        let clock: &RaceClock = race.clock.as_ref()?;
        // nobody lies down who may have hours to drive
        meeting.drive_s?;
        let (from, to) = (meeting.be_there, meeting.likely);
        let there = clock.at(to);
        let midnight = there.date_naive().and_hms_opt(0, 0, 0)?;
        let midnight = midnight.and_local_timezone(there.timezone()).earliest()?;
        let midnight = clock.elapsed_at(midnight);
        let dawn = nights(race).into_iter().filter_map(|night| night.dawn);
        let dawn = dawn.into_iter().find(|dawn| *dawn > midnight)?;
        let at = |time| Moment::on(Some(clock), time);
        (to.min(dawn) - from.max(midnight) > WORTH_SLEEPING).then(|| SleepFacts {
            from: at(from),
            to: at(to),
            wake: at(early),
            alone: meeting.driving.len() < 2,
        })
    }

    /// Such as `Sat 23:46 to Sun 02:46, in turns, one awake from 00:06: early runner`.
    #[must_use]
    pub fn words(&self) -> String {
        let (to, wake) = (self.to.beside(&self.from), self.wake.beside(&self.to));
        let (from, awake) = (&self.from.text, self.awake());
        format!("{from} to {to}, {awake} {wake}: early runner")
    }

    /// What stands before the time somebody is awake from.
    #[must_use]
    pub fn awake(&self) -> &'static str {
        match self.alone {
            true => "with an alarm at",
            false => "in turns, one awake from",
        }
    }
}
