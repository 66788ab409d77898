//! From past results to the finish to expect on this course.

use crate::conditions::Conditions;
use crate::course::Course;
use crate::diagnostics::{Diagnostic, Notes, Spanned};
use crate::inputs::PastResult;
use crate::pacing::factors::surface;
use crate::pacing::{
    self, CourseEffort, FASTEST_LEVEL_MPS, Goal, PacingSettings, climb_equivalent_m,
};
use crate::time::{Elapsed, S_PER_HOUR};

use super::field::Field;
use super::law::{LIKELY, RIEGEL_RANGE_S, exponent_between};
use super::spread::Spread;

/// The gradient that stands in where a course is too flat to tell what its climbs cost.
const USUAL_GRADIENT: f64 = 0.10;

/// The finish to expect, from what the runner has run before.
#[derive(Clone, Debug)]
pub struct Estimate {
    /// One race in ten is faster.
    pub early: Elapsed,
    /// Half are faster.
    pub likely: Elapsed,
    /// One in ten is slower.
    pub late: Elapsed,
    /// All of it.
    pub spread: Spread,
    /// Effort of the course: level metres that take as long.
    pub effort_m: f64,
    /// Level metres more for every metre climbed, as past results are converted.
    pub climb_equivalent_m: f64,
    /// Planned stops, part of each finish.
    pub stops: Elapsed,
    /// Moving time with the light and warmth of the day over that with those that the results have
    /// in them: a cool morning on, and on this course its own night.
    pub day: f64,
    /// The finish that each past result points to by itself.
    pub from: Vec<FromPast>,
}

/// The finish that one past result points to.
#[derive(Clone, Debug)]
pub struct FromPast {
    /// The result.
    pub past: PastResult,
    /// Its effort, level metres.
    pub effort_m: f64,
    /// The finish that it promises by itself.
    pub spread: Spread,
    /// The exponent that the law comes to; `None` where both efforts are alike.
    pub exponent: Option<f64>,
    /// True where result and finish both lie where the law of records was found to hold.
    pub in_range: bool,
    /// Its weight beside the others; all of them make 1.
    pub weight: f64,
    /// True where the place in its field was carried over too.
    pub is_placed: bool,
}

/// The course and day that a finish is estimated on.
#[derive(Clone, Copy, Debug)]
pub struct RaceAhead<'a> {
    /// The course.
    pub course: &'a Course,
    /// Its hours.
    pub conditions: &'a Conditions,
    /// The runner's pacing.
    pub settings: &'a PacingSettings,
    /// Planned stops per station, seconds.
    pub stops_s: &'a [f64],
    /// The field of a former edition.
    pub field: Option<&'a Field>,
}

/// Errors of the finish that past results point to, as standard deviations of its logarithm.
///
/// Fitted to 8,261 finishes of 42 km and more, with any result of 20 km and more in the two years
/// before, of public race results (runners of either half left out in turn). The 10 % and 90 %
/// quantiles of true over expected are -0.20 and +0.19 for one result, -0.16 and +0.16 for two and
/// -0.14 and +0.15 for three.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Errors {
    /// Of the race to come, whatever is known: its ground, its day, the runner's.
    pub shared: f64,
    /// Of each result.
    pub own: f64,
    /// Of each result whose place in its field is known, where the field of this race is too.
    pub placed: f64,
    /// Of carrying it over, for a race e times as much effort or as little.
    pub carried: f64,
    /// Besides for each year beyond [`FRESH_Y`]. Common practice, no source.
    pub yearly: f64,
    /// By how much longer than the law says a race is that is e times as much effort.
    pub law: f64,
    /// The number of standard deviations that the 90 % quantile lies out.
    pub out_90: f64,
}

/// As fitted.
pub const ERRORS: Errors = Errors {
    shared: 0.080,
    own: 0.0915,
    placed: 0.078,
    carried: 0.113,
    yearly: 0.05,
    law: 0.046,
    out_90: 1.45,
};

/// Results of so many years are as good as new: within them age made no difference.
pub const FRESH_Y: f64 = 2.0;

/// A result carried over to another effort: the logarithm of the finish it promises, and the
/// variance of its own error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Carried {
    /// Of seconds.
    pub log_s: f64,
    /// Without what all results share.
    pub variance: f64,
}

/// By how much later than the same place in a former edition: who stops is not in the lists.
const PLACE_LATER: f64 = 0.02;

