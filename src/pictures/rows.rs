//! Rows of stations on a poster: which are told, and in how many lines.

use crate::facts::{Facts, PlanFacts};

/// A row of two lines, and one of a single line, need so much. Where the stations need more than
/// there is, the lesser ones have one line; of those beyond even that, it is said how many.
pub(super) const TWO_LINES: f64 = 24.5;
const ONE_LINE: f64 = 13.0;

/// A station with words.
#[derive(Clone, Copy)]
pub(super) struct Row {
    /// Its place in course order.
    pub(super) index: usize,
    /// True where it has a second line.
    pub(super) is_full: bool,
}

impl Row {
    /// The height that it needs.
    pub(super) fn high(&self) -> f64 {
        if self.is_full { TWO_LINES } else { ONE_LINE }
    }
}

/// The stations with words in so much room, in course order. Those that end or limit the race,
/// or where somebody waits, come before others. As long as there is room the finish has two lines,
/// then the tightest cutoffs, then the rest in that order.
pub(super) fn told(facts: &Facts, plan: &PlanFacts, room: f64) -> Vec<Row> {
    let rank = |index: usize| {
        let (at, split) = (&facts.stations[index], &plan.splits[index]);
        let ranks = [
            at.is_start || at.is_finish,
            split.cutoff.is_some(),
            split.meets_crew,
            at.drop_bag,
        ];
        ranks.iter().position(|is| *is).unwrap_or(ranks.len())
    };
    let mut order: Vec<usize> = (0..facts.stations.len()).collect();
    order.sort_by_key(|index| rank(*index));
    let lines = (room / ONE_LINE).floor().max(1.0) as usize;
    order.truncate(lines + 1);
    // the last row hangs below the course
    let spare = room - ONE_LINE * order.len().saturating_sub(1) as f64;
    let full = (spare / (TWO_LINES - ONE_LINE)).floor() as usize + 1;
    let hand_s = |index: usize| {
        plan.splits[index]
            .margin
            .as_ref()
            .map(|hand| hand.value as i64)
    };
    order.sort_by_key(|index| {
        let hand_s = hand_s(*index);
        let is_finish = facts.stations[*index].is_finish;
        (!is_finish, hand_s.is_none(), hand_s, rank(*index))
    });
    let ranked = order.into_iter().enumerate();
    let mut rows: Vec<Row> = ranked
        .map(|(rank, index)| Row {
            index,
            is_full: rank < full,
        })
        .collect();
    rows.sort_unstable_by_key(|row| row.index);
    rows
}
