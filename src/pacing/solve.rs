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

/// What to solve for.
#[derive(Clone, Debug)]
pub struct Goal {
    /// Finish, seconds after the start, stops included.
    pub finish_s: f64,
    /// Planned stop at every station, seconds; 0 at start and finish.
    pub stops_s: Vec<f64>,
}

/// Why a target cannot be planned.
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
    let race = TimedRace::of(course, conditions, settings, goal);
    let level_speed_mps = race.level_speed_mps(goal.finish_s)?;
    Ok(race.record(course, *settings, level_speed_mps, goal.finish_s))
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
    let easy = TimedRace::of(course, conditions, easier, goal);
    let level_speed_mps = easy.level_speed_mps(goal.finish_s)?;
    Ok(TimedRace::of(course, conditions, settings, goal).bound_s(level_speed_mps))
}

/// A goal on a course, ready to be marched at any speed.
struct TimedRace<'a> {
    terrain: Terrain,
    hours: Hours<'a>,
    fade: Fade,
    /// All of it when run, level metres.
    effort_m: f64,
    finish_h: f64,
    stops_s: &'a [f64],
    standing: Option<StandingTime>,
}

/// What a runner stands beyond the planned stops.
#[derive(Clone)]
struct StandingTime {
    multiplier: f64,
    /// The share of it on each step.
    shares: Vec<f64>,
}

impl StandingTime {
    fn over(terrain: &Terrain, course: &Course, settings: &PacingSettings) -> Option<StandingTime> {
        let length_m = course.profile.length_m();
        let mut from_m = 0.0;
        Some(StandingTime {
            multiplier: settings.stop_multiplier?,
            shares: (terrain.steps.iter())
                .map(|step| {
                    let to_m = 2.0 * step.middle_m - from_m;
                    let share = stood_before(to_m / length_m) - stood_before(from_m / length_m);
                    from_m = to_m;
                    share
                })
                .collect(),
        })
    }
}

impl<'a> TimedRace<'a> {
    fn of(
        course: &Course,
        conditions: &'a Conditions,
        settings: &PacingSettings,
        goal: &'a Goal,
    ) -> TimedRace<'a> {
        let terrain = Terrain::of(course, settings);
        TimedRace {
            standing: StandingTime::over(&terrain, course, settings),
            effort_m: terrain.run_effort_m(),
            terrain,
            hours: Hours::new(conditions, settings),
            fade: settings.fade,
            finish_h: fade::hours(goal.finish_s),
            stops_s: &goal.stops_s,
        }
    }

    /// Race time is all but proportional to the inverse of speed, so a line through the last two
    /// guesses meets the target in a few marches; where it leaves the bracket, the bracket is
    /// halved.
    fn level_speed_mps(&self, finish_s: f64) -> Result<f64, Impossible> {
        const CLOSE_S: f64 = 1e-2;
        let (mut least, mut most) = (1.0 / FASTEST_LEVEL_MPS, 1.0 / SLOWEST_LEVEL_MPS);
        let stood_s = self.standing.as_ref().map_or(0.0, |s| self.stood_s(s));
        let stops_s = self.stops_s.iter().sum::<f64>() + stood_s;
        let effort_m: f64 = self.terrain.efforts_m(2.0).iter().sum();
        // no speed at all would take the stops alone
        let mut before = (0.0, stops_s - finish_s);
        let mut guess = (-before.1 / effort_m).clamp(least, most);
        let mut miss_s = f64::INFINITY;
        for _ in 0..60 {
            miss_s = self.finish_s(1.0 / guess) - finish_s;
            if miss_s.abs() < CLOSE_S {
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
        if miss_s.abs() < 1.0 {
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
        let mut race = TimedRace {
            terrain: self.terrain.clone(),
            standing: self.standing.clone(),
            ..*self
        };
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

    /// Seconds that each step takes by day in the cool at a level-ground speed.
    fn day_seconds(&self, level_speed_mps: f64) -> Vec<f64> {
        let mut day_s = self.terrain.efforts_m(level_speed_mps);
        let all_s = day_s.iter().sum::<f64>() / level_speed_mps;
        let exponent = self.fade.exponent(self.effort_m, self.finish_h);
        self.fade.time_shares(&mut day_s, self.finish_h, exponent);
        day_s.iter_mut().for_each(|share| *share *= all_s);
        if let Some(standing) = &self.standing {
            let stood_s = self.stood_s(standing);
            // the night lengthens this too, by less than anyone can tell
            for (step_s, share) in day_s.iter_mut().zip(&standing.shares) {
                *step_s += share * stood_s;
            }
        }
        day_s
    }

    /// All that is stood beyond the planned stops, seconds.
    fn stood_s(&self, standing: &StandingTime) -> f64 {
        let planned_s = self.stops_s.iter().sum();
        beyond_planned_s(standing.multiplier, self.finish_h, planned_s)
    }

    fn finish_s(&self, level_speed_mps: f64) -> f64 {
        let day_s = self.day_seconds(level_speed_mps);
        let mut now_s = 0.0;
        for segment in 0..self.terrain.segment_ends.len() {
            now_s += self.stops_s[segment];
            for step in self.terrain.segment(segment) {
                now_s = self
                    .hours
                    .leave_s(&self.terrain.steps[step], day_s[step], now_s)
                    .0;
            }
        }
        now_s
    }

    fn record(
        self,
        course: &Course,
        settings: PacingSettings,
        level_speed_mps: f64,
        finish_s: f64,
    ) -> Pacing {
        let day_s = self.day_seconds(level_speed_mps);
        let mut pacing = Pacing {
            settings,
            level_speed_mps,
            finish_s,
            arrival_s: vec![0.0],
            departure_s: vec![0.0],
            segments: Vec::new(),
            node_s: vec![0.0; course.profile.elevation_m.len()],
            terrain: self.terrain,
            day_s,
        };
        for segment in 0..pacing.terrain.segment_ends.len() {
            let arrival_s = pacing.pass(&self.hours, segment, level_speed_mps);
            pacing.arrival_s.push(arrival_s);
            let stop_s = self.stops_s[segment + 1];
            pacing.departure_s.push(arrival_s + stop_s);
        }
        // the solver stops within a hundredth of a second; the plan says what was asked
        if let (Some(arrival), Some(departure)) =
            (pacing.arrival_s.last_mut(), pacing.departure_s.last_mut())
        {
            (*arrival, *departure) = (finish_s, finish_s);
        }
        pacing
    }
}
