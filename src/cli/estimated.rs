//! A race whose finish nobody has set: estimated from past results, or hoped for.

use sutler::diagnostics::{Diagnostic, Notes, Spanned};
use sutler::finish::{self, Hoped};
use sutler::inputs::Inputs;
use sutler::plan::Race;
use sutler::time::Elapsed;

use super::load::Loaded;

/// Nights are laid out for so long before anybody has said how long the race takes.
const UNKNOWN: Elapsed = Elapsed::from_secs(60 * 3600);

/// True where no finish is set, so that one is estimated or hoped for.
pub(crate) fn is_unset(inputs: &Inputs) -> bool {
    let own = &inputs.plan;
    own.finish.is_none() && (own.other_finishes.is_empty() || !own.past.is_empty())
}

/// The race, over as much time as its estimated finish may take.
pub(crate) fn race(loaded: &mut Loaded) -> Option<Race> {
    let own = &loaded.inputs.plan;
    let longest = own
        .finish
        .iter()
        .chain(&own.other_finishes)
        .map(|f| f.value)
        .fold(UNKNOWN, Elapsed::max);
    let race = Race::prepare(&loaded.inputs, longest, &mut loaded.notes)?;
    match &race.estimate {
        Some(estimate) if estimate.late > longest => {
            // what there is to say about the course was said the first time
            Race::prepare(&loaded.inputs, estimate.late, &mut Notes::new())
        }
        _ => Some(race),
    }
}

/// Finishes for a plan that sets none: of past results, else one to hope for; `None` where the notes
/// say why not.
pub(crate) fn estimated(loaded: &mut Loaded) -> Option<(Race, Vec<Spanned<Elapsed>>)> {
    let race = race(loaded)?;
    if let Some(estimate) = &race.estimate {
        loaded.notes.push(
            Diagnostic::warning(format!(
                "no finish is set; {} is estimated from what was run before, {} to {} is plausible",
                estimate.likely, estimate.early, estimate.late
            ))
            .hint("`sutler finish` shows how; set `finish` in the plan, or --finish"),
        );
        let targets = estimate.targets();
        return Some((race, targets));
    }
    let safe = finish::slowest_safe(&race, finish::cushion_of(&loaded.inputs));
    let hoped = Hoped::of(&race, safe)?;
    let words = hoped.words();
    loaded.notes.push(
        Diagnostic::warning(format!(
            "no finish is set, and nothing says how you run: {words}"
        ))
        .hint(finish::WAYS),
    );
    Some((race, vec![Spanned::unwritten(hoped.finish)]))
}
