//! Unknowns of the plan that a run can test.

use crate::course::longest_climb_and_descent_m;
use crate::exposure::Exposure;
use crate::pacing::SegmentPace;
use crate::plan::Plan;
use crate::plan::Race;
use crate::time::S_PER_HOUR;
use crate::unknowns::{Cover, Unknown, UnknownKind};
use crate::words::same_name;

/// Below this it is cold, and above this much rain it rains, for gear that is to be tested. Our
/// choice.
const COLD_C: f64 = 5.0;
const RAIN_MM_PER_H: f64 = 0.2;

/// Contents of a run, to hold unknowns against.
pub(super) struct Holds<'a> {
    plan: &'a Plan,
    hours: f64,
    dark_h: f64,
    /// Coldest and warmest air, °C; `None` without a forecast.
    temps_c: Option<(f64, f64)>,
    rain: bool,
    climb_m: f64,
    descent_m: f64,
    stops: bool,
}

impl Holds<'_> {
    pub(super) fn of<'a>(run: &Race, plan: &'a Plan) -> Holds<'a> {
        let temps = || plan.fueling.segments.iter().filter_map(|s| s.temp_c);
        let (climb_m, descent_m) = longest_climb_and_descent_m(&run.course.profile.elevation_m);
        let steps = plan.exposures.segments.iter().flat_map(Exposure::steps);
        let rain = steps
            .filter_map(|step| step.weather)
            .any(|weather| weather.rain_mm_per_h > RAIN_MM_PER_H);
        Holds {
            plan,
            hours: plan.finish.as_hours(),
            dark_h: dark_s(&plan.pacing.segments) / S_PER_HOUR,
            temps_c: temps().reduce(f64::min).zip(temps().reduce(f64::max)),
            rain,
            climb_m,
            descent_m,
            stops: run.course.stations.len() > 2,
        }
    }

    /// True where it can test a thing in full.
    pub(super) fn tests(&self, unknown: &Unknown) -> bool {
        let pickups = &self.plan.packing.pickups;
        let eats = |name: &str| {
            let mut servings = pickups.iter().flat_map(|p| p.take.iter().chain(&p.here));
            servings.any(|serving| same_name(&serving.food, name))
        };
        let wears = |name: &str| {
            let mut gear = pickups.iter().flat_map(|p| &p.gear_on);
            gear.any(|own| same_name(own, name))
        };
        let has = match unknown.kind {
            UnknownKind::Food => eats(&unknown.what),
            UnknownKind::Gear => wears(&unknown.what),
            UnknownKind::Caffeine => self.plan.packing.caffeine.iter().any(|c| c.mg > 0.0),
            // the crew has to be asked
            UnknownKind::CrewMeeting => false,
            _ => true,
        };
        has && self.covers(&unknown.covered_by)
    }

    fn covers(&self, cover: &Cover) -> bool {
        let reaches = |least: Option<f64>, own: f64| least.is_none_or(|least| own >= least);
        let weather = match cover.weather {
            None => true,
            Some("rain") => self.rain,
            Some("cold") => self.temps_c.is_some_and(|(cold_c, _)| cold_c <= COLD_C),
            Some(_) => self.dark_h < 0.5 * self.hours && !self.rain,
        };
        weather
            && reaches(cover.least_h, self.hours)
            && reaches(cover.dark_h, self.dark_h)
            && reaches(cover.climb_m, self.climb_m)
            && reaches(cover.descent_m, self.descent_m)
            && cover.warm_c.is_none_or(|warm_c| {
                self.temps_c
                    .is_some_and(|(_, warmest_c)| warmest_c >= warm_c)
            })
            && (self.stops || !cover.laid_out_stop)
    }
}

/// Seconds in the dark, moving.
#[must_use]
pub fn dark_s(segments: &[SegmentPace]) -> f64 {
    segments.iter().map(|s| s.dark_share * s.moving_s).sum()
}
