//! What an output tells of a plan, in a form that all of them can be brought into.

use std::collections::BTreeMap;
use std::fmt::Debug;

use sutler::facts::{Facts, MeetingFacts, Moment, ServingFacts};
use sutler::reports::View;
use sutler::time::Elapsed;
use sutler::units::Units;

use crate::support::race::{self, Planned};

/// A plan with its facts, and the texts that outputs make of it.
pub struct Shown<'a> {
    /// For outputs that still read plans.
    #[allow(dead_code, reason = "readers of exports use it")]
    pub view: View<'a>,
    pub facts: Facts,
    /// Printed times, each with its minute.
    clocks: BTreeMap<String, Vec<i64>>,
}

/// Things by where they are told of; words as printed.
pub type Things = Option<Vec<(String, Vec<String>)>>;

/// What an output tells; `None` where it does not speak of it.
#[derive(Debug, Default, PartialEq)]
pub struct Told {
    /// Station and minute of the planned arrival.
    pub arrivals: Option<Vec<(String, i64)>>,
    /// Station and minute of the cutoff.
    pub cutoffs: Option<Vec<(String, i64)>>,
    /// Station and how the flasks are filled on leaving it.
    pub fills: Things,
    /// Station and the flasks drawn with something in them: how much of what.
    pub drawn: Things,
    /// Station and the fluid it is left with, millilitres.
    pub carried: Option<Vec<(String, i64)>>,
    /// Station and what to eat there, by the watch until the next, later and in reserve.
    pub by_watch: Things,
    /// Station and the servings had there or carried from it.
    pub taken: Things,
    /// Place and what goes into its bag.
    pub bags: Things,
    /// Station and minutes: to be there, likely, late, to drive off by.
    pub meetings: Option<Vec<(String, [Option<i64>; 4])>>,
    /// Station and what the crew hands over.
    pub handed: Things,
}

impl<'a> Shown<'a> {
    pub fn of(planned: &'a Planned, units: Units) -> Shown<'a> {
        let view = planned.view(units);
        let clock = view.race.clock;
        let mut clocks: BTreeMap<String, Vec<i64>> = BTreeMap::new();
        // two days around the race hold every time that is printed
        for minute in -600..=4000 {
            let elapsed = Elapsed::from_secs(minute * 60);
            let moment = Moment::on(clock.as_ref(), elapsed);
            clocks.entry(moment.clock).or_default().push(minute);
            clocks.entry(moment.text).or_default().push(minute);
        }
        Shown {
            facts: planned.facts(units),
            view,
            clocks,
        }
    }

    /// The minute of a printed time, of several the one closest to another.
    #[track_caller]
    pub fn minute(&self, printed: &str, near: i64) -> i64 {
        let all = self.clocks.get(printed);
        let all = all.unwrap_or_else(|| panic!("no time: `{printed}`"));
        *all.iter()
            .min_by_key(|minute| (*minute - near).abs())
            .unwrap()
    }

    /// A report in a format, nothing wrapped.
    pub fn report(&self, name: &str, format: &str) -> String {
        race::report(&self.facts, name, format)
    }
}

/// The printed minute of a moment.
pub fn minute(elapsed_s: i64) -> i64 {
    Elapsed::from_secs(elapsed_s).to_minute().as_secs() / 60
}

fn of_moment(moment: &Moment) -> i64 {
    minute(moment.elapsed.as_secs())
}

/// Servings as printed, in the order of the alphabet: outputs may order them as they like.
pub fn sorted(mut words: Vec<String>) -> Vec<String> {
    words.sort();
    words
}

fn words<'a>(servings: impl IntoIterator<Item = &'a ServingFacts>) -> Vec<String> {
    sorted(servings.into_iter().map(|one| one.text.clone()).collect())
}

