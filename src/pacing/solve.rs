//! The only solver: one unknown, the level-ground speed, found so that the race takes the target.

use crate::conditions::Conditions;
use crate::course::Course;

use super::Pacing;
use super::fade::{self, Fade};
use super::march::Hours;
use super::settings::PacingSettings;
use super::stops::{beyond_planned_s, stood_before};
use super::terrain::Terrain;

/// No target is accepted that needs more than this on level ground, metres per second: the pace
/// of the fastest marathons (from memory), which nobody holds for an ultramarathon.
pub const FASTEST_LEVEL_MPS: f64 = 5.8;
/// No target is accepted that needs less than this on level ground, metres per second.
pub const SLOWEST_LEVEL_MPS: f64 = 0.2;

/// The nearness in which the finish of a plan is met, seconds.
pub(super) const EXACT_S: f64 = 1e-2;
/// The same where only shares of its time count, seconds.
const NEAR_S: f64 = 10.0;

/// The goal to solve for.
#[derive(Clone, Debug)]
pub struct Goal {
    /// Finish, seconds after the start, stops included.
    pub finish_s: f64,
    /// Planned stop at every station, seconds; 0 at start and finish.
    pub stops_s: Vec<f64>,
}

/// The reason that a target cannot be planned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Impossible {
    /// It asks for more than [`FASTEST_LEVEL_MPS`]; the fastest finish accepted, seconds.
    TooFast {
        /// seconds after the start
        fastest_s: f64,
    },
    /// It asks for less than [`SLOWEST_LEVEL_MPS`]; the slowest finish accepted, seconds.
    TooSlow {
        /// seconds after the start
        slowest_s: f64,
    },
}

/// Finds the even effort that meets the goal, slowing as the settings say.
///
/// # Errors
/// [`Impossible`] where the target lies outside what is accepted on this course with these stops.
pub fn solve(
    course: &Course,
    conditions: &Conditions,
    settings: &PacingSettings,
    goal: &Goal,
) -> Result<Pacing, Impossible> {
    let terrain = Terrain::of(course, settings);
    let race = TimedRace::of(&terrain, conditions, settings, goal);
    let level_speed_mps = race.level_speed_mps(goal.finish_s, EXACT_S)?;
    let day_s = race.day_seconds(level_speed_mps);
    let mut pacing = Pacing {
        settings: *settings,
        level_speed_mps,
        finish_s: goal.finish_s,
        arrival_s: vec![0.0],
        departure_s: vec![0.0],
        segments: Vec::new(),
        node_s: vec![0.0; course.profile.elevation_m.len()],
        terrain: terrain.into(),
        day_s,
    };
    pacing.march(conditions, &goal.stops_s);
    // the solver stops within a hundredth of a second; the plan says what was asked
    if let (Some(arrival), Some(departure)) =
        (pacing.arrival_s.last_mut(), pacing.departure_s.last_mut())
    {
        (*arrival, *departure) = (goal.finish_s, goal.finish_s);
    }
    Ok(pacing)
}

impl Pacing {
    /// Moving through each segment, seconds, in a race of another finish with the same settings and
    /// these stops.
    ///
    /// # Errors
    /// [`Impossible`] where that finish lies outside what is accepted.
    pub fn moving_at(&self, conditions: &Conditions, goal: &Goal) -> Result<Vec<f64>, Impossible> {
        let race = TimedRace::of(&self.terrain, conditions, &self.settings, goal);
        Ok(race.moving_s(race.level_speed_mps(goal.finish_s, NEAR_S)?))
    }
}

/// The finish, seconds after the start, of the effort that meets the goal with other settings:
/// what a hot day, a night or high ground makes of a target that was set without it.
///
/// With `easier` the same settings but for a `heat_per_c` of 0, it is how late the runner of a
/// cool day's target is in the forecast's heat, at the same level-ground speed. Slower, they fade
/// and stand as who is slower does.
///
/// # Errors
/// [`Impossible`] where the target lies outside what is accepted with the easier settings.
pub fn finish_of_effort_s(
    course: &Course,
    conditions: &Conditions,
    settings: &PacingSettings,
    goal: &Goal,
    easier: &PacingSettings,
) -> Result<f64, Impossible> {
    let easy = Terrain::of(course, easier);
    let easy = TimedRace::of(&easy, conditions, easier, goal);
    let level_speed_mps = easy.level_speed_mps(goal.finish_s, EXACT_S)?;
    let terrain = Terrain::of(course, settings);
    Ok(TimedRace::of(&terrain, conditions, settings, goal).bound_s(level_speed_mps))
}

/// A goal on a course, ready to be marched at any speed.
#[derive(Clone, Copy)]
pub(super) struct TimedRace<'a> {
    terrain: &'a Terrain,
    hours: Hours<'a>,
    fade: Fade,
    finish_h: f64,
    stops_s: &'a [f64],
    stop_multiplier: Option<f64>,
}

