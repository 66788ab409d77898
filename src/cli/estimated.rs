//! A race whose finish is estimated from past results.

use sutler::diagnostics::{Diagnostic, Notes, Spanned};
use sutler::plan::Race;
use sutler::time::Elapsed;

use super::load::Loaded;

/// Nights are laid out for so long before anybody has said how long the race takes.
const UNKNOWN: Elapsed = Elapsed::from_secs(60 * 3600);

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

/// Finishes estimated from past results, for a plan that sets none; `None` where the notes say why
/// not.
pub(crate) fn estimated(loaded: &mut Loaded) -> Option<(Race, Vec<Spanned<Elapsed>>)> {
    let race = race(loaded)?;
    let estimate = race.estimate.clone()?;
    loaded.notes.push(
        Diagnostic::warning(format!(
            "no finish is set; {} is estimated from what was run before, {} to {} is plausible",
            estimate.likely, estimate.early, estimate.late
        ))
        .hint("`sutler finish` shows how; set `finish` in the plan, or --finish"),
    );
    Some((race, estimate.targets()))
}
