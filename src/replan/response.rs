//! Tables of how long every stretch takes at any effort and hour, for a reader without the engine.

use rayon::prelude::*;

use crate::pacing::{Pacing, Part};
use crate::plan::{Plan, Race};
use crate::time::S_PER_HOUR;

/// How the moving time of a plan responds to effort and hour.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Response {
    /// Times per level metre over the plan's, for [`PartResponse::cool_s`].
    pub slowness: Vec<f64>,
    /// The parts of each segment, in course order.
    pub segments: Vec<Vec<PartResponse>>,
}

/// One part: what it takes is `cool(slowness) × hour(entered)`, each linear between its values.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct PartResponse {
    /// What it takes entered when the plan does, one for each [`Response::slowness`], seconds.
    pub cool_s: Vec<f64>,
    /// Race times of entering, seconds, ascending.
    pub enter_s: Vec<f64>,
    /// What it takes then over what it takes when the plan enters it.
    pub hour: Vec<f64>,
}

/// From twice as fast as planned or more to six times as slow; closest together near the plan.
const SLOWNESS: [f64; 15] = [
    0.15, 0.25, 0.4, 0.55, 0.7, 0.8, 0.9, 1.0, 1.1, 1.2, 1.35, 1.6, 2.0, 3.0, 6.0,
];
/// At another effort a part is in the dark for another share of it. A part is short, so that this
/// is a matter of seconds.
const PART_S: f64 = 600.0;
/// A table is refined until its values between are this good.
const CLOSE_S: f64 = 0.5;
/// Closer together than this no two values need be: the edge of a night moves along a part.
const NEAREST_S: f64 = 60.0;
/// Where refinement starts from: nights are longer than this.
const FURTHEST_S: f64 = S_PER_HOUR;

impl Response {
    /// The tables of a plan. The race's conditions are to be known for as long as anyone may take.
    #[must_use]
    pub fn of(race: &Race, plan: &Plan) -> Response {
        let pacing = &plan.pacing;
        let segments = (0..pacing.segments.len())
            .into_par_iter()
            .map(|segment| {
                let mut enter_s = pacing.departure_s[segment];
                let parts = pacing.parts(segment, PART_S);
                let respond = |part: &Part| {
                    let probe = Probe { race, pacing, part };
                    let response = probe.response(enter_s);
                    enter_s = pacing.part_end_s(&race.conditions, part, enter_s, 1.0);
                    response
                };
                parts.iter().map(respond).collect()
            })
            .collect();
        Response {
            slowness: SLOWNESS.to_vec(),
            segments,
        }
    }

    /// When a segment ends that is entered at `leave_s`, both in seconds after the start, at
    /// `speed_ratio` times the plan's level-ground speed. The tables' word for
    /// [`Pacing::arrive_at_effort_s`].
    ///
    /// # Panics
    /// Where the course has no such segment.
    #[must_use]
    pub fn arrive_s(&self, segment: usize, leave_s: f64, speed_ratio: f64) -> f64 {
        self.segments[segment].iter().fold(leave_s, |now_s, part| {
            let cool_s = between(&self.slowness, &part.cool_s, speed_ratio.recip());
            now_s + cool_s * between(&part.enter_s, &part.hour, now_s)
        })
    }
}

/// A table's value: linear between its places, and beyond them that of the last.
fn between(places: &[f64], values: &[f64], at: f64) -> f64 {
    let next = places.partition_point(|place| *place <= at);
    if next == 0 || next == places.len() {
        return values[next.saturating_sub(1)];
    }
    let share = (at - places[next - 1]) / (places[next] - places[next - 1]);
    values[next - 1] + share * (values[next] - values[next - 1])
}

/// One part being asked.
struct Probe<'a> {
    race: &'a Race,
    pacing: &'a Pacing,
    part: &'a Part,
}

impl Probe<'_> {
    fn takes_s(&self, enter_s: f64, speed_ratio: f64) -> f64 {
        let conditions = &self.race.conditions;
        self.pacing
            .part_end_s(conditions, self.part, enter_s, speed_ratio)
            - enter_s
    }

    fn response(&self, planned_s: f64) -> PartResponse {
        let cool_s = SLOWNESS
            .iter()
            .map(|slowness| self.takes_s(planned_s, slowness.recip()))
            .collect();
        let last_s = (1.7 * planned_s + 8.0 * S_PER_HOUR).min(2.0 * self.pacing.finish_s);
        let mut enter_s = vec![0.5 * planned_s];
        let mut at_s = 0.5 * planned_s;
        while at_s < last_s {
            let next_s = (at_s + FURTHEST_S).min(last_s);
            // the plan itself is met exactly
            if at_s < planned_s && planned_s < next_s {
                self.refine(at_s, planned_s, &mut enter_s);
                at_s = planned_s;
            }
            self.refine(at_s, next_s, &mut enter_s);
            at_s = next_s;
        }
        let planned_takes_s = self.takes_s(planned_s, 1.0);
        let hour = enter_s
            .iter()
            .map(|enter_s| self.takes_s(*enter_s, 1.0) / planned_takes_s)
            .collect();
        let mut response = PartResponse {
            cool_s,
            enter_s,
            hour,
        };
        response.thin(planned_takes_s);
        response
    }

    /// Adds the places up to `to_s` where a straight line from place to place is close.
    fn refine(&self, from_s: f64, to_s: f64, places_s: &mut Vec<f64>) {
        let (first_s, last_s) = (self.takes_s(from_s, 1.0), self.takes_s(to_s, 1.0));
        let bent = [0.2, 0.4, 0.5, 0.6, 0.8].iter().any(|share| {
            let line_s = first_s + share * (last_s - first_s);
            let takes_s = self.takes_s(from_s + share * (to_s - from_s), 1.0);
            (takes_s - line_s).abs() > CLOSE_S
        });
        if bent && to_s - from_s > 2.0 * NEAREST_S {
            let middle_s = 0.5 * (from_s + to_s);
            self.refine(from_s, middle_s, places_s);
            self.refine(middle_s, to_s, places_s);
        } else {
            places_s.push(to_s);
        }
    }
}

impl PartResponse {
    /// Leaves out values that their neighbours tell.
    fn thin(&mut self, takes_s: f64) {
        let mut at = 1;
        while at + 1 < self.enter_s.len() {
            let (before, after) = (self.enter_s[at - 1], self.enter_s[at + 1]);
            let share = (self.enter_s[at] - before) / (after - before);
            let line = self.hour[at - 1] + share * (self.hour[at + 1] - self.hour[at - 1]);
            if (line - self.hour[at]).abs() * takes_s < 0.02 {
                self.enter_s.remove(at);
                self.hour.remove(at);
            } else {
                at += 1;
            }
        }
    }
}
