//! Findings of the plan about the race: results that a runner must know, not mistakes in
//! the files. A missed cutoff, a need above the carry capacity, a caution about heat.

mod kinds;
#[cfg(test)]
mod tests;

use crate::units::Phrase;

pub use kinds::{CautionKind, FindingKind};

/// The weight of a finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// Good to know.
    Note,
    /// Look at this before the race.
    Warning,
    /// The plan fails here: a cutoff is missed or a need cannot be carried.
    Failure,
}

/// The part of the plan that a finding is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum About {
    /// The whole race.
    Race,
    /// A station, by its index in course order.
    Station(usize),
    /// A segment, by its index in course order.
    Segment(usize),
}

/// One result worth a line.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// The sort of result.
    pub kind: FindingKind,
    /// Its weight.
    pub weight: Weight,
    /// Its subject; of several the worst.
    pub about: About,
    /// The others that it is about.
    pub also: Vec<About>,
    /// The result, with the numbers.
    pub says: Phrase,
    /// Ways out, each a short sentence; may be empty.
    pub ways_out: Vec<Phrase>,
}

/// Dangers to body and life, the gravest first: of findings of one weight these come before all
/// others.
const DANGERS: [FindingKind; 17] = [
    FindingKind::HeatBlack,
    FindingKind::ColdHarm,
    FindingKind::FluidAlarm,
    FindingKind::HeatRed,
    FindingKind::ColdWet,
    FindingKind::ColdWindChill,
    FindingKind::StormHours,
    FindingKind::CarryShort,
    FindingKind::FrozenDrink,
    FindingKind::HighGround,
    FindingKind::GearLost,
    FindingKind::NoLamp,
    FindingKind::LampHours,
    FindingKind::ColdNight,
    FindingKind::RidgeHours,
    FindingKind::HeatYellow,
    FindingKind::CaffeineRefused,
];

impl FindingKind {
    /// The place among dangers, the gravest at 0; what is none comes after all of them.
    #[must_use]
    pub fn danger(self) -> usize {
        let place = DANGERS.iter().position(|kind| *kind == self);
        place.unwrap_or(DANGERS.len())
    }
}

impl Finding {
    /// A finding with no way out named yet.
    #[must_use]
    pub fn new(kind: FindingKind, weight: Weight, about: About, says: Phrase) -> Self {
        Finding {
            kind,
            weight,
            about,
            also: Vec::new(),
            says,
            ways_out: Vec::new(),
        }
    }

    /// A finding about the whole race with no way out named yet.
    #[must_use]
    pub fn of_race(kind: FindingKind, weight: Weight, says: Phrase) -> Self {
        Finding::new(kind, weight, About::Race, says)
    }

    /// With others that it is about besides.
    #[must_use]
    pub fn also(mut self, others: impl IntoIterator<Item = About>) -> Self {
        self.also.extend(others);
        self
    }

    /// Everything that it is about.
    pub fn subjects(&self) -> impl Iterator<Item = About> {
        std::iter::once(self.about).chain(self.also.iter().copied())
    }

    /// True for the same sort of result with `about` among its subjects.
    #[must_use]
    pub fn is_same(&self, kind: FindingKind, about: About) -> bool {
        self.kind == kind && self.subjects().any(|at| at == about)
    }

    /// With one more way out.
    #[must_use]
    pub fn way_out(mut self, way: Phrase) -> Self {
        self.ways_out.push(way);
        self
    }
}

/// A caution that is printed whenever its trigger holds; the words defer to race rules, local
/// authorities and licensed practitioners.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Caution {
    /// Its subject.
    pub kind: CautionKind,
    /// The condition on which it is printed, or "always".
    pub when: &'static str,
    /// The advice.
    pub text: &'static str,
}

/// True if any of these says that the plan fails.
#[must_use]
pub fn fail<'a>(findings: impl IntoIterator<Item = &'a Finding>) -> bool {
    findings
        .into_iter()
        .any(|finding| finding.weight == Weight::Failure)
}
