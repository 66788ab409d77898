//! Unknowns of the legs: hours, the longest climb and descent, the night.

use crate::course::longest_climb_and_descent_m;
use crate::inputs::RunRecord;
use crate::time::{Elapsed, S_PER_HOUR};
use crate::units::{Phrase, Quantity};

use super::demands::PlanAndRecord;
use super::{Cost, Cover, Unknown, UnknownKind, tests};

/// From this share of what the race holds on, a run tests it. Our choice.
const TESTS_FROM: f64 = 0.5;
/// From this share on it tests it in full. Our choice.
const FULL_FROM: f64 = 0.9;
/// Climbs and descents of less than this are on every run, metres. Our choice.
const LEAST_M: f64 = 50.0;
/// Longer in the dark than this nobody is asked to rehearse, hours. Our choice.
const LONGEST_DARK_H: f64 = 3.0;
/// Less darkness than this is no night, hours.
const LEAST_DARK_H: f64 = 0.25;

impl PlanAndRecord<'_> {
    pub(super) fn moving(&self) -> Vec<Unknown> {
        let heights = &self.race.course.profile.elevation_m;
        let (climb_m, descent_m) = longest_climb_and_descent_m(heights);
        let (up_share, down_share) = self.shares_up_and_down();
        let climb = self.against(climb_m, |run| run.ground.longest_climb_m);
        let descent = self.against(descent_m, |run| run.ground.longest_descent_m);
        let in_one_go = |m| Phrase::new(Quantity::Height { m }).and(" in one go");
        let climb = Unknown {
            kind: UnknownKind::Climb,
            what: "longest climb".to_owned(),
            wants: in_one_go(climb_m),
            tested: climb.0,
            at_full: climb.1,
            cost: Cost::Hours,
            share: up_share,
            covered_by: Cover {
                climb_m: Some(FULL_FROM * climb_m),
                ..Cover::default()
            },
        };
        let descent = Unknown {
            kind: UnknownKind::Descent,
            what: "longest descent".to_owned(),
            wants: in_one_go(descent_m),
            tested: descent.0,
            at_full: descent.1,
            cost: Cost::TheRace,
            share: down_share,
            covered_by: Cover {
                descent_m: Some(FULL_FROM * descent_m),
                ..Cover::default()
            },
        };
        let mut all = vec![self.hours_on_feet()];
        all.extend(self.night());
        all.extend((climb_m >= LEAST_M).then_some(climb));
        all.extend((descent_m >= LEAST_M).then_some(descent));
        all
    }

    /// Tests of a quantity that runs may reach.
    fn against(&self, wanted: f64, of: impl Fn(&RunRecord) -> Option<f64>) -> (u32, bool) {
        let reaches =
            |run: &RunRecord, share: f64| of(run).is_some_and(|own| own >= share * wanted);
        tests(
            self.runs,
            |run| reaches(run, TESTS_FROM),
            |run| reaches(run, FULL_FROM),
        )
    }

    /// Shares of the race's length that rise and that fall.
    fn shares_up_and_down(&self) -> (f64, f64) {
        let (up_m, down_m) = self.race.course.climb_and_descent_m();
        let both_m = (up_m + down_m).max(f64::MIN_POSITIVE);
        (up_m / both_m, down_m / both_m)
    }

    fn hours_on_feet(&self) -> Unknown {
        let longest_h = self.longest_run_h();
        let (tested, at_full) = self.against(longest_h, |run| Some(run.hours()));
        let race = Elapsed::from_s(self.plan.pacing.finish_s);
        Unknown {
            kind: UnknownKind::Hours,
            what: "time on feet".to_owned(),
            wants: Phrase::new(format!("{race} in the race")),
            tested,
            at_full,
            cost: Cost::Hours,
            share: 1.0,
            covered_by: Cover {
                least_h: Some(FULL_FROM * longest_h),
                ..Cover::default()
            },
        }
    }

    fn night(&self) -> Option<Unknown> {
        let legs = self.plan.schedule.legs.iter();
        let dark_h: f64 = legs.map(|leg| leg.dark_share * leg.moving.as_hours()).sum();
        let wanted_h = dark_h.min(LONGEST_DARK_H);
        let dark = |run: &RunRecord| run.sky.dark_s.map(|s| s / S_PER_HOUR);
        let (tested, at_full) = self.against(wanted_h, dark);
        (dark_h >= LEAST_DARK_H).then(|| Unknown {
            kind: UnknownKind::Night,
            what: "night".to_owned(),
            wants: Phrase::new(format!(
                "{} in the dark; {} of it is test enough",
                Elapsed::from_s(dark_h * S_PER_HOUR),
                Elapsed::from_s(wanted_h * S_PER_HOUR)
            )),
            tested,
            at_full,
            cost: Cost::Hours,
            share: (dark_h / self.hours()).min(1.0),
            covered_by: Cover {
                dark_h: Some(FULL_FROM * wanted_h),
                ..Cover::default()
            },
        })
    }
}
