//! From past results to a finish on this course.

use crate::diagnostics::{Diagnostic, Notes, Spanned};
use crate::inputs::PastResult;
use crate::pacing::factors::surface;
use crate::pacing::{CourseEffort, FASTEST_LEVEL_MPS, climb_equivalent_m};
use crate::plan::Race;
use crate::time::Elapsed;

use super::law::{EARLY, LATE, LIKELY, RIEGEL_RANGE_S, exponent_between};

/// How much two races of one runner differ though nothing else does: a share of the time, to
/// either side (our choice).
const FORM: f64 = 0.03;
/// Where a course is too flat to tell what its climbs cost, those of this gradient stand in.
const USUAL_GRADIENT: f64 = 0.10;

/// A plausible finish, from what the runner has run before.
#[derive(Clone, Debug)]
pub struct Estimate {
    /// For a runner who loses little over a longer race, on a good day.
    pub early: Elapsed,
    /// The likely one.
    pub likely: Elapsed,
    /// For one who loses much, on a bad day.
    pub late: Elapsed,
    /// Effort of the course: level metres that take as long.
    pub effort_m: f64,
    /// Level metres more for every metre climbed, as past results are converted.
    pub climb_equivalent_m: f64,
    /// Planned stops, part of each finish.
    pub stops: Elapsed,
    /// What each past result says by itself.
    pub from: Vec<FromPast>,
}

/// What one past result says.
#[derive(Clone, Debug)]
pub struct FromPast {
    /// The result.
    pub past: PastResult,
    /// Its effort, level metres.
    pub effort_m: f64,
    /// Moving time on this course by the law: early, likely, late, seconds.
    pub moving_s: [f64; 3],
    /// The exponent that the likely law comes to; `None` where both efforts are alike.
    pub exponent: Option<f64>,
    /// Whether result and finish both lie where the law of records was found to hold.
    pub in_range: bool,
    /// How much it counts beside the others; all of them make 1.
    pub weight: f64,
}

/// Estimates the finish; `None` where there is no past result, or none that anybody can have run,
/// which `notes` then says.
///
/// Past results are converted to level metres as the course is: `distance × ground + climb ×
/// equivalent`, with the ground and the equivalent of climb of this very course, so that a result
/// on the course itself gives itself back. Moving time follows the endurance laws of
/// [`super::Law`]; the stops planned are added. Of several results those that are carried over
/// the least count the most.
#[must_use]
pub fn estimate(race: &Race, past: &[PastResult], notes: &mut Notes) -> Option<Estimate> {
    let effort = CourseEffort::of(&race.course, &race.settings);
    let settings = &race.settings;
    let climb_equivalent_m = effort.climb_equivalent_m().unwrap_or_else(|| {
        climb_equivalent_m(settings.cost, settings.downhill_cap, USUAL_GRADIENT)
    });
    let mut from: Vec<FromPast> = past
        .iter()
        .filter_map(|past| from_past(past, &effort, climb_equivalent_m, notes))
        .collect();
    let sum: f64 = from.iter().map(|f| f.weight).sum();
    from.iter_mut().for_each(|f| f.weight /= sum);
    if from.is_empty() {
        return None;
    }
    let stops_s: f64 = race.stops_s.iter().sum();
    let [early, likely, late] = [0, 1, 2].map(|which| {
        let logs = from.iter().map(|f| f.weight * f.moving_s[which].ln());
        Elapsed::from_s(logs.sum::<f64>().exp() + stops_s).to_minute()
    });
    Some(Estimate {
        early,
        likely,
        late,
        effort_m: effort.effort_m,
        climb_equivalent_m,
        stops: Elapsed::from_s(stops_s),
        from,
    })
}

impl Estimate {
    /// The likely finish, and early and late to stand beside it.
    #[must_use]
    pub fn targets(&self) -> Vec<Spanned<Elapsed>> {
        [self.likely, self.early, self.late]
            .map(Spanned::unwritten)
            .to_vec()
    }
}

fn from_past(
    past: &PastResult,
    course: &CourseEffort,
    climb_equivalent_m: f64,
    notes: &mut Notes,
) -> Option<FromPast> {
    let ground = past.surface.map_or(course.ground_factor(), surface);
    let effort_m = past.distance_m * ground + past.climb_m * climb_equivalent_m;
    let moving_s = past.time.value.as_s() - past.stopped_s;
    if effort_m / moving_s > FASTEST_LEVEL_MPS {
        notes.push(too_fast(past, effort_m));
        return None;
    }
    let ratio = course.effort_m / effort_m;
    let carried = |law: super::Law| law.time_s(moving_s, ratio);
    let (one, other) = (carried(EARLY), carried(LATE));
    let likely_s = carried(LIKELY);
    // carried down to a shorter race, who loses much gains much
    let (early_s, late_s) = (one.min(other), one.max(other));
    let spread = (late_s / early_s).ln() / 2.0;
    let (_, end_s) = RIEGEL_RANGE_S;
    Some(FromPast {
        past: past.clone(),
        effort_m,
        moving_s: [early_s / (1.0 + FORM), likely_s, late_s * (1.0 + FORM)],
        exponent: exponent_between(moving_s, likely_s, ratio),
        in_range: [moving_s, likely_s]
            .iter()
            .all(|s| (RIEGEL_RANGE_S.0..=end_s).contains(s)),
        weight: 1.0 / (FORM * FORM + spread * spread),
    })
}

fn too_fast(past: &PastResult, effort_m: f64) -> Diagnostic {
    let least_s = effort_m / FASTEST_LEVEL_MPS + past.stopped_s;
    let least = Elapsed::from_secs((least_s / 60.0).ceil() as i64 * 60);
    Diagnostic::error(format!(
        "{} is too fast for {:.1} km with {:.0} m of climb",
        past.time.value.to_seconds_text(),
        past.distance_m / 1000.0,
        past.climb_m
    ))
    .at(
        past.time.span,
        format!("expected {} or more", least.to_seconds_text()),
    )
}
