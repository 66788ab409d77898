//! A finish to plan for when nothing is known of the runner.

use crate::ability::Basis;
use crate::plan::Race;
use crate::time::Elapsed;

use super::{Safe, accepted};

/// Of runners who finish, this share is faster: who has never run so far is planned behind most.
const FASTER: f64 = 0.75;

/// A finish that nothing but course and cutoffs speaks for: a hope.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Hoped {
    /// The finish.
    pub finish: Elapsed,
    /// One in ten who finish is faster.
    pub early: Elapsed,
    /// One in ten is slower.
    pub late: Elapsed,
    /// True where the cutoffs ask for a finish faster than three in four who finish such a race run.
    pub by_cutoffs: bool,
    /// True where early and late are those of a former field, not of any race like it.
    pub of_the_field: bool,
}

impl Hoped {
    /// The hope of a race whose basis is one; `None` where anything better is known.
    #[must_use]
    pub fn of(race: &Race, slowest_safe: Safe) -> Option<Hoped> {
        let spread = race
            .rests
            .expected
            .filter(|_| race.rests.on == Basis::Hope)?;
        let minute = |share: f64| Elapsed::from_s(spread.quantile_s(share)).to_minute();
        let safe = match slowest_safe {
            Safe::Finish { finish, .. } => Some(finish),
            _ => None,
        };
        let (fastest, slowest) = accepted(race);
        let usual = minute(FASTER).max(fastest).min(slowest);
        Some(Hoped {
            finish: safe.map_or(usual, |safe| safe.min(usual)),
            early: minute(0.1),
            late: minute(0.9),
            by_cutoffs: safe.is_some_and(|safe| safe < usual),
            of_the_field: race.field.is_some(),
        })
    }

    /// The hope, and what it is made of, in words.
    #[must_use]
    pub fn words(&self) -> String {
        let finish = self.finish;
        let (early, late) = (self.early, self.late);
        let whose = if self.of_the_field {
            "a former edition"
        } else {
            "races this long and steep"
        };
        let why = if self.by_cutoffs {
            "the slowest finish with time in hand at every cutoff"
        } else {
            "three of four finishers are faster"
        };
        format!("{finish} is a hope: {why}; 8 in 10 finishers of {whose} take {early} to {late}")
    }
}

/// The ways to a better finish, in words.
pub const WAYS: &str = "there are three ways to a better one: what you ran, `--past 50km/1800m/8:30:00` or \
                        `[[past]]` in the plan; your own target, `--finish` or `finish` in the plan; the \
                        slowest that the cutoffs allow, as `sutler finish` shows";
