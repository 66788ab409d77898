//! Gear that changes hands.

use crate::findings::Finding;

use super::packed::{LampChange, Source};

/// Places of all gear, with findings about it.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct GearPlan {
    /// In course order.
    pub(super) moves: Vec<Move>,
    pub(super) findings: Vec<Finding>,
    /// Batteries that go in on the way.
    pub(super) lamp_changes: Vec<LampChange>,
}

/// One piece changes hands at one station.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Move {
    /// The piece, as it is printed.
    pub(super) what: String,
    /// The station.
    pub(super) station: usize,
    /// Whose hands, besides the runner's: those at the start, the bag, the crew.
    pub(super) with: Source,
    pub(super) way: Handling,
}

/// The way that a piece goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Handling {
    /// The runner leaves it.
    Leave,
    /// The runner takes it, and it was put there before the race.
    Take,
    /// The runner takes back what they left there or with the crew.
    TakeBack,
}

/// One time of carrying a piece: taken here, left there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Carry {
    pub(super) take: (usize, Source),
    pub(super) leave: Option<(usize, Source)>,
}

impl GearPlan {
    pub(super) fn add(&mut self, name: &str, carries: &[Carry]) {
        for (index, carry) in carries.iter().enumerate() {
            let take = if index == 0 {
                Handling::Take
            } else {
                Handling::TakeBack
            };
            let hands = [
                Some((carry.take, take)),
                carry.leave.map(|at| (at, Handling::Leave)),
            ];
            for ((station, with), way) in hands.into_iter().flatten() {
                self.moves.push(Move {
                    what: name.to_owned(),
                    station,
                    with,
                    way,
                });
            }
        }
    }
}
