//! What the hour of day does to a race that runs early or late.

use crate::conditions::Conditions;
use crate::pacing::Pacing;

use super::figures::Form;

/// Per segment, how much longer it takes when it is entered earlier or later than planned: by
/// night, in the heat. A few points each, between which the answer is a straight line, so that no
/// race has to be marched step by step.
pub(super) struct Hours {
    segments: Vec<[(f64, f64); POINTS]>,
}

/// Delays looked at: a very good day, as planned, a bad one, a very bad one.
const POINTS: usize = 4;

impl Hours {
    pub(super) fn of(conditions: &Conditions, pacing: &Pacing, form: Form) -> Hours {
        if !conditions.knows_daylight() && !conditions.knows_weather() {
            return Hours {
                segments: Vec::new(),
            };
        }
        let paces = [
            (-2.0 * form.early).exp(),
            1.0,
            form.late.exp(),
            (2.0 * form.late).exp(),
        ];
        let segments = (0..pacing.segments.len())
            .map(|segment| {
                paces.map(|pace| {
                    let leave_s = pacing.departure_s[segment] * pace;
                    (leave_s, pacing.hour_ratio(conditions, segment, leave_s))
                })
            })
            .collect();
        Hours { segments }
    }

    /// Time for a segment entered then, over the time planned; constant beyond what was looked at.
    pub(super) fn ratio(&self, segment: usize, leave_s: f64) -> f64 {
        let Some(points) = self.segments.get(segment) else {
            return 1.0;
        };
        if leave_s <= points[0].0 {
            return points[0].1;
        }
        for pair in points.windows(2) {
            let ((from_s, from), (to_s, to)) = (pair[0], pair[1]);
            if leave_s < to_s {
                return from + (to - from) * (leave_s - from_s) / (to_s - from_s);
            }
        }
        points[POINTS - 1].1
    }
}
