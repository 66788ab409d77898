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
    /// The growth of that with the logarithm of the finish.
    growth: Vec<f64>,
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
        let growths: Vec<Vec<f64>> = (0..knots.len()).map(|at| growth(knots, at)).collect();
        for (knot, growth) in knots.iter_mut().zip(growths) {
            knot.growth = growth;
        }
        finishes
    }

    /// Planned stops in all, seconds.
    pub(super) fn planned_s(&self) -> f64 {
        self.stops_s.iter().sum()
    }

    /// Shares of the moving time at every station in a race of this finish; beyond the finishes
    /// solved those of the last. Between two a cubic that meets the next without a bend (Hermite).
    pub(super) fn moved(&self, finish_s: f64, moved: &mut Vec<f64>) {
        let at = finish_s.ln();
        let next = self.knots.partition_point(|knot| knot.log_finish <= at);
        let after = &self.knots[next.min(self.knots.len() - 1)];
        let before = &self.knots[next.saturating_sub(1)];
        let width = after.log_finish - before.log_finish;
        moved.clear();
        if width <= 0.0 {
            moved.extend_from_slice(&before.moved);
            return;
        }
        let t = (at - before.log_finish) / width;
        let to = t * t * (3.0 - 2.0 * t);
        let (leaving, reaching) = (
            width * t * (1.0 - t) * (1.0 - t),
            -width * t * t * (1.0 - t),
        );
        let ends = before.moved.iter().zip(&after.moved);
        let growths = before.growth.iter().zip(&after.growth);
        moved.extend(ends.zip(growths).map(|((a, b), (leaves, reaches))| {
            a + (b - a) * to + leaving * leaves + reaching * reaches
        }));
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
            growth: Vec::new(),
        }
    }
}

/// The growth of the shares at a knot: that of the parabola through it and both beside it, at an end
/// that to the next.
fn growth(knots: &[Knot], at: usize) -> Vec<f64> {
    let rise = |from: usize| -> (f64, Vec<f64>) {
        let (a, b) = (&knots[from], &knots[from + 1]);
        let width = b.log_finish - a.log_finish;
        let pairs = a.moved.iter().zip(&b.moved);
        (width, pairs.map(|(a, b)| (b - a) / width).collect())
    };
    match at {
        0 if knots.len() == 1 => Vec::new(),
        0 => rise(0).1,
        _ if at + 1 == knots.len() => rise(at - 1).1,
        _ => {
            let ((before, rose), (after, rises)) = (rise(at - 1), rise(at));
            let pairs = rose.iter().zip(&rises);
            pairs
                .map(|(rose, rises)| (rose * after + rises * before) / (before + after))
                .collect()
        }
    }
}
