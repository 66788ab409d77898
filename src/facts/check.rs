//! Facts of a check: what was read, and the losses that break the plan.

use crate::findings::FindingKind;
use crate::inputs::counted;
use crate::losses::{Breaks, Insurance, Spare, Survey};
use crate::packing::{Source, more_flasks};
use crate::time::{Elapsed, S_PER_HOUR};

use super::View;
use super::value::{each, record};

record! {
    /// A check of the files and of the plan's single losses.
    pub struct CheckFacts {
        /// Files that were read.
        pub files: usize,
        /// Warnings about them.
        pub file_warnings: usize,
        /// Losses that were tried one at a time.
        pub losses_tried: usize,
        /// Those that break the plan, worst first.
        pub broken: Vec<LossFacts>,
    }

    /// A loss that breaks the plan.
    pub struct LossFacts {
        /// Losses, as typed after `--without`.
        pub loss: String,
        /// `known beforehand` or `found out on the day`: when the runner learns of it.
        pub known: &'static str,
        /// Planned time of the stretches that fail, hours.
        pub short_h: f64,
        /// The same in words.
        pub short_words: String,
        /// Failures, in course order.
        pub failures: Vec<String>,
        /// The cheapest spare or flask that was tried and is enough.
        pub insurance: Option<String>,
    }
}

/// So many foods of one spare are told by name.
const MOST_FOODS: usize = 4;

impl CheckFacts {
    /// A check of so many files with so many warnings.
    #[must_use]
    pub fn of(view: &View<'_>, files: usize, survey: &Survey) -> CheckFacts {
        CheckFacts {
            files,
            file_warnings: view.warnings.len(),
            losses_tried: survey.tried,
            broken: each(&survey.broken, |breaks| LossFacts::of(view, breaks)),
        }
    }
}

impl LossFacts {
    fn of(view: &View<'_>, breaks: &Breaks) -> LossFacts {
        let failures = breaks.failures.iter();
        let insurance = breaks.insurance.as_ref();
        LossFacts {
            loss: breaks.loss.typed(view.race),
            known: match breaks.loss.is_found_out() {
                true => "found out on the day",
                false => "known beforehand",
            },
            short_h: super::value::tenth(breaks.hours),
            short_words: match breaks
                .failures
                .iter()
                .all(|f| f.kind == FindingKind::GearLost)
            {
                true => format!("{} without it", Elapsed::from_s(breaks.hours * S_PER_HOUR)),
                false => format!(
                    "{} short of supplies",
                    Elapsed::from_s(breaks.hours * S_PER_HOUR)
                ),
            },
            failures: failures.map(|f| f.says.show(view.units)).collect(),
            insurance: insurance.map(|insurance| insured(view, insurance)),
        }
    }
}

fn insured(view: &View<'_>, insurance: &Insurance) -> String {
    let flasks = (insurance.flasks > 0).then(|| more_flasks("", insurance.flasks).show(view.units));
    let mut parts: Vec<String> = flasks.into_iter().collect();
    parts.extend(insurance.spares.iter().map(|spare| at(view, spare)));
    parts.join("; ")
}

fn at(view: &View<'_>, spare: &Spare) -> String {
    let mut things = spare.gear.clone();
    let servings = spare.servings.iter().take(MOST_FOODS);
    things
        .extend(servings.map(|serving| counted(serving.count, &serving.food, &view.inputs.pantry)));
    if spare.servings.len() > MOST_FOODS {
        things.push("more".to_owned());
    }
    let name = &view.race.course.stations[spare.station].name;
    let place = match spare.source {
        Source::Bag => format!("in the bag for `{name}`"),
        Source::Crew => format!("with the crew at `{name}`"),
        Source::Start | Source::Station => "from the start".to_owned(),
    };
    format!("a spare {place}: {}", things.join(", "))
}
