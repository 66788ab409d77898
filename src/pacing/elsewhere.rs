//! The same effort on other ground: a race's pacing carried to another route.

use crate::conditions::Conditions;
use crate::course::Course;

use super::fade::{self, Fade, share_of_time, slowing};
use super::stops::{beyond_planned_s, stood_before};
use super::terrain::Terrain;
use super::{Pacing, PacingSettings};

/// A short slice of a route and what it asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pitch {
    /// Its end, metres along the route.
    pub end_m: f64,
    /// Rise over run.
    pub gradient: f64,
    /// Level metres that take as long, by day and in the cool.
    pub effort_m: f64,
    /// Effort of the route up to its end, metres.
    pub done_m: f64,
}

/// A route by the effort that it takes, pitch by pitch.
#[derive(Clone, Debug, PartialEq)]
pub struct EffortLine(Vec<Pitch>);

impl EffortLine {
    /// The line of a course at a level-ground speed, metres per second, which decides what is
    /// walked.
    #[must_use]
    pub fn of(course: &Course, settings: &PacingSettings, level_speed_mps: f64) -> EffortLine {
        Self::over(&Terrain::of(course, settings), level_speed_mps)
    }

    fn over(terrain: &Terrain, level_speed_mps: f64) -> EffortLine {
        let mut done_m = 0.0;
        let pitches = terrain.steps.iter().map(|step| {
            let effort_m = step.effort_m(level_speed_mps);
            done_m += effort_m;
            Pitch {
                end_m: step.end_m,
                gradient: step.gradient,
                effort_m,
                done_m,
            }
        });
        EffortLine(pitches.collect())
    }

    /// Its pitches, in order.
    #[must_use]
    pub fn pitches(&self) -> &[Pitch] {
        &self.0
    }

    /// All of the effort, level metres.
    #[must_use]
    pub fn total_m(&self) -> f64 {
        self.0.last().map_or(0.0, |pitch| pitch.done_m)
    }

    /// Effort up to a distance along the route, level metres; all of it beyond the end.
    #[must_use]
    pub fn done_at_m(&self, distance_m: f64) -> f64 {
        between(&self.0, distance_m, |p| (p.end_m, p.done_m))
    }

    /// Distance along the route where so much effort is done, metres; the end beyond all of it.
    #[must_use]
    pub fn distance_at_m(&self, done_m: f64) -> f64 {
        between(&self.0, done_m, |p| (p.done_m, p.end_m))
    }
}

/// Linear between the ends of pitches, from 0 at 0.
fn between(pitches: &[Pitch], at: f64, ends: impl Fn(&Pitch) -> (f64, f64)) -> f64 {
    let next = pitches.partition_point(|pitch| ends(pitch).0 < at);
    let before = next
        .checked_sub(1)
        .map_or((0.0, 0.0), |i| ends(&pitches[i]));
    let Some(after) = pitches.get(next).map(&ends) else {
        return before.1;
    };
    let width = after.0 - before.0;
    let share = if width > 0.0 {
        ((at - before.0) / width).max(0.0)
    } else {
        0.0
    };
    before.1 + (after.1 - before.1) * share
}

impl Pacing {
    /// This effort from its start on, on another course: the level-ground speed of the race, and
    /// its slowing by the effort done, with the light and warmth that are there.
    ///
    /// On the race's own course, hours and stops it is the race itself. Beyond the race's effort
    /// the slowing goes on.
    ///
    /// # Panics
    /// Where there is not one stop per station of `other`.
    #[must_use]
    pub fn elsewhere(
        &self,
        own: &Course,
        other: &Course,
        conditions: &Conditions,
        stops_s: &[f64],
    ) -> Pacing {
        let law = FadeLaw::of(self, own);
        let terrain = Terrain::of(other, &self.settings);
        let line = EffortLine::over(&terrain, self.level_speed_mps);
        let strides = terrain.strides.iter();
        let day_s = strides
            .map(|stride| {
                let pitches = line.pitches()[stride.steps.clone()].iter();
                pitches.map(|pitch| law.day_s(pitch)).sum()
            })
            .collect();
        let mut there = Pacing {
            settings: self.settings,
            level_speed_mps: self.level_speed_mps,
            finish_s: 0.0,
            arrival_s: vec![0.0],
            departure_s: vec![0.0],
            segments: Vec::new(),
            node_s: vec![0.0; other.profile.elevation_m.len()],
            terrain: terrain.into(),
            day_s,
        };
        there.march(conditions, stops_s);
        there.finish_s = there.arrival_s.last().copied().unwrap_or_default();
        there
    }
}

/// The time of effort by day in the cool in a race that was solved.
struct FadeLaw<'a> {
    pacing: &'a Pacing,
    line: EffortLine,
    length_m: f64,
    finish_h: f64,
    exponent: f64,
    /// Of the slowing over the race, so that its times add up.
    mean_slowing: f64,
    stood_s: f64,
}

impl FadeLaw<'_> {
    fn of<'a>(pacing: &'a Pacing, own: &Course) -> FadeLaw<'a> {
        let line = EffortLine::over(&pacing.terrain, pacing.level_speed_mps);
        let finish_h = fade::hours(pacing.finish_s);
        let length_m = own.profile.length_m();
        let planned_s = (pacing.departure_s.iter().zip(&pacing.arrival_s))
            .map(|(departure, arrival)| departure - arrival)
            .sum();
        let mut law = FadeLaw {
            pacing,
            line,
            length_m,
            finish_h,
            exponent: (pacing.settings.fade).exponent(pacing.terrain.run_effort_m(), finish_h),
            mean_slowing: 1.0,
            stood_s: (pacing.settings.stop_multiplier)
                .map_or(0.0, |m| beyond_planned_s(m, finish_h, planned_s)),
        };
        let slowed = law.line.pitches().iter().map(|p| law.slowed_m(p));
        law.mean_slowing = slowed.sum::<f64>() / law.line.total_m();
        law
    }

    /// Effort of a pitch, longer by the slowing of a race in which it stands there.
    fn slowed_m(&self, pitch: &Pitch) -> f64 {
        let total_m = self.line.total_m();
        let after = pitch.done_m / total_m;
        let before = (pitch.done_m - pitch.effort_m) / total_m;
        match self.pacing.settings.fade {
            Fade::Power { exponent } if after <= 1.0 => {
                total_m * (share_of_time(after, exponent) - share_of_time(before, exponent))
            }
            // beyond the end, as slow as it is there
            Fade::Power { exponent } => pitch.effort_m * exponent,
            Fade::Slowing { .. } => {
                let hours = 0.5 * (before + after) * self.finish_h;
                pitch.effort_m * slowing(hours, self.exponent)
            }
        }
    }

    fn day_s(&self, pitch: &Pitch) -> f64 {
        let moved_s = self.slowed_m(pitch) / self.mean_slowing / self.pacing.level_speed_mps;
        moved_s + self.stood_until_s(pitch.done_m)
            - self.stood_until_s(pitch.done_m - pitch.effort_m)
    }

    /// Time stood beyond planned stops until so much effort is done, seconds.
    fn stood_until_s(&self, done_m: f64) -> f64 {
        self.stood_s * stood_before(self.line.distance_at_m(done_m) / self.length_m)
    }
}
