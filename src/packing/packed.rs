//! Packed things, their places and their sources.

use crate::findings::Finding;
use crate::words::named;

/// Everything that is packed.
#[derive(Clone, Debug, Default)]
#[non_exhaustive]
pub struct Packing {
    /// One per supply point, in course order; the start is the first.
    pub pickups: Vec<Pickup>,
    /// One per place with a drop bag, in order of the first visit.
    pub bags: Vec<Bag>,
    /// Things that each crew meeting hands over, by station index.
    pub handovers: Vec<Handover>,
    /// Things to have and to buy, in the order of the pantry.
    pub shopping: Vec<Provision>,
    /// Caffeine taken on each segment and left at its end.
    pub caffeine: Vec<CaffeineShare>,
    /// Batteries and lamps that go on after the first, in course order.
    pub lamp_changes: Vec<LampChange>,
    /// Findings: needs that cannot be carried or supplied.
    pub findings: Vec<Finding>,
}

/// A fresh battery, or the next lamp, on the way.
#[derive(Clone, Debug, PartialEq)]
pub struct LampChange {
    /// The last station that no runner, early, likely or late, comes to in the dark without light.
    pub station: usize,
    /// The piece that goes on, as it is printed.
    pub to: String,
    /// Life of what burned before, hours.
    pub lasted_h: f64,
    /// True where some of it was burned in the cold, where a battery lasts less long.
    pub is_cold: bool,
    /// True where what burns is fresh at the station and goes out before the next: this piece goes
    /// in on the way.
    pub on_the_way: bool,
    /// Life that a likely runner has left of what comes out, hours.
    pub left_h: f64,
    /// True where what comes out stays with the runner, to go back in later.
    pub keep: bool,
    /// True where a likely runner's light would last.
    pub only_late: bool,
}

impl Packing {
    /// Gear that the crew has before the race, one list a handover: what the runner gives them on
    /// the way is not among it.
    #[must_use]
    pub fn crew_gear(&self) -> Vec<Vec<&str>> {
        let mut taken_back: Vec<&String> = Vec::new();
        let mut own = Vec::new();
        for handover in &self.handovers {
            let gear = handover.gear.iter();
            let brought = gear.filter(|name| !taken_back.contains(name));
            own.push(brought.map(String::as_str).collect());
            taken_back.extend(&handover.take_back);
        }
        own
    }
}

/// Fills and servings to leave a supply point with, to last until the next.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Pickup {
    /// The station.
    pub station: usize,
    /// The next supply point.
    pub until: usize,
    /// Fluid to leave with, millilitres, as the flasks are filled: at least [`Pickup::carry_ml`]
    /// where they hold it. Where this station has no water it is what must be left.
    pub fluid_ml: f64,
    /// Fluid that lets thirst decide until the next station with water, millilitres.
    pub carry_ml: f64,
    /// The part of it likely drunk until then, millilitres.
    pub way_ml: f64,
    /// The part of it likely drunk until the next supply point, water in food included,
    /// millilitres; never above sweat.
    pub drink_ml: f64,
    /// The next station with water, or the finish.
    pub until_water: usize,
    /// Where the flasks are likely empty before that; nothing where they last.
    pub runs_dry: Option<RunsDry>,
    /// Fluid in all flasks, millilitres; 0 where the runner did not say.
    pub capacity_ml: f64,
    /// Servings to leave with and eat before the next supply point; those with an earlier
    /// [`Serving::at`] are in the pockets already.
    pub take: Vec<Serving>,
    /// Servings to pick up here as well, for stretches after the next supply point.
    pub for_later: Vec<Serving>,
    /// Servings to eat or drink on the spot.
    pub here: Vec<Serving>,
    /// Servings that stay in the pockets in case of need, and are counted nowhere; at the start.
    pub reserve: Vec<Serving>,
    /// Plain water to fill up, millilitres: the fluid to leave with, less the drinks and the water
    /// they are mixed with. 0 where there is none to be had.
    pub water_ml: f64,
    /// Fill of each flask on leaving, in the order of the runner's list; empty where flasks are
    /// not known or cannot be filled here.
    pub flasks: Vec<Flask>,
    /// Mix in the flasks on leaving, and what of it is drunk until the next supply point,
    /// millilitres.
    pub mix_ml: (f64, f64),
    /// Of the supply below, what is had on the spot.
    pub spot: SpotSupply,
    /// Water in the food eaten until the next supply point, on the spot included, millilitres: it
    /// counts as fluid, but no flask is filled less for it.
    pub food_water_ml: f64,
    /// Mass of the food in the pockets on leaving, grams.
    pub food_g: f64,
    /// Mass of the gear on leaving, worn or carried, grams; pieces without a mass are not in it.
    pub gear_g: f64,
    /// Energy of the servings, kilocalories.
    pub energy_kcal: f64,
    /// Supply of the servings, against the need until the next supply point.
    pub carbs_g: (f64, f64),
    /// Sodium supplied and needed, milligrams.
    pub sodium_mg: (f64, f64),
    /// Caffeine supplied, and the dose of it, milligrams.
    pub caffeine_mg: (f64, f64),
    /// Gear to put on or take up here.
    pub gear_on: Vec<String>,
    /// Gear no longer needed from here.
    pub gear_off: Vec<String>,
}

