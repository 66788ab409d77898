//! What the long runs have to test.

use crate::units::{Phrase, Quantity};
use crate::unknowns::{Cover, Unknown, UnknownKind};

/// Something that race day holds and that long runs are to test.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Aim {
    /// Name, such as a food's name.
    pub what: String,
    /// Lower-case words that programs can match, such as `food`.
    pub kind: &'static str,
    /// Demand of the race.
    pub wants: Phrase,
    /// Number of long runs that had tested it on the first day of the calendar.
    pub tested: u32,
    /// Whether one of those did in full.
    pub at_full: bool,
    /// Number that have since.
    pub tested_since: u32,
    /// Whether one of those did in full.
    pub at_full_since: bool,
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

/// Demands of the plan as aims, from how often it was tested by the first day of the calendar
/// and by now.
#[must_use]
pub fn aims(then: &[Unknown], now: &[Unknown]) -> Vec<Aim> {
    let known = |one: &Unknown| {
        now.iter()
            .find(|n| n.kind == one.kind && n.what == one.what)
    };
    let aims = then.iter().map(|one| {
        let now = known(one).unwrap_or(one);
        Aim {
            what: one.what.clone(),
            kind: one.kind.name(),
            wants: one.wants.clone(),
            tested: one.tested,
            at_full: one.at_full,
            tested_since: now.tested.saturating_sub(one.tested),
            at_full_since: now.at_full && !one.at_full,
            needs: needs(&one.covered_by),
        }
    });
    let mut all: Vec<Aim> = aims
        .filter(|aim| !(aim.tested > 1 && aim.at_full))
        .collect();
    let kit = kit(&all);
    all.retain(|aim| !is_kit(aim));
    all.extend(kit);
    all
}

/// Gear that asks for no hour or weather.
fn is_kit(aim: &Aim) -> bool {
    aim.kind == UnknownKind::Gear.name() && aim.needs == RunNeeds::default()
}

/// All such gear as one thing: it is tested by wearing and carrying it, as a whole.
fn kit(all: &[Aim]) -> Option<Aim> {
    let worn = || all.iter().filter(|aim| is_kit(aim));
    Some(Aim {
        what: "whole kit worn".to_owned(),
        kind: UnknownKind::Gear.name(),
        wants: Phrase::new("worn or carried all the way"),
        tested: worn().map(|aim| aim.tested).min()?,
        at_full: worn().all(|aim| aim.at_full),
        tested_since: worn().map(|aim| aim.tested_since).min()?,
        at_full_since: worn().all(|aim| aim.at_full || aim.at_full_since),
        needs: RunNeeds::default(),
    })
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