impl Errors {
    /// A result carried over whose runner's share of its field, carried over to the field of this
    /// race, comes to so many seconds: the mean of both logarithms.
    ///
    /// On 8,158 finishes of public race results with all listed finishers of either race as its
    /// field, the mean error falls from 11.8 to 9.7 %; the widths are kept a little wider than that,
    /// as fields differ from edition to edition.
    #[must_use]
    pub fn placed(&self, carried: Carried, place_s: f64) -> Carried {
        let lost = self.own.powi(2) - self.placed.powi(2);
        Carried {
            log_s: 0.5 * (carried.log_s + place_s.ln() + PLACE_LATER),
            variance: carried.variance - lost,
        }
    }

    /// Carries a time over to so many times the effort, as the laws and their errors have it.
    #[must_use]
    pub fn carry(&self, time_s: f64, effort_ratio: f64, age_y: f64) -> Carried {
        let more = effort_ratio.ln();
        let old = self.yearly * (age_y - FRESH_Y).max(0.0);
        Carried {
            log_s: LIKELY.time_s(time_s, effort_ratio).ln() + self.law * more,
            variance: self.own.powi(2) + (self.carried * more).powi(2) + old * old,
        }
    }

    /// The finish that several results point to together: those that are surer count more. `None` of none.
    ///
    /// ```
    /// use sutler::ability::ERRORS;
    /// let result = |hours: f64| ERRORS.carry(hours * 3600.0, 1.0, 0.0);
    /// let one = ERRORS.together(&[result(20.0)]).expect("a result");
    /// let two = ERRORS.together(&[result(20.0), result(20.0)]).expect("two results");
    /// assert!((one.likely_s / 3600.0 - 20.0).abs() < 1e-6 && two.late < one.late);
    /// ```
    #[must_use]
    pub fn together(&self, results: &[Carried]) -> Option<Spread> {
        let sum: f64 = results.iter().map(|r| r.variance.recip()).sum();
        let logs = results.iter().map(|r| r.log_s / r.variance);
        let log_s = logs.sum::<f64>() / sum;
        let width = self.out_90 * (self.shared * self.shared + sum.recip()).sqrt();
        (!results.is_empty()).then(|| Spread::between(log_s.exp(), width, width))
    }
}