/// A place where full flasks are likely empty, and the flasks that would do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RunsDry {
    /// Distance by the organiser's count, metres.
    pub official_m: f64,
    /// How often the flasks are to be filled on the way.
    pub fills: u32,
    /// Flasks more, of [`super::FLASK_ML`] each.
    pub flasks: u32,
}

/// Servings had on the spot, and never carried.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SpotSupply {
    /// Carbohydrate, grams.
    pub carbs_g: f64,
    /// Sodium, milligrams.
    pub sodium_mg: f64,
    /// Water, millilitres.
    pub water_ml: f64,
}

/// A flask on leaving a station.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Flask {
    /// Its size, millilitres.
    pub size_ml: f64,
    /// Its contents, millilitres; 0 is carried empty.
    pub fluid_ml: f64,
    /// The drink in it and how many servings go into this flask here, none where it is what is left
    /// of an earlier fill; `None` is plain water or nothing.
    pub drink: Option<(String, u32)>,
}

/// Servings of one food from one source.
#[derive(Clone, Debug, PartialEq)]
pub struct Serving {
    /// The food's name in the pantry.
    pub food: String,
    /// The number of servings.
    pub count: u32,
    /// Their source.
    pub source: Source,
    /// The station where they come into the runner's hands.
    pub at: usize,
}

named! {
    /// The source of a thing.
    #[derive(PartialOrd, Ord)]
    pub enum Source {
        /// Carried from the start.
        Start = "start",
        /// The station offers it.
        Station = "station",
        /// The runner's own drop bag at this place.
        Bag = "bag",
        /// The crew hands it over.
        Crew = "crew",
    }
}

/// A drop bag: one per place, serving every visit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Bag {
    /// Index of the place.
    pub place: usize,
    /// Servings to put in before the race, those of all visits together.
    pub servings: Vec<Serving>,
    /// Gear to put in before the race; what is left in the bag on one visit and taken out on
    /// another is not among it.
    pub gear: Vec<String>,
    /// Its contents, visit by visit.
    pub visits: Vec<BagVisit>,
    /// Gear left in it and not taken out again: it comes home with the bag.
    pub returns: Vec<String>,
}

/// Things taken out of a bag on one visit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BagVisit {
    /// The station.
    pub station: usize,
    /// Servings to take out.
    pub servings: Vec<Serving>,
    /// The same servings by the stretch they are eaten on, in order of use.
    pub in_order: Vec<Ration>,
    /// Gear to take out.
    pub gear: Vec<String>,
    /// Gear to leave behind.
    pub leave: Vec<String>,
}

/// Things that the crew hands over at one station.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Handover {
    /// The station.
    pub station: usize,
    /// Servings.
    pub servings: Vec<Serving>,
    /// Water to bring because the station has none, millilitres, in whole bottles; for mixes too.
    pub water_ml: f64,
    /// Gear to hand over.
    pub gear: Vec<String>,
    /// Gear to take back.
    pub take_back: Vec<String>,
}

/// Food for one stretch out of one visit to a bag.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ration {
    /// The supply point that the stretch leaves.
    pub from: usize,
    /// The one it leads to, or the finish.
    pub until: usize,
    /// Servings.
    pub servings: Vec<Serving>,
}

/// Stock of one food that there should be before the race.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Provision {
    /// The food's name in the pantry.
    pub food: String,
    /// Own servings that are packed, those of all places and the reserve together.
    pub servings: u32,
    /// Servings that stations give.
    pub from_stations: u32,
    /// Of the own servings, those in reserve.
    pub reserve: u32,
    /// Spare servings to have besides.
    pub spare: u32,
    /// Servings the runner has; `None` where nobody counted.
    pub stock: Option<u32>,
    /// The servings missing of plan and spares; `None` where nobody counted.
    pub buy: Option<u32>,
    /// Places where the own servings are packed.
    pub packed: Vec<Packed>,
}

impl Provision {
    /// Own servings in someone's hands, all places together.
    #[must_use]
    pub fn with(&self, source: Source) -> u32 {
        let packed = self.packed.iter().filter(|p| p.source == source);
        packed.map(|p| p.count).sum()
    }
}

/// Own servings of one food at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Packed {
    /// In whose hands.
    pub source: Source,
    /// Index of the place.
    pub place: usize,
    /// The number of servings.
    pub count: u32,
}

/// Caffeine on one segment.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CaffeineShare {
    /// Taken on it with what is packed, milligrams.
    pub mg: f64,
    /// Left in the body at its end, milligrams, with a mean half-life.
    pub left_mg: f64,
}
