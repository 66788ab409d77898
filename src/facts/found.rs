//! Facts of judgement: what the plan found, the cautions that go with it, and what is unknown.

use crate::course::Course;
use crate::findings::{About, Caution, Finding, Weight};
use crate::plan::Plan;
use crate::units::{Phrase, Units};
use crate::unknowns::Unknown;

use super::View;
use super::race::number;
use super::value::record;

record! {
    /// A finding: something the plan says about the race, with the ways out.
    pub struct FindingFacts {
        /// Its kind, such as `cutoff-missed`.
        pub kind: &'static str = finding.kind.name(),
        /// `note`, `warning` or `failure`.
        pub weight: &'static str = match finding.weight {
            Weight::Note => "note",
            Weight::Warning => "warning",
            Weight::Failure => "failure",
        },
        /// `schedule`, `packing`, `fueling` or `crew`: who found it.
        pub stage: &'static str = stage,
        /// The station it is about, or the station that its segment leaves.
        pub station: Option<String> = station.map(|station| course.stations[station].name.clone()),
        /// That station's number.
        pub number: Option<String> = station.map(|station| number(course, station)),
        /// The finding in words.
        pub text: String = finding.says.show(units),
        /// Ways out.
        pub ways_out: Vec<String> = finding.ways_out.iter().map(|way| way.show(units)).collect(),
    } from pub(crate) fn of(
        course: &Course,
        finding: &Finding,
        stage: &'static str,
        units: Units,
    ) {
        let station = match finding.about {
            About::Race => None,
            About::Station(station) => Some(station),
            // a segment is called by the station it leaves
            About::Segment(segment) => Some(segment),
        };
        let station = station.filter(|station| *station < course.stations.len());
    }

    /// A caution, printed whenever its trigger holds.
    pub struct CautionFacts {
        /// Its kind, such as `over-drinking`.
        pub kind: &'static str,
        /// The cases in which it is printed.
        pub when: &'static str,
        /// The advice.
        pub text: &'static str,
    }

    /// An unknown: a thing planned for race day that too few long runs have tested.
    pub struct UnknownFacts {
        /// Its kind.
        pub kind: &'static str,
        /// The thing.
        pub what: String,
        /// The demand of the race.
        pub wants: String,
        /// Long runs that tested it.
        pub tested_runs: u32,
        /// True where one of them tested it as the race asks for it.
        pub tested_in_full: bool,
        /// Its tests so far, in words.
        pub tested: String,
        /// The cost of failing.
        pub can_cost: &'static str,
        /// Share of the race that it concerns.
        pub share_of_race: f64,
        /// A long run that tests it in full.
        pub covered_by: CoverFacts,
    }

    /// A long run that tests a thing in full.
    pub struct CoverFacts {
        /// Of this many hours or more.
        pub least_h: Option<f64>,
        /// With this many hours in the dark.
        pub dark_h: Option<f64>,
        /// In air so warm, degrees Celsius.
        pub warm_c: Option<f64>,
        /// With such a climb in one go, metres.
        pub climb_m: Option<f64>,
        /// With such a descent in one go, metres.
        pub descent_m: Option<f64>,
        /// `cold`, `rain` or `sun`.
        pub weather: Option<&'static str>,
        /// With this many servings within three hours.
        pub servings_in_3h: Option<f64>,
        /// True where with a stop laid out.
        pub laid_out_stop: bool,
        /// All of it in words.
        pub words: String,
    }
}

impl FindingFacts {
    /// Everything a plan found, the heaviest first, of each weight dangers first, then in course
    /// order.
    pub(crate) fn all(view: &View<'_>, plan: &Plan) -> Vec<FindingFacts> {
        FindingFacts::those(view, plan, |_| true)
    }

    /// Those of a plan's findings that are wanted, the heaviest first.
    pub(super) fn those(
        view: &View<'_>,
        plan: &Plan,
        wanted: impl Fn(&Finding) -> bool,
    ) -> Vec<FindingFacts> {
        let stages = [
            ("schedule", &plan.schedule.findings),
            ("packing", &plan.packing.findings),
            ("fueling", &plan.fueling.findings),
            ("crew", &plan.crew.findings),
        ];
        let mut all: Vec<(&'static str, &Finding)> = stages
            .into_iter()
            .flat_map(|(stage, findings)| findings.iter().map(move |finding| (stage, finding)))
            .collect();
        all.retain(|(_, finding)| wanted(finding));
        all.sort_by_key(|(_, finding)| {
            let weight = std::cmp::Reverse(finding.weight);
            (weight, finding.kind.danger(), finding.about)
        });
        let course = &view.race.course;
        all.into_iter()
            .map(|(stage, finding)| FindingFacts::of(course, finding, stage, view.units))
            .collect()
    }

    /// True where it says that the plan fails.
    #[must_use]
    pub fn fails(&self) -> bool {
        self.weight == "failure"
    }
}

impl CautionFacts {
    /// Cautions as facts.
    #[must_use]
    pub fn all(cautions: &[Caution]) -> Vec<CautionFacts> {
        let of = |caution: &Caution| CautionFacts {
            kind: caution.kind.name(),
            when: caution.when,
            text: caution.text,
        };
        cautions.iter().map(of).collect()
    }
}

impl UnknownFacts {
    /// Unknowns as facts.
    pub(crate) fn all(unknowns: &[Unknown], units: Units) -> Vec<UnknownFacts> {
        let of = |one: &Unknown| UnknownFacts {
            kind: one.kind.name(),
            what: one.what.clone(),
            wants: Phrase::show(&one.wants, units),
            tested_runs: one.tested,
            tested_in_full: one.at_full,
            tested: crate::unknowns::words::tested(one),
            can_cost: one.cost.words(),
            share_of_race: one.share,
            covered_by: CoverFacts {
                least_h: one.covered_by.least_h,
                dark_h: one.covered_by.dark_h,
                warm_c: one.covered_by.warm_c,
                climb_m: one.covered_by.climb_m,
                descent_m: one.covered_by.descent_m,
                weather: one.covered_by.weather,
                servings_in_3h: one.covered_by.servings_in_3h,
                laid_out_stop: one.covered_by.laid_out_stop,
                words: crate::unknowns::words::covered(one, units),
            },
        };
        unknowns.iter().map(of).collect()
    }
}
