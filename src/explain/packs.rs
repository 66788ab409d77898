//! Numbers of the packs: what a supply point is left with, and how far that has to last.

use crate::facts::{PickupFacts, ServingFacts};

use super::What;
use super::question::{Question, Working};

pub(super) const LASTS: What = What {
    name: "lasts",
    key: "until_m",
    meaning: "Distance to the next supply point, which flasks and pockets have to last for.",
    formula: "official distances of the two supply points",
    build: |asked| {
        let pickup = pickup(asked)?;
        asked
            .of_station(&pickup.length.text)
            .step("next supply point", &pickup.until)
            .step("next water", &pickup.until_water)
            .into()
    },
};

pub(super) const FLASKS: What = What {
    name: "flasks",
    key: "flasks_ml",
    meaning: "Fluid in the flasks on leaving.",
    formula: "what the segments to the next water may take at the high end of sweat, filled up by \
              quarters of a flask",
    build: |asked| {
        let pickup = pickup(asked)?;
        let draft = asked
            .of_station(&pickup.fluid.text)
            .step("the flasks hold", &pickup.capacity.text)
            .step("plain water", &pickup.water.text);
        let words = pickup.flasks_words.iter();
        Some(words.fold(draft, |draft, words| draft.step("filled", words)))
    },
};

pub(super) const PACKED: What = What {
    name: "packed",
    key: "packed_carbs_g",
    meaning: "Carbohydrate in what is eaten and drunk until the next supply point.",
    formula: "sum over the servings of the carbohydrate that the pantry gives",
    build: |asked| {
        let pickup = pickup(asked)?;
        let draft = asked.of_station(&pickup.carbs.text);
        let draft = draft.step("needed", &pickup.carbs_needed.text);
        Some(listed(draft, &pickup.take))
    },
};

pub(super) const LOAD: What = What {
    name: "load",
    key: "load_kg",
    meaning: "Mass of all that is worn and carried on leaving.",
    formula: "food, fluid, and the gear whose mass is known",
    build: |asked| {
        let pickup = pickup(asked)?;
        asked
            .of_station(&pickup.load.text)
            .step("food", &pickup.food.text)
            .step("fluid", &pickup.fluid.text)
            .step("gear", &pickup.gear.text)
            .into()
    },
};

pub(super) const HERE: What = What {
    name: "here",
    key: "here",
    meaning: "Servings eaten and drunk standing at the station.",
    formula: "one to three things at stops of 5 minutes and more, fresh and warm food first",
    build: |asked| Some(counted(asked, &pickup(asked)?.here)),
};

pub(super) const TAKE: What = What {
    name: "take",
    key: "take",
    meaning: "Servings to leave with and eat before the next supply point.",
    formula: "the runner's rhythm by whole servings, as near the carbohydrate needed as these come",
    build: |asked| Some(counted(asked, &pickup(asked)?.take)),
};

fn pickup<'a>(asked: &Question<'a>) -> Option<&'a PickupFacts> {
    let mut pickups = asked.planned.pickups.iter();
    pickups.find(|pickup| pickup.number == asked.here().number)
}

fn counted(asked: &Question<'_>, servings: &[ServingFacts]) -> Working {
    let count: u32 = servings.iter().map(|one| one.count).sum();
    listed(asked.of_station(count.to_string()), servings)
}

fn listed(draft: Working, servings: &[ServingFacts]) -> Working {
    let draft = draft.step("things", servings.len().to_string());
    let listed = servings.iter();
    listed.fold(draft, |draft, one| draft.step(one.source, &one.text))
}