/// Estimates the finish; `None` where there is no past result, or none that anybody can have run,
/// which `notes` then says.
///
/// Past results are converted to level metres as the course is: `distance × ground + climb ×
/// equivalent`, with the ground and the equivalent of climb of this very course, so that a result
/// on the course itself gives itself back. Its height is not: what was run elsewhere was run low.
/// The whole time follows the endurance laws, as long stops are longer in long races; where a
/// result says how long it was stopped its moving time does, and the planned stops are added.
#[must_use]
pub fn estimate(asked: &RaceAhead<'_>, past: &[PastResult], notes: &mut Notes) -> Option<Estimate> {
    let settings = asked.settings;
    let effort = CourseEffort::of(asked.course, settings);
    let climb_equivalent_m = effort.climb_equivalent_m().unwrap_or_else(|| {
        climb_equivalent_m(settings.cost, settings.downhill_cap, USUAL_GRADIENT)
    });
    let carry_over = CarryOver {
        asked,
        effort,
        climb_equivalent_m,
        newest: past.iter().filter_map(|past| past.date).max(),
    };
    let carried: Vec<(FromPast, Carried)> = past
        .iter()
        .filter_map(|past| carry_over.carry(past, notes))
        .collect();
    let each: Vec<Carried> = carried.iter().map(|(_, carried)| *carried).collect();
    let low = ERRORS.together(&each)?;
    let day = carry_over.day(low.likely_s, &carried);
    let stops_s: f64 = asked.stops_s.iter().sum();
    let on_the_day = |spread: Spread| Spread {
        likely_s: stops_s + (spread.likely_s - stops_s).max(1.0) * day,
        ..spread
    };
    let spread = on_the_day(low);
    let sum: f64 = each.iter().map(|c| c.variance.recip()).sum();
    let from = carried.into_iter().map(|(from, carried)| FromPast {
        weight: carried.variance.recip() / sum,
        spread: on_the_day(from.spread),
        ..from
    });
    let minute = |share: f64| Elapsed::from_s(spread.quantile_s(share)).to_minute();
    Some(Estimate {
        early: minute(0.1),
        likely: minute(0.5),
        late: minute(0.9),
        spread,
        effort_m: carry_over.effort.effort_m,
        climb_equivalent_m,
        stops: Elapsed::from_s(stops_s),
        day,
        from: from.collect(),
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

/// The course that results are carried over to.
struct CarryOver<'a> {
    asked: &'a RaceAhead<'a>,
    effort: CourseEffort,
    climb_equivalent_m: f64,
    newest: Option<chrono::NaiveDate>,
}

impl CarryOver<'_> {
    fn carry(&self, past: &PastResult, notes: &mut Notes) -> Option<(FromPast, Carried)> {
        let ground = match past.surface {
            Some(ground) => surface(ground),
            None if self.is_alike(past) => self.effort.ground_factor(),
            None => self.effort.low_ground_factor(),
        };
        let effort_m = past.distance_m * ground + past.climb_m * self.climb_equivalent_m;
        let (all_s, stopped_s) = (past.time.value.as_s(), past.stopped_s);
        if effort_m / (all_s - stopped_s) > FASTEST_LEVEL_MPS {
            notes.push(too_fast(past, effort_m));
            return None;
        }
        let ratio = self.effort.effort_m / effort_m;
        let moving_s = all_s - stopped_s;
        let mut carried = ERRORS.carry(moving_s, ratio, self.age_y(past));
        if stopped_s > 0.0 {
            let stops_s: f64 = self.asked.stops_s.iter().sum();
            carried.log_s = (carried.log_s.exp() + stops_s).ln();
        }
        let place = self.asked.field.zip(past.place);
        let share = |(place, of): (u32, u32)| (f64::from(place) - 0.5) / f64::from(of);
        if let Some((field, place)) = place {
            carried = ERRORS.placed(carried, field.at_share(share(place)));
        }
        let (_, end_s) = RIEGEL_RANGE_S;
        let likely_s = carried.log_s.exp();
        let spread = ERRORS.together(&[carried])?;
        let from = FromPast {
            past: past.clone(),
            effort_m,
            spread,
            exponent: exponent_between(moving_s, likely_s, ratio),
            in_range: [moving_s, likely_s]
                .iter()
                .all(|s| (RIEGEL_RANGE_S.0..=end_s).contains(s)),
            weight: 1.0,
            is_placed: place.is_some(),
        };
        Some((from, carried))
    }

    /// True where a result is of a course like this one, or of this one itself.
    fn is_alike(&self, past: &PastResult) -> bool {
        let near = |a: f64, b: f64, share: f64| (a - b).abs() <= share * b;
        near(past.distance_m, self.effort.length_m, 0.02)
            && near(past.climb_m, self.effort.climb_m, 0.10)
    }

    /// Years between a result and the race, or the newest result where the race has no date.
    fn age_y(&self, past: &PastResult) -> f64 {
        let start = self.asked.course.official_start;
        let race = start.map(|start| start.date_naive()).or(self.newest);
        race.zip(past.date)
            .map_or(0.0, |(race, date)| (race - date).num_days() as f64 / 365.25)
    }

    /// The light and warmth of the day, as a ratio of times to those that the results have in them:
    /// those of this course its own night, others that of a race begun on a cool morning.
    fn day(&self, finish_s: f64, carried: &[(FromPast, Carried)]) -> f64 {
        let asked = self.asked;
        let cool = PacingSettings {
            heat_per_c: 0.0,
            ..*asked.settings
        };
        let factor = |settings: &PacingSettings| {
            let goal = Goal {
                finish_s,
                stops_s: asked.stops_s.to_vec(),
            };
            pacing::hour_factor(asked.course, asked.conditions, settings, &goal).unwrap_or(1.0)
        };
        let (all, night) = rayon::join(|| factor(asked.settings), || factor(&cool));
        let of_result = |past: &PastResult| match asked.conditions.knows_daylight() {
            _ if self.is_alike(past) => night,
            true => {
                // the law was found on races with their nights
                let usual = usual_dark_share(finish_s / S_PER_HOUR);
                1.0 + (asked.settings.night_factor - 1.0) * usual
            }
            false => 1.0,
        };
        // half of what a place says is of this course itself
        let dark = |from: &FromPast| match from.is_placed {
            true => (of_result(&from.past) * night).sqrt(),
            false => of_result(&from.past),
        };
        let sum: f64 = carried.iter().map(|(_, c)| c.variance.recip()).sum();
        let logs = carried.iter().map(|(f, c)| dark(f).ln() / c.variance);
        all / (logs.sum::<f64>() / sum).exp()
    }
}

/// The dark part of a race of so many hours that begins with 14 hours of light.
fn usual_dark_share(hours: f64) -> f64 {
    const LIGHT_H: f64 = 14.0;
    let (days, rest_h) = ((hours / 24.0).floor(), hours % 24.0);
    let dark_h = days * (24.0 - LIGHT_H) + (rest_h - LIGHT_H).max(0.0);
    dark_h / hours.max(1e-9)
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
