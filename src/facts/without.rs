//! Facts of losses: what changes where something is not there after all.

use crate::findings::Finding;
use crate::losses::named;
use crate::packing::{Serving, Source};
use crate::plan::Plan;
use crate::replan::{Change, between};

use super::View;
use super::flasks::flasks_words;
use super::found::FindingFacts;
use super::packs::ServingFacts;
use super::race::number;
use super::value::{Measure, Moment, record};

record! {
    /// The plan without something, beside the plan with it.
    pub struct WithoutFacts {
        /// The loss, as typed.
        pub losses: Vec<String>,
        /// True where that is found out on the day, where it was to be; else it is known before the
        /// start.
        pub found_out: bool,
        /// Changes, station by station.
        pub changes: Vec<ChangeFacts>,
        /// Findings that the plan with it does not have.
        pub new_findings: Vec<FindingFacts>,
    }

    /// Changes at one station.
    pub struct ChangeFacts {
        /// The station's number.
        pub number: String = number(course, change.station),
        /// The station.
        pub station: String = course.stations[change.station].name.clone(),
        /// The next supply point.
        pub until: String = course.stations[change.until].name.clone(),
        /// The planned departure.
        pub departure: Moment = Moment::of(&now.schedule, leave),
        /// Fluid to leave with as planned before.
        pub planned_fluid: Measure = Measure::volume(units, change.fluid_ml.0),
        /// Fluid to leave with now.
        pub fluid: Measure = Measure::volume(units, change.fluid_ml.1),
        /// The same flask by flask, in words.
        pub flasks_words: Option<String> =
            pickup.and_then(|pickup| flasks_words(pickup, units, &view.inputs.pantry)),
        /// Servings to take besides.
        pub more: Vec<ServingFacts> = servings(&change.more),
        /// Servings to leave there.
        pub less: Vec<ServingFacts> = servings(&change.less),
        /// Servings and gear as in the plan, from elsewhere.
        pub instead: Vec<InsteadFacts> = InsteadFacts::all(change, &servings),
        /// Servings that are asked for and packed nowhere.
        pub not_packed: Vec<ServingFacts> = servings(&change.not_packed),
        /// Servings that are not there after all.
        pub lost: Vec<ServingFacts> = servings(&change.lost),
        /// Gear to put on or take up besides.
        pub gear_more: Vec<String> = change.gear_more.clone(),
        /// Gear not needed from here.
        pub gear_less: Vec<String> = change.gear_less.clone(),
        /// Gear that is not there after all.
        pub gear_lost: Vec<String> = change.gear_lost.clone(),
    } from pub(crate) fn of(view: &View<'_>, now: &Plan, change: &Change) {
        let (course, units) = (&view.race.course, view.units);
        let servings =
            |list: &[Serving]| ServingFacts::all(list, change.station, &view.inputs.pantry);
        let leave = now.schedule.splits[change.station].departure;
        let mut pickups = now.packing.pickups.iter();
        let pickup = pickups.find(|pickup| pickup.station == change.station);
    }
}

record! {
    /// Things that come from elsewhere than planned.
    pub struct InsteadFacts {
        /// `start`, `station`, `bag` or `crew`: where it comes from now.
        pub source: &'static str,
        /// Servings.
        pub servings: Vec<ServingFacts>,
        /// Gear.
        pub gear: Vec<String>,
    }
}

impl WithoutFacts {
    /// The changes that a loss brings; nothing where nothing is lost.
    pub(super) fn of(view: &View<'_>) -> Option<WithoutFacts> {
        let (before, now) = (view.before?, view.plans.first()?);
        Some(WithoutFacts {
            losses: named(view.race),
            found_out: view.race.losses.unforeseen,
            changes: (between(before, now).iter())
                .map(|change| ChangeFacts::of(view, now, change))
                .collect(),
            new_findings: new_findings(view, before, now),
        })
    }
}

impl InsteadFacts {
    fn all(
        change: &Change,
        servings: &dyn Fn(&[Serving]) -> Vec<ServingFacts>,
    ) -> Vec<InsteadFacts> {
        let sources = [Source::Crew, Source::Bag, Source::Station, Source::Start];
        let of = |source: Source| {
            let from = |serving: &&Serving| serving.source == source;
            let moved: Vec<Serving> = change.instead.iter().filter(from).cloned().collect();
            let gear = change.gear_instead.iter();
            let gear = gear.filter(|(_, from)| *from == source);
            InsteadFacts {
                source: source.name(),
                servings: servings(&moved),
                gear: gear.map(|(name, _)| name.clone()).collect(),
            }
        };
        let all = sources.map(of).into_iter();
        all.filter(|one| !one.servings.is_empty() || !one.gear.is_empty())
            .collect()
    }
}

/// Findings of one plan that the other does not have, whatever their numbers.
fn new_findings(view: &View<'_>, before: &Plan, now: &Plan) -> Vec<FindingFacts> {
    let known = before.findings();
    let is_new = |finding: &Finding| {
        let mut subjects = finding.subjects();
        subjects.any(|about| {
            let mut known = known.iter();
            let own = known.find(|own| own.is_same(finding.kind, about));
            own.is_none_or(|own| own.weight < finding.weight)
        })
    };
    FindingFacts::those(view, now, is_new)
}
