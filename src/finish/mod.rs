//! Finishes in reach: what past results point to, and what cutoffs allow.

mod hoped;
mod safe;

use crate::diagnostics::{Notes, Spanned};
use crate::inputs::Inputs;
use crate::inputs::PastResult;
use crate::pacing::{self, Goal};
use crate::plan::Race;
use crate::schedule::Schedule;
use crate::time::Elapsed;

pub use crate::ability::{
    EARLY, Estimate, FromPast, LATE, LIKELY, Law, RIEGEL_RANGE_S, exponent_between, riegel_s,
    sustainable_share,
};
pub use hoped::{Hoped, WAYS};
pub use safe::{Safe, accepted, slowest_safe};

/// Time in hand that is asked for at every cutoff where the plan does not say: below it a margin
/// is called close.
pub const USUAL_CUSHION: Elapsed = Elapsed::from_secs(20 * 60);

/// Time in hand that the plan asks for at every cutoff.
#[must_use]
pub fn cushion_of(inputs: &Inputs) -> Elapsed {
    inputs
        .plan
        .cushion
        .map_or(USUAL_CUSHION, |cushion| cushion.value)
}

/// The finish to expect of a race by these results; see [`crate::ability::estimate`].
#[must_use]
pub fn estimate(race: &Race, past: &[PastResult], notes: &mut Notes) -> Option<Estimate> {
    crate::ability::estimate(&race.asked(), past, notes)
}

/// The finish as far as it can be told before a target is set.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Outlook {
    /// From past results, where there are any.
    pub estimate: Option<Estimate>,
    /// The finish to plan where there is neither a target nor a past result.
    pub hoped: Option<Hoped>,
    /// The plan's own target.
    pub target: Option<Elapsed>,
    /// Splits for each finish in question, the earliest first: the plan's target, the likely finish
    /// and the late one; without a target the early one, without past results the plan's own; none
    /// where nobody runs that.
    pub prospects: Vec<Prospect>,
    /// The chance of making every cutoff of who aims at [`Outlook::slowest_safe`]; `None` where
    /// there is none.
    pub safe_chance: Option<f64>,
    /// Time in hand that is asked for.
    pub cushion: Elapsed,
    /// The slowest finish that leaves it at every cutoff.
    pub slowest_safe: Safe,
    /// The fastest and the slowest finish that are accepted.
    pub accepted: (Elapsed, Elapsed),
}

/// One finish and where it leads.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Prospect {
    /// The finish.
    pub finish: Elapsed,
    /// Its splits.
    pub schedule: Schedule,
}

impl Outlook {
    /// Looks at estimate, targets and cutoffs. `cushion` stands before the plan's own.
    #[must_use]
    pub fn over(race: &Race, inputs: &Inputs, cushion: Option<Elapsed>) -> Outlook {
        let estimate = race.estimate.clone();
        let target = inputs.plan.finish;
        let own = target.iter().chain(&inputs.plan.other_finishes).copied();
        let mut finishes: Vec<Spanned<Elapsed>> = match &estimate {
            None => own.collect(),
            Some(estimate) => {
                let early = Spanned::unwritten(estimate.early);
                let others = [estimate.likely, estimate.late].map(Spanned::unwritten);
                std::iter::once(target.unwrap_or(early))
                    .chain(others)
                    .collect()
            }
        };
        finishes.sort_by_key(|finish| finish.value);
        finishes.dedup_by_key(|finish| finish.value);
        let cushion = cushion.unwrap_or_else(|| cushion_of(inputs));
        let slowest_safe = slowest_safe(race, cushion);
        let safe_chance = match slowest_safe {
            Safe::Finish { finish, .. } => {
                prospect(race, finish).and_then(|prospect| prospect.schedule.chance)
            }
            _ => None,
        };
        Outlook {
            target: target.map(|target| target.value),
            safe_chance,
            prospects: finishes
                .iter()
                .filter_map(|finish| prospect(race, finish.value))
                .collect(),
            hoped: (target.is_none() && estimate.is_none())
                .then(|| Hoped::of(race, slowest_safe))
                .flatten(),
            estimate,
            cushion,
            slowest_safe,
            accepted: accepted(race),
        }
    }

    /// Stations with a cutoff, in course order.
    #[must_use]
    pub fn limited(&self, race: &Race) -> Vec<usize> {
        let limits = race.limits.iter().enumerate();
        limits
            .filter_map(|(station, limit)| limit.map(|_| station))
            .collect()
    }
}

fn prospect(race: &Race, finish: Elapsed) -> Option<Prospect> {
    let goal = Goal {
        finish_s: finish.as_s(),
        stops_s: race.stops_s.clone(),
    };
    let pacing = pacing::solve(&race.course, &race.conditions, &race.settings, &goal).ok()?;
    Some(Prospect {
        finish,
        schedule: race.lay_out(&pacing),
    })
}
