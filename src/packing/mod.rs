//! Packing: things carried out of each supply point with their source, and the contents of each
//! bag.
//!
//! A supply point is a station where something can be had: the start, whatever the organiser
//! offers, a drop bag, the crew. What is eaten on the stretch until the next one is chosen
//! together: [`choose()`](choose::choose) finds the cheapest servings of one stretch, and
//! `shares` what the stretches share. The runner's own food for a stretch comes into their hands as
//! late as it can. Gear is taken up at the last chance before it is needed by
//! anyone within the window from early to late arrival, and left at the first chance after.

pub mod choose;

mod bags;
mod caffeine;
mod carry;
mod doses;
mod exchanges;
mod fills;
mod flasks;
mod gear;
mod given;
mod lamps;
mod limits;
mod losses;
mod meals;
mod menu;
mod mixed;
mod mixes;
mod moves;
mod needs;
mod offers;
mod packed;
mod pockets;
mod refills;
mod reserve;
mod rhythm;
mod salt;
mod search;
mod shopping;
mod shortfalls;
mod stores;
mod supply;
mod taste;
mod totals;
mod usual_gear;
mod ways;

#[cfg(test)]
pub(crate) mod tests;

use crate::course::Course;
use crate::exposure::{Exposures, WindowExposures};
use crate::fueling::Fueling;
use crate::inputs::Inputs;
use crate::schedule::Schedule;

pub use flasks::{FLASK_ML, MOST_FLASKS, more_flasks};
pub(crate) use gear::demanded;
pub use losses::Losses;
pub use packed::{
    Bag, BagVisit, CaffeineShare, Flask, Handover, LampChange, Packed, Packing, Pickup, Provision,
    Ration, RunsDry, Serving, Source,
};
pub use rhythm::is_dose;

use given::Given;

/// A race to pack for, once or with one loss after another.
#[derive(Clone, Debug)]
pub struct Packer<'a> {
    course: &'a Course,
    schedule: &'a Schedule,
    fueling: &'a Fueling,
    sky: &'a WindowExposures,
}

impl<'a> Packer<'a> {
    /// # Panics
    /// Where schedule or fueling are not those of this course (one split per station, one need per
    /// segment); packing does, too.
    #[must_use]
    pub fn new(
        course: &'a Course,
        schedule: &'a Schedule,
        exposures: &'a Exposures,
        fueling: &'a Fueling,
    ) -> Packer<'a> {
        Packer {
            course,
            schedule,
            fueling,
            sky: &exposures.window,
        }
    }

    /// Servings, fluid and gear out of every supply point, and what must lie in bags and with the
    /// crew for that, from what is left after some losses: a bag that did not arrive, a crew stuck
    /// on a road, a dry station, a food that is gone, a lost flask.
    ///
    /// A need that cannot be carried or supplied is said in [`Packing::findings`], never clipped.
    #[must_use]
    pub fn pack(&self, losses: &Losses, inputs: &Inputs) -> Packing {
        pack(&self.given(inputs), self.sky, losses, search::choose, true)
    }

    /// The same to see what fails: needs that servings do not meet are no failures, and are neither
    /// found nor given ways out.
    #[must_use]
    pub fn trial(&self, losses: &Losses, inputs: &Inputs) -> Packing {
        pack(&self.given(inputs), self.sky, losses, search::choose, false)
    }

    /// The same with servings chosen roughly: a stretch that is fed here is fed.
    #[must_use]
    pub fn rough_trial(&self, losses: &Losses, inputs: &Inputs) -> Packing {
        pack(
            &self.given(inputs),
            self.sky,
            losses,
            search::choose_roughly,
            false,
        )
    }

    fn given<'b>(&'b self, inputs: &'b Inputs) -> Given<'b> {
        Given {
            course: self.course,
            schedule: self.schedule,
            fueling: self.fueling,
            inputs,
        }
    }
}

/// The choice of servings that a race comes to: what [`choose::choose`] chooses from, for other
/// solvers to be asked as well.
///
/// # Panics
/// As [`Packer::new`].
#[must_use]
pub fn put_up(
    losses: &Losses,
    course: &Course,
    schedule: &Schedule,
    fueling: &Fueling,
    inputs: &Inputs,
) -> choose::ServingProblem {
    let stores = stores::Stores::of(course, inputs, losses);
    let given = Given {
        course,
        schedule,
        fueling,
        inputs,
    };
    menu::Feeding::plan(&given, &stores, search::settled)
        .menu
        .problem
}

/// Packs under known conditions.
fn pack(
    given: &Given<'_>,
    sky: &WindowExposures,
    losses: &Losses,
    choose: menu::Choose,
    shortfalls: bool,
) -> Packing {
    let Given { course, inputs, .. } = *given;
    let stores = stores::Stores::of(course, inputs, losses);
    let day = menu::Feeding::plan(given, &stores, choose);
    let gear = gear::plan(course, sky, &stores.access, inputs, losses);
    let mut pickups = carry::pickups(given, &day);
    gear::hand_out(&gear.moves, &inputs.gear, &mut pickups);

    let mut findings = carry::findings(given, &day, &pickups, shortfalls);
    if shortfalls {
        findings.extend(shortfalls::findings(given, &day));
    }
    findings.extend(totals::findings(given, &day));
    findings.extend(gear.findings);
    findings.extend(
        shortfalls
            .then(|| usual_gear::gaps(course, sky, inputs, given.fueling))
            .flatten(),
    );
    findings.extend(usual_gear::frozen(course, given.fueling));
    Packing {
        bags: bags::bags(course, &stores.access, &pickups, &gear.moves),
        handovers: bags::handovers(course, &day.points, &pickups, &gear.moves),
        shopping: shopping::list(course, &stores.pantry, &pickups),
        lamp_changes: gear.lamp_changes,
        caffeine: caffeine::along(&day, given),
        pickups,
        findings,
    }
}
