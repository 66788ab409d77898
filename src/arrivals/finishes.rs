//! Times of a race of any finish: the plan solved at a few finishes, and between them.

use rayon::prelude::*;

use crate::conditions::Conditions;
use crate::pacing::{Goal, Pacing};

/// Shares of the moving time at every station, for races of any finish.
///
/// A slower race is not the same race stretched: it fades otherwise and meets other hours. So the
/// plan is solved at a few finishes, and shares between are taken from the two next.
#[derive(Clone, Debug)]
pub(super) struct Finishes {
    /// By finish, ascending.
    knots: Vec<Knot>,
    /// Planned stops per station, seconds.
    pub(super) stops_s: Vec<f64>,
    /// The time at which the start is left, seconds.
    pub(super) start_s: f64,
    /// Level metres of the whole course.
    pub(super) effort_m: f64,
    /// The same for each metre of it.
    pub(super) effort_per_m: f64,
}

#[derive(Clone, Debug)]
struct Knot {
    log_finish: f64,
    /// Per station, the share of the moving time that has passed on arrival.
    moved: Vec<f64>,
}

/// Finishes solved beside the target, as multiples of it.
const BESIDE: [f64; 6] = [0.65, 0.82, 1.15, 1.35, 1.65, 2.2];

impl Finishes {
    /// The target's own shares alone.
    pub(super) fn of_target(pacing: &Pacing) -> Finishes {
        let moving_s: Vec<f64> = (pacing.departure_s.iter().zip(&pacing.arrival_s[1..]))
            .map(|(departure_s, arrival_s)| arrival_s - departure_s)
            .collect();
        Finishes {
            knots: vec![Knot::of(pacing.finish_s, &moving_s)],
            stops_s: (pacing.departure_s.iter().zip(&pacing.arrival_s))
                .map(|(departure_s, arrival_s)| departure_s - arrival_s)
                .enumerate()
                .map(|(station, stop_s)| if station == 0 { 0.0 } else { stop_s })
                .collect(),
            start_s: pacing.departure_s[0],
            effort_m: pacing.effort_m(),
            effort_per_m: pacing.effort_m() / pacing.length_m(),
        }
    }

    /// Those of every finish.
    pub(super) fn over(conditions: &Conditions, pacing: &Pacing) -> Finishes {
        let mut finishes = Finishes::of_target(pacing);
        let solved = BESIDE.into_par_iter().filter_map(|times| {
            let goal = Goal {
                finish_s: times * pacing.finish_s,
                stops_s: finishes.stops_s.clone(),
            };
            let moving_s = pacing.moving_at(conditions, &goal).ok()?;
            Some(Knot::of(goal.finish_s, &moving_s))
        });
        let solved: Vec<Knot> = solved.collect();
        let knots = &mut finishes.knots;
        knots.extend(solved);
        knots.sort_by(|a, b| a.log_finish.total_cmp(&b.log_finish));
        finishes
    }

    /// Planned stops in all, seconds.
    pub(super) fn planned_s(&self) -> f64 {
        self.stops_s.iter().sum()
    }

    /// Shares of the moving time at every station in a race of this finish; beyond the finishes
    /// solved those of the last.
    pub(super) fn moved(&self, finish_s: f64, moved: &mut Vec<f64>) {
        let at = finish_s.ln();
        let next = self.knots.partition_point(|knot| knot.log_finish <= at);
        let after = &self.knots[next.min(self.knots.len() - 1)];
        let before = &self.knots[next.saturating_sub(1)];
        let width = after.log_finish - before.log_finish;
        let share = if width > 0.0 {
            (at - before.log_finish) / width
        } else {
            0.0
        };
        moved.clear();
        let pairs = before.moved.iter().zip(&after.moved);
        moved.extend(pairs.map(|(a, b)| a + (b - a) * share));
    }
}

impl Knot {
    fn of(finish_s: f64, moving_s: &[f64]) -> Knot {
        let all_s: f64 = moving_s.iter().sum();
        let mut moved_s = 0.0;
        let reached = moving_s.iter().map(|segment_s| {
            moved_s += segment_s;
            moved_s / all_s
        });
        Knot {
            log_finish: finish_s.ln(),
            moved: std::iter::once(0.0).chain(reached).collect(),
        }
    }
}