impl Told {
    /// What the facts tell.
    pub fn of(facts: &Facts) -> Told {
        let plan = facts.planned().unwrap();
        let splits = plan.splits.iter();
        let limits = splits.clone().filter_map(|split| {
            let limit = split.cutoff.as_ref()?;
            Some((split.station.clone(), of_moment(limit)))
        });
        let pickups = plan.pickups.iter();
        let filled = pickups.clone().filter_map(|pickup| {
            let words = pickup.flasks_words.clone()?;
            Some((pickup.station.clone(), vec![words]))
        });
        let drawn = pickups.clone().map(|pickup| {
            let full = pickup.flasks.iter().filter_map(|flask| {
                let holds = flask.holds.as_ref()?;
                let quarters = flask.fluid.value / flask.size.value * 4.0;
                let fill = ["", "¼", "½", "¾", "full"][quarters.round().max(1.0) as usize];
                Some(format!("{fill} {holds}"))
            });
            (pickup.station.clone(), sorted(full.collect()))
        });
        let carried = pickups.clone().filter(|pickup| !pickup.flasks.is_empty());
        let carried = carried.map(|pickup| (pickup.station.clone(), pickup.fluid.value as i64));
        let by_watch = pickups.clone().map(|pickup| {
            let all = pickup
                .here
                .iter()
                .chain(&pickup.for_later)
                .chain(&pickup.reserve);
            let mut all: Vec<String> = all.map(|serving| serving.text.clone()).collect();
            all.push(pickup.eat.clone());
            (pickup.station.clone(), sorted(all))
        });
        let taken = pickups.map(|pickup| {
            let all = pickup.here.iter().chain(&pickup.take);
            (pickup.station.clone(), words(all.chain(&pickup.for_later)))
        });
        let bags = plan.bags.iter().map(|bag| {
            let mut all = words(&bag.servings);
            all.extend(bag.gear.clone());
            (bag.place.clone(), sorted(all))
        });
        let handed = plan.crew.iter().map(|meeting| {
            let mut all = words(&meeting.servings);
            all.extend(meeting.gear.clone());
            (meeting.station.clone(), sorted(all))
        });
        Told {
            arrivals: Some(
                splits
                    .map(|s| (s.station.clone(), of_moment(&s.arrival)))
                    .collect(),
            ),
            cutoffs: Some(limits.collect()),
            fills: Some(filled.collect()),
            drawn: something(drawn.collect()),
            carried: Some(carried.collect()),
            by_watch: something(by_watch.collect()),
            taken: something(taken.collect()),
            bags: something(bags.collect()),
            meetings: Some(plan.crew.iter().map(meeting).collect()),
            handed: something(handed.collect()),
        }
    }

    /// Where another output tells it otherwise, of what it tells.
    pub fn differences(&self, other: &Told) -> Vec<String> {
        [
            differs(&self.arrivals, &other.arrivals, "arrivals"),
            differs(&self.cutoffs, &other.cutoffs, "cutoffs"),
            differs(&self.fills, &other.fills, "fills"),
            differs(&self.drawn, &other.drawn, "flasks drawn"),
            differs(&self.carried, &other.carried, "fluid carried"),
            differs(&self.by_watch, &other.by_watch, "food by the watch"),
            differs(&self.taken, &other.taken, "servings"),
            differs(&self.bags, &other.bags, "bags"),
            differs(&self.meetings, &other.meetings, "meetings"),
            differs(&self.handed, &other.handed, "hand-overs"),
        ]
        .concat()
    }
}

/// Without those who have nothing, of whom some outputs are silent.
pub fn something(list: Vec<(String, Vec<String>)>) -> Things {
    let full = list.into_iter().filter(|(_, things)| !things.is_empty());
    Some(full.collect())
}

fn meeting(meeting: &MeetingFacts) -> (String, [Option<i64>; 4]) {
    let times = [
        Some(&meeting.be_there),
        Some(&meeting.likely),
        Some(&meeting.late),
        meeting.drive_off_by.as_ref(),
    ];
    let minutes = times.map(|time| time.map(of_moment));
    (meeting.station.clone(), minutes)
}

fn differs<T: PartialEq + Debug>(
    facts: &Option<Vec<T>>,
    other: &Option<Vec<T>>,
    of: &str,
) -> Vec<String> {
    let (Some(facts), Some(other)) = (facts, other) else {
        return Vec::new();
    };
    let pairs = facts.iter().zip(other).filter(|(one, told)| one != told);
    let mut all: Vec<String> = pairs
        .map(|(one, told)| format!("{of}: {told:?}, the facts {one:?}"))
        .collect();
    if facts.len() != other.len() {
        all.push(format!("{of}: {other:#?}, the facts {facts:#?}"));
    }
    all
}
