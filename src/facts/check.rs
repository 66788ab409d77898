//! Facts of a check: what was read, and the losses that break the plan.

use crate::findings::FindingKind;
use crate::inputs::counted;
use crate::losses::{Breaks, Insurance, Loss, Spare, Survey, is_vital};
use crate::packing::{Source, demanded, more_flasks};
use crate::time::{Elapsed, S_PER_HOUR};

use super::View;
use super::value::{each, record};

record! {
    /// A check of the files and of the plan's single losses.
    pub struct CheckFacts {
        /// Files that were read.
        pub files: usize = files,
        /// Warnings about them.
        pub file_warnings: usize = view.warnings.len(),
        /// Losses that were tried one at a time.
        pub losses_tried: usize = survey.tried,
        /// Those that break the plan, worst first.
        pub broken: Vec<LossFacts> = each(&survey.broken, |breaks| LossFacts::of(view, breaks)),
    } from pub fn of(view: &View<'_>, files: usize, survey: &Survey) {}

    /// A loss that breaks the plan.
    pub struct LossFacts {
        /// Losses, as typed after `--without`.
        pub loss: String = breaks.loss.typed(view.race),
        /// `known beforehand` or `found out on the day`: when the runner learns of it.
        pub known: &'static str = match breaks.loss.is_found_out() {
            true => "found out on the day",
            false => "known beforehand",
        },
        /// True for a piece that is missed for nothing but the organiser's demand.
        pub only_demanded: bool = only_demanded,
        /// True for any other piece of gear that a second one from the start makes up for.
        pub second_at_start: bool = is_gear
            && insurance.is_some_and(|insurance| {
                let mut spares = insurance.spares.iter();
                spares.all(|spare| matches!(spare.source, Source::Start) && spare.servings.is_empty())
            })
            && !only_demanded,
        /// Planned time of the stretches that fail, hours.
        pub short_h: f64 = super::value::tenth(breaks.hours),
        /// The same in words.
        pub short_words: String = match is_gear {
            true => format!("needed for {time} of the race"),
            false => format!("{time} short of supplies"),
        },
        /// Failures, in course order.
        pub failures: Vec<String> = failures.map(|f| f.says.show(view.units)).collect(),
        /// The cheapest spare or flask that was tried and is enough.
        pub insurance: Option<String> = insurance.map(|insurance| insured(view, insurance)),
    } from fn of(view: &View<'_>, breaks: &Breaks) {
        let failures = breaks.failures.iter();
        let insurance = breaks.insurance.as_ref();
        let is_gear = breaks.failures.iter().all(|f| f.kind == FindingKind::GearLost);
        let time = Elapsed::from_s(breaks.hours * S_PER_HOUR);
        let only_demanded = match &breaks.loss {
            Loss::Item(name) => {
                demanded(&view.race.course, name) && !is_vital(view.inputs, name)
            }
            _ => false,
        };
    }
}

/// The most foods of one spare that are named.
const MOST_FOODS: usize = 4;

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
