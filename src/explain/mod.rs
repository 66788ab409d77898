//! The origin of a printed number: inputs with their file and line, the formula with its source,
//! and the values between, as the plan has them.

mod body;
mod crew;
mod goals;
mod ground;
mod packs;
mod question;
mod times;

use crate::diagnostics::{Diagnostic, Sources, did_you_mean};
use crate::facts::{ExplainFacts, Facts, View};

use question::{Question, Working};

/// A number that can be explained.
#[derive(Clone, Copy, Debug)]
pub struct What {
    /// The word that is typed.
    pub name: &'static str,
    /// The key of its column in the plan's tables.
    pub key: &'static str,
    /// Its meaning, in a sentence.
    pub meaning: &'static str,
    /// The formula in words.
    pub formula: &'static str,
    build: fn(&Question<'_>) -> Option<Working>,
}

/// Every number that can be explained.
pub const WHATS: &[What] = &[
    ground::DISTANCE,
    ground::LENGTH,
    ground::CLIMB,
    ground::DESCENT,
    times::ARRIVAL,
    times::DEPARTURE,
    times::STOP,
    times::EARLY,
    times::LIKELY,
    times::LATE,
    times::CUTOFF,
    times::MARGIN,
    times::CHANCE,
    times::LEAVE_BY,
    goals::UNTIL[0],
    goals::UNTIL[1],
    goals::UNTIL[2],
    times::MOVING,
    times::PACE,
    times::WALK,
    times::DARK,
    body::TIME,
    body::TEMPERATURE,
    body::SWEAT,
    body::DRINK,
    body::CARRY,
    body::SODIUM,
    body::CARBS,
    body::ENERGY,
    body::CAFFEINE,
    crew::BE_THERE,
    crew::DRIVE,
    crew::DRIVE_OFF,
    crew::LEAVES,
    packs::LASTS,
    packs::FLASKS,
    packs::PACKED,
    packs::LOAD,
    packs::HERE,
    packs::TAKE,
];

/// Explains a number of a station, or of the segment that leads to it.
///
/// # Errors
/// A question that was not understood, with those that can be asked.
pub fn explain(
    view: &View<'_>,
    facts: &Facts,
    sources: &Sources,
    place: &str,
    what: &str,
) -> Result<ExplainFacts, Diagnostic> {
    let what = named(what)?;
    // of a place that is passed twice the first visit
    let station = view.race.course.named(place)?[0];
    let asked = Question::of(view, facts, sources, station)
        .ok_or_else(|| Diagnostic::error("there is no plan to explain"))?;
    let draft = (what.build)(&asked).ok_or_else(|| {
        let name = &facts.stations[station].station;
        Diagnostic::error(format!("`{name}` has no {} in this plan", what.name))
            .hint("ask for a number that stands in the plan's tables")
    })?;
    Ok(ExplainFacts {
        what: what.name,
        of: draft.of,
        printed: draft.printed,
        meaning: what.meaning,
        steps: draft.steps,
        formula: what.formula,
        source: draft.source,
    })
}

fn named(typed: &str) -> Result<&'static What, Diagnostic> {
    let same = |what: &&What| what.name == typed || what.key == typed;
    WHATS.iter().find(same).ok_or_else(|| {
        let names = WHATS.iter().map(|what| what.name);
        let hint = did_you_mean(typed, names.clone())
            .unwrap_or_else(|| format!("give one of {}", names.collect::<Vec<_>>().join(", ")));
        Diagnostic::error(format!("no number is called `{typed}`")).hint(hint)
    })
}
