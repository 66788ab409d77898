//! Unknowns of food and drink: drinking in the heat, carbohydrate, sodium and caffeine.

use crate::inputs::RunRecord;
use crate::units::{Phrase, Quantity};

use super::demands::PlanAndRecord;
use super::{Cost, Cover, Unknown, UnknownKind, tests};

/// From this share of the race's rate on, a run tests it. Our choice.
const TESTS_FROM: f64 = 0.5;
/// From this share on it tests it in full: rates noted on a run are no more exact. Our choice.
pub(super) const FULL_FROM: f64 = 0.9;
/// A rate says something about a stomach when it is held this long, hours: the reference rehearsal
/// of trained guts (Costa and others 2017, Appl. Physiol. Nutr. Metab.) and our choice.
const HELD_H: f64 = 3.0;
/// A run this much cooler still tests drinking in the heat, degrees. Our choice.
const AS_WARM_C: f64 = 2.0;

impl PlanAndRecord<'_> {
    pub(super) fn intake(&self) -> Vec<Unknown> {
        let mut all = vec![self.carbs(), self.sodium()];
        all.extend(self.drinking());
        all.extend(self.caffeine());
        all.extend(self.foods());
        all.retain(|one| one.share > 0.0);
        all
    }

    /// Hours that a rate has to be held: 3, or a shorter race.
    fn held_h(&self) -> f64 {
        HELD_H.min(self.hours())
    }

    fn held(&self) -> Cover {
        Cover {
            least_h: Some(self.held_h()),
            ..Cover::default()
        }
    }

    /// Tests of a rate that is to be held.
    fn rate(&self, wanted: f64, of: impl Fn(&RunRecord) -> Option<f64>) -> (u32, bool) {
        let reaches = |run: &RunRecord, share: f64| of(run).is_some_and(|r| r >= share * wanted);
        tests(
            self.runs,
            |run| reaches(run, TESTS_FROM),
            |run| reaches(run, FULL_FROM) && run.hours() >= self.held_h(),
        )
    }

    fn carbs(&self) -> Unknown {
        let wanted = self.mean_per_h(|need| need.carbs_g);
        let (tested, at_full) = self.rate(wanted, |r| r.intake.carbs_g.map(|g| r.per_h(g)));
        Unknown {
            kind: UnknownKind::Carbs,
            what: "carbohydrate".to_owned(),
            wants: Phrase::new(format!("{wanted:.0} g/h")),
            tested,
            at_full,
            cost: Cost::TheRace,
            share: shared(wanted),
            covered_by: self.held(),
        }
    }

    fn sodium(&self) -> Unknown {
        let wanted = self.mean_per_h(|need| need.sodium_mg);
        let (tested, at_full) = self.rate(wanted, |r| r.intake.sodium_mg.map(|mg| r.per_h(mg)));
        Unknown {
            kind: UnknownKind::Sodium,
            what: "sodium".to_owned(),
            wants: Phrase::new(format!("{wanted:.0} mg/h")),
            tested,
            at_full,
            cost: Cost::Hours,
            share: shared(wanted),
            covered_by: self.held(),
        }
    }

    /// Drinking where the air is warmest, or where the plan asks for most without a forecast.
    fn drinking(&self) -> Option<Unknown> {
        let rate = |need: &crate::fueling::SegmentNeed| need.fluid_ml / need.hours.max(1e-9);
        let warm = |need: &crate::fueling::SegmentNeed| need.temp_c.unwrap_or(f64::NEG_INFINITY);
        let segments = self.plan.fueling.segments.iter();
        let most = segments
            .max_by(|a, b| (warm(a).total_cmp(&warm(b))).then(rate(a).total_cmp(&rate(b))))?;
        let (wanted, warm_c) = (rate(most), most.temp_c);
        let as_warm = |run: &RunRecord| match (warm_c, run.sky.temp_c) {
            (Some(race), Some(own)) => own >= race - AS_WARM_C,
            (Some(_), None) => false,
            (None, _) => true,
        };
        let drank = |run: &RunRecord, share: f64| {
            run.fluid_ml_per_h()
                .is_some_and(|own| own >= share * wanted)
        };
        let (tested, at_full) = tests(
            self.runs,
            |run| as_warm(run) && drank(run, TESTS_FROM),
            |run| as_warm(run) && drank(run, FULL_FROM),
        );
        let amount = Phrase::new(Quantity::VolumeRate { ml_per_h: wanted });
        let wants = match warm_c {
            Some(c) => amount.and(" at ").and(Quantity::Temperature { c }),
            None => amount,
        };
        Some(Unknown {
            kind: UnknownKind::Drinking,
            what: "drinking".to_owned(),
            wants,
            tested,
            at_full,
            cost: Cost::TheRace,
            share: shared(wanted),
            covered_by: Cover {
                warm_c: warm_c.map(|c| c - AS_WARM_C),
                ..Cover::default()
            },
        })
    }

    fn caffeine(&self) -> Option<Unknown> {
        let most = self.plan.packing.caffeine.iter().map(|share| share.mg);
        let wanted = most.fold(0.0, f64::max);
        let took = |run: &RunRecord, share: f64| {
            run.intake
                .caffeine_mg
                .is_some_and(|mg| mg > 0.0 && mg >= share * wanted)
        };
        let (tested, at_full) = tests(self.runs, |run| took(run, 0.0), |run| took(run, FULL_FROM));
        (wanted > 0.0).then(|| Unknown {
            kind: UnknownKind::Caffeine,
            what: "caffeine".to_owned(),
            wants: Phrase::new(format!("{wanted:.0} mg between stations")),
            tested,
            at_full,
            cost: Cost::Hours,
            share: self.share_of(|index| {
                (self.plan.packing.caffeine.get(index)).is_some_and(|share| share.mg > 0.0)
            }),
            covered_by: Cover::default(),
        })
    }

    /// Share of the race's hours on segments that hold something.
    pub(super) fn share_of(&self, holds: impl Fn(usize) -> bool) -> f64 {
        let segments = self.plan.fueling.segments.iter().enumerate();
        let hours: f64 = (segments.filter(|(index, _)| holds(*index)))
            .map(|(_, need)| need.hours)
            .sum();
        (hours / self.hours().max(f64::MIN_POSITIVE)).min(1.0)
    }
}

/// All of the race, where anything is asked for.
fn shared(wanted: f64) -> f64 {
    if wanted > 0.0 { 1.0 } else { 0.0 }
}