impl<'a> TimedRace<'a> {
    pub(super) fn of(
        terrain: &'a Terrain,
        conditions: &'a Conditions,
        settings: &PacingSettings,
        goal: &'a Goal,
    ) -> TimedRace<'a> {
        TimedRace {
            terrain,
            hours: Hours::new(conditions, settings),
            fade: settings.fade,
            finish_h: fade::hours(goal.finish_s),
            stops_s: &goal.stops_s,
            stop_multiplier: settings.stop_multiplier,
        }
    }

    /// Race time is all but proportional to the inverse of speed, so a line through the last two
    /// guesses meets the target in a few marches; where it leaves the bracket, the bracket is
    /// halved.
    pub(super) fn level_speed_mps(&self, finish_s: f64, close_s: f64) -> Result<f64, Impossible> {
        let (mut least, mut most) = (1.0 / FASTEST_LEVEL_MPS, 1.0 / SLOWEST_LEVEL_MPS);
        let stops_s = self.stops_s.iter().sum::<f64>() + self.stood_s();
        let effort_m: f64 = self.terrain.efforts_m(2.0).iter().sum();
        // no speed at all would take the stops alone
        let mut before = (0.0, stops_s - finish_s);
        let mut guess = (-before.1 / effort_m).clamp(least, most);
        let mut miss_s = f64::INFINITY;
        for _ in 0..60 {
            miss_s = self.finish_s(1.0 / guess) - finish_s;
            if miss_s.abs() < close_s {
                break;
            }
            if miss_s > 0.0 {
                most = guess;
            } else {
                least = guess;
            }
            let next = guess - miss_s * (guess - before.0) / (miss_s - before.1);
            before = (guess, miss_s);
            guess = if next > least && next < most {
                next
            } else {
                0.5 * (least + most)
            };
        }
        // a bracket that shrank onto its end has no answer inside
        if miss_s.abs() < close_s.max(1.0) {
            Ok(1.0 / guess)
        } else if miss_s > 0.0 {
            Err(Impossible::TooFast {
                fastest_s: self.bound_s(FASTEST_LEVEL_MPS),
            })
        } else {
            Err(Impossible::TooSlow {
                slowest_s: self.bound_s(SLOWEST_LEVEL_MPS),
            })
        }
    }

    /// The finish at a level-ground speed, with the fade of that very finish: hours decide the
    /// fade, and the fade shifts hours into the night by so little that a few rounds settle it.
    fn bound_s(&self, level_speed_mps: f64) -> f64 {
        const SETTLED_S: f64 = 1e-3;
        let mut race = *self;
        let mut finish_s = race.finish_s(level_speed_mps);
        for _ in 0..20 {
            let before_s = finish_s;
            race.finish_h = fade::hours(finish_s);
            finish_s = race.finish_s(level_speed_mps);
            if (finish_s - before_s).abs() < SETTLED_S {
                break;
            }
        }
        finish_s
    }

    /// Seconds that each stride takes by day in the cool at a level-ground speed.
    fn day_seconds(&self, level_speed_mps: f64) -> Vec<f64> {
        let mut day_s = self.terrain.efforts_m(level_speed_mps);
        let all_s = day_s.iter().sum::<f64>() / level_speed_mps;
        let exponent = (self.fade).exponent(self.terrain.run_effort_m(), self.finish_h);
        self.fade.time_shares(&mut day_s, self.finish_h, exponent);
        // the night lengthens standing too, by less than anyone can tell
        let (stood_s, length_m) = (self.stood_s(), self.terrain.length_m());
        let mut before = 0.0;
        for (stride_s, stride) in day_s.iter_mut().zip(&self.terrain.strides) {
            let stood = stood_before(stride.end_m / length_m);
            *stride_s = *stride_s * all_s + (stood - before) * stood_s;
            before = stood;
        }
        day_s
    }

    /// All that is stood beyond the planned stops, seconds.
    fn stood_s(&self) -> f64 {
        let planned_s = self.stops_s.iter().sum();
        let beyond_s = |multiplier| beyond_planned_s(multiplier, self.finish_h, planned_s);
        self.stop_multiplier.map_or(0.0, beyond_s)
    }

    /// Moving time over what it would be by day in the cool.
    pub(super) fn hour_factor(&self, finish_s: f64) -> Result<f64, Impossible> {
        let level_speed_mps = self.level_speed_mps(finish_s, NEAR_S)?;
        let by_day_s: f64 = self.day_seconds(level_speed_mps).iter().sum();
        Ok(self.moving_s(level_speed_mps).iter().sum::<f64>() / by_day_s)
    }

    fn finish_s(&self, level_speed_mps: f64) -> f64 {
        let moving_s = self.moving_s(level_speed_mps);
        self.stops_s[..moving_s.len()].iter().sum::<f64>() + moving_s.iter().sum::<f64>()
    }

    /// Moving through each segment, seconds.
    fn moving_s(&self, level_speed_mps: f64) -> Vec<f64> {
        let day_s = self.day_seconds(level_speed_mps);
        let mut now_s = 0.0;
        (0..self.terrain.segment_ends.len())
            .map(|segment| {
                let left_s = now_s + self.stops_s[segment];
                let strides = self.terrain.segment(segment);
                now_s = strides.fold(left_s, |now_s, index| {
                    let stride = &self.terrain.strides[index];
                    self.hours.leave_s(stride, day_s[index], now_s).0
                });
                now_s - left_s
            })
            .collect()
    }
}
