//! Losses, tried one by one: a bag that did not come, a crew stuck on a road, a dry
//! station, a food the stomach refuses, a lost flask. As the user says, or each in turn.

mod insurance;
mod loss;
mod survey;
mod trial;
mod typed;

pub use insurance::{Insurance, Spare};
pub use loss::Loss;
pub(crate) use survey::is_vital;
pub use survey::{Breaks, Survey, survey};
pub use typed::read;

use crate::plan::Race;

/// The losses a race is planned without, each as it is typed after `--without`.
#[must_use]
pub fn named(race: &Race) -> Vec<String> {
    let losses = &race.losses;
    let bags = losses.bags.iter().map(|place| Loss::Bag(*place));
    let whole_crew = !losses.crew.is_empty() && losses.crew.len() == race.course.places.len();
    let crew = losses.crew.iter().filter(|_| !whole_crew);
    let crew = crew.map(|place| Loss::Crew(*place));
    let offers = losses.offers.iter().map(|place| Loss::Offers(*place));
    let items = losses.items.iter().map(|name| Loss::Item(name.clone()));
    let flasks = (0..losses.flasks).map(|_| Loss::Flask);
    let all = bags.chain(crew).chain(offers).chain(items).chain(flasks);
    let all = all.map(|loss| loss.typed(race));
    whole_crew
        .then(|| "crew".to_owned())
        .into_iter()
        .chain(all)
        .collect()
}
