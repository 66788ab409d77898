//! The losses that the plan cannot survive, in words.

use crate::losses::{Breaks, Insurance, Spare, Survey};
use crate::packing::Source;
use crate::plan::Race;
use crate::units::{Phrase, Quantity, Units};

use crate::facts::counted;

/// So many failures of one loss are told.
const MOST_FAILURES: usize = 3;
/// So many foods of one spare are told by name.
const MOST_FOODS: usize = 4;

/// A broken plan in lines: what is lost, and below it what fails and what to do.
#[must_use]
pub fn lines(race: &Race, survey: &Survey, units: Units) -> Vec<(String, Vec<String>)> {
    let line = |breaks: &Breaks| {
        let mut under: Vec<String> = breaks
            .failures
            .iter()
            .take(MOST_FAILURES)
            .map(|finding| finding.says.show(units))
            .collect();
        let more = breaks.failures.len().saturating_sub(MOST_FAILURES);
        if more > 0 {
            under.push(format!("and {more} more"));
        }
        under.push(match &breaks.insurance {
            Some(insurance) => format!("insurance: {}", insured(race, insurance, units)),
            None => {
                "insurance: neither a spare nor one more flask is enough; see --without".to_owned()
            }
        });
        let head = format!(
            "{}: {:.1} h are not covered",
            breaks.loss.typed(race),
            breaks.hours
        );
        (head, under)
    };
    survey.broken.iter().map(line).collect()
}

fn insured(race: &Race, insurance: &Insurance, units: Units) -> String {
    let mut parts: Vec<String> = insurance
        .flask_ml
        .map(|ml| flask(ml, units))
        .into_iter()
        .collect();
    parts.extend(insurance.spares.iter().map(|spare| at(race, spare)));
    parts.join("; ")
}

fn flask(ml: f64, units: Units) -> String {
    Phrase::new("one more flask of ")
        .and(Quantity::Volume { ml })
        .show(units)
}

fn at(race: &Race, spare: &Spare) -> String {
    let mut things = spare.gear.clone();
    things.extend(
        spare
            .servings
            .iter()
            .take(MOST_FOODS)
            .map(|serving| counted(serving.count, &serving.food)),
    );
    if spare.servings.len() > MOST_FOODS {
        things.push("more".to_owned());
    }
    let name = &race.course.stations[spare.station].name;
    let place = match spare.source {
        Source::Bag => format!("in the bag for `{name}`"),
        Source::Crew => format!("with the crew at `{name}`"),
        Source::Start | Source::Station => "from the start".to_owned(),
    };
    format!("spare {place}: {}", things.join(", "))
}
