//! What is carried out of each supply point and where it comes from; what lies in each bag.

mod bags;
mod choose;
mod gear;
mod supply;

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
    /// Fluid to leave with, millilitres, and the need it covers.
    pub fluid_ml: f64,
    /// What the flasks hold in all, millilitres.
    pub capacity_ml: f64,
    /// Servings to leave with.
    pub take: Vec<Serving>,
    /// Servings to eat or drink on the spot.
    pub here: Vec<Serving>,
    /// Plain water to fill up, millilitres.
    pub water_ml: f64,
    /// What the servings supply, against what is needed until the next supply point.
    pub carbs_g: (f64, f64),
    /// Sodium supplied and needed, milligrams.
    pub sodium_mg: (f64, f64),
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
    /// Gear to hand over.
    pub gear: Vec<String>,
    /// Gear to take back.
    pub take_back: Vec<String>,
}

/// Packs for every segment.
#[must_use]
pub fn distribute(
    _course: &Course,
    _conditions: &Conditions,
    _schedule: &Schedule,
    _fueling: &Fueling,
    _inputs: &Inputs,
) -> Packing {
    Packing::default()
}
