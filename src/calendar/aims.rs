//! Aims that the long runs have to test.

use crate::units::{Phrase, Quantity};
use crate::unknowns::{Cover, Unknown, UnknownKind};

/// Something that race day holds and that long runs are to test.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Aim {
    /// Name, such as a food's name.
    pub what: String,
    /// True where it is a rate of carbohydrate, which the gut has to learn first.
    pub is_carbs: bool,
    /// Number of long runs that have tested it.
    pub tested: u32,
    /// True where one of those did in full.
    pub at_full: bool,
    /// Conditions of a run that tests it in full.
    pub needs: RunNeeds,
}

/// Conditions of a run that tests something in full; one that does not matter is `None` or `false`.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct RunNeeds {
    /// Hours on feet, at least.
    pub least_h: Option<f64>,
    /// Hours in the dark, at least.
    pub dark_h: Option<f64>,
    /// Weather that nobody can order: `rain`, `cold`, `sun`.
    pub weather: Option<&'static str>,
    /// Advice for choosing route and hour, such as a long descent.
    pub look_for: Option<Phrase>,
}

/// Foods that were eaten before, as one thing.
const EATEN: &str = "your foods as often as planned";

/// Demands of the plan that too few long runs have tested, as aims.
#[must_use]
pub fn aims(unknowns: &[Unknown]) -> Vec<Aim> {
    let unknown = unknowns.iter().filter(|one| !one.is_known());
    let mut aims: Vec<Aim> = Vec::new();
    for one in unknown {
        // foods that went down once are tried together
        let is_eaten = one.kind == UnknownKind::Food && one.tested > 0;
        let what = if is_eaten { EATEN } else { &one.what };
        if is_eaten && let Some(foods) = aims.iter_mut().find(|aim| aim.what == EATEN) {
            foods.tested = foods.tested.min(one.tested);
            foods.at_full &= one.at_full;
            continue;
        }
        aims.push(Aim {
            what: what.to_owned(),
            is_carbs: one.kind == UnknownKind::Carbs,
            tested: one.tested,
            at_full: one.at_full,
            needs: needs(&one.covered_by),
        });
    }
    aims
}

fn needs(cover: &Cover) -> RunNeeds {
    let height = |words: &str, m: f64| {
        Phrase::new(format!("there is {words} of "))
            .and(Quantity::Height { m })
            .and(" in one go, or the longest there is, several times")
    };
    let warm = cover.warm_c.map(|c| {
        Phrase::new("it is ")
            .and(Quantity::Temperature { c })
            .and(" or warmer: the warmest hours, and never against a heat warning")
    });
    let stop = cover
        .laid_out_stop
        .then(|| Phrase::new("a bag or the crew waits along the way"));
    let climb = cover.climb_m.map(|m| height("a climb", m));
    let descent = cover.descent_m.map(|m| height("a descent", m));
    RunNeeds {
        least_h: cover.least_h,
        dark_h: cover.dark_h,
        weather: cover.weather,
        look_for: climb.or(descent).or(warm).or(stop),
    }
}
