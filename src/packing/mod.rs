//! What is carried out of each supply point and where it comes from; what lies in each bag.
//!
//! A supply point is a station where something can be had: the start, whatever the organiser
//! offers, a drop bag, the crew. What is eaten on the stretch until the next one is chosen
//! together ([`choose`] is the only place that chooses); the runner's own food for a stretch comes
//! into their hands as late as it can. Gear is taken up at the last chance before it is needed by
//! anyone within the window from early to late arrival, and left at the first chance after.

pub mod choose;

mod bags;
mod carry;
mod cost;
mod exposure;
mod gear;
mod lamps;
mod menu;
mod shortfalls;
mod supply;

#[cfg(test)]
mod properties;
#[cfg(test)]
mod scenarios;
#[cfg(test)]
pub(crate) mod testing;

use crate::conditions::Conditions;
use crate::course::Course;
use crate::findings::Finding;
use crate::fueling::Fueling;
use crate::inputs::Inputs;
use crate::schedule::Schedule;

/// Everything that is packed.
#[derive(Clone, Debug, Default)]
#[non_exhaustive]
pub struct Packing {
    /// One per supply point, in course order; the start is the first.
    pub pickups: Vec<Pickup>,
    /// One per place with a drop bag, in order of the first visit.
    pub bags: Vec<Bag>,
    /// What each crew meeting hands over, by station index.
    pub handovers: Vec<Handover>,
    /// What cannot be carried or supplied.
    pub findings: Vec<Finding>,
}

/// What to leave a supply point with, to last until the next.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Pickup {
    /// The station.
    pub station: usize,
    /// The next supply point.
    pub until: usize,
    /// Fluid to leave with, millilitres: with its reserve, until the next station with water.
    /// Where this one has none it is what must be left.
    pub fluid_ml: f64,
    /// The next station with water, or the finish.
    pub until_water: usize,
    /// What the flasks hold in all, millilitres; 0 where the runner did not say.
    pub capacity_ml: f64,
    /// Servings to leave with and eat before the next supply point; those with an earlier
    /// [`Serving::at`] are in the pockets already.
    pub take: Vec<Serving>,
    /// Servings to pick up here as well, for stretches after the next supply point.
    pub for_later: Vec<Serving>,
    /// Servings to eat or drink on the spot.
    pub here: Vec<Serving>,
    /// Plain water to fill up, millilitres: the fluid to leave with, less the drinks and the water
    /// they are mixed with. 0 where there is none to be had.
    pub water_ml: f64,
    /// Mass of the food in the pockets on leaving, grams.
    pub food_g: f64,
    /// What the servings supply, against what is needed until the next supply point.
    pub carbs_g: (f64, f64),
    /// Sodium supplied and needed, milligrams.
    pub sodium_mg: (f64, f64),
    /// Caffeine supplied and planned, milligrams.
    pub caffeine_mg: (f64, f64),
    /// Gear to put on or take up here.
    pub gear_on: Vec<String>,
    /// Gear no longer needed from here.
    pub gear_off: Vec<String>,
}

/// Servings of one food from one source.
#[derive(Clone, Debug, PartialEq)]
pub struct Serving {
    /// The food's name in the pantry.
    pub food: String,
    /// How many.
    pub count: u32,
    /// Where they come from.
    pub source: Source,
    /// The station where they come into the runner's hands.
    pub at: usize,
}

/// Where a thing comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Source {
    /// Carried from the start.
    Start,
    /// The station offers it.
    Station,
    /// The runner's own drop bag at this place.
    Bag,
    /// The crew hands it over.
    Crew,
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
    /// What is in it, visit by visit.
    pub visits: Vec<BagVisit>,
}

/// What a bag is opened for on one visit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BagVisit {
    /// The station.
    pub station: usize,
    /// Servings to take out.
    pub servings: Vec<Serving>,
    /// Gear to take out.
    pub gear: Vec<String>,
    /// Gear to leave behind.
    pub leave: Vec<String>,
}

/// What the crew hands over at one station.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Handover {
    /// The station.
    pub station: usize,
    /// Servings.
    pub servings: Vec<Serving>,
    /// Water to bring because the station has none, millilitres; mixes included.
    pub water_ml: f64,
    /// Gear to hand over.
    pub gear: Vec<String>,
    /// Gear to take back.
    pub take_back: Vec<String>,
}

/// Packs for every segment: servings, fluid and gear out of every supply point, and what must lie
/// in bags and with the crew for that.
///
/// What cannot be carried or supplied is said in [`Packing::findings`], never clipped.
///
/// # Panics
/// Where schedule or fueling are not those of this course (one split per station, one need per
/// segment).
#[must_use]
pub fn distribute(
    course: &Course,
    conditions: &Conditions,
    schedule: &Schedule,
    fueling: &Fueling,
    inputs: &Inputs,
) -> Packing {
    let sky = exposure::along(course, conditions, schedule);
    pack(course, &sky, schedule, fueling, inputs)
}

/// Packs under known conditions.
fn pack(
    course: &Course,
    sky: &exposure::Sky,
    schedule: &Schedule,
    fueling: &Fueling,
    inputs: &Inputs,
) -> Packing {
    let points = supply::points(course, schedule, inputs);
    let meals = menu::plan(&points, fueling, inputs);
    let gear = gear::plan(course, sky, inputs);
    let mut pickups = carry::pickups(&points, &meals, fueling, inputs);
    gear::hand_out(&gear.moves, &mut pickups);

    let mut findings = carry::findings(course, &pickups, fueling, inputs);
    findings.extend(shortfalls::findings(course, &points, &meals, inputs));
    findings.extend(gear.findings);
    Packing {
        bags: bags::bags(course, &pickups, &gear.moves),
        handovers: bags::handovers(course, &points, &pickups, &gear.moves),
        pickups,
        findings,
    }
}
