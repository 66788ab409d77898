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
use crate::words::same_name;

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
    let station = station(facts, place)?;
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

/// The station of a name or number; of a name that a place has twice, the first.
fn station(facts: &Facts, typed: &str) -> Result<usize, Diagnostic> {
    let stations = &facts.stations;
    let is = |name: &str| same_name(name, typed);
    let by_name = stations.iter().position(|one| is(&one.station));
    let by_number = || stations.iter().position(|one| is(&one.number));
    let by_place = || stations.iter().position(|one| is(&one.place));
    by_name.or_else(by_number).or_else(by_place).ok_or_else(|| {
        let names = stations.iter().map(|one| one.station.as_str());
        let hint = did_you_mean(typed, names).unwrap_or_else(|| {
            "give the name or number of a station; a segment goes by the station it leads to"
                .to_owned()
        });
        Diagnostic::error(format!("no station is called `{typed}`")).hint(hint)
    })
}
