//! The menu of the race: needs and offers put up for choice, and what is chosen.

use crate::fueling::Fueling;

use super::choose::{Had, ServingProblem, SharedLimit, StretchNeeds};
use super::given::Given;
use super::limits::{self, LimitSubject};
use super::meals::{Meal, Pick, Supply, Want};
use super::mixed::Mixed;
use super::offers::{Layout, Origin};
use super::packed::Source;
use super::pockets::Pockets;
use super::rhythm::Beat;
use super::stores::Stores;
use super::supply::{SupplyPoint, points};
use super::{doses, mixes, reserve, salt, search};

/// The needs from a supply point to the next, added up.
fn want(point: &SupplyPoint, fueling: &Fueling) -> Want {
    let mut want = Want::default();
    for need in &fueling.segments[point.station..point.until] {
        want.carbs_g += need.carbs_g;
        want.sodium_mg += need.sodium_mg;
        want.sodium_loss_mg += need.sodium_loss_mg;
        want.fluid_ml += need.fluid_ml;
        want.fluid_ceiling_ml += need.sweat_l_per_h * need.hours * 1000.0;
    }
    // needs are rounded nowhere, but a plan may equal its ceiling to the last digit
    want.fluid_ceiling_ml = want.fluid_ceiling_ml.max(want.fluid_ml);
    want
}

/// All that is eaten and drunk in the race.
#[derive(Clone, Debug)]
pub(super) struct Feeding<'a> {
    pub(super) stores: &'a Stores<'a>,
    pub(super) points: Vec<SupplyPoint>,
    pub(super) beats: Vec<Beat>,
    /// One per point.
    pub(super) meals: Vec<Meal>,
    /// Carried from the start in case of need.
    pub(super) reserve: Option<Pick>,
    pub(super) menu: Menu,
}

/// A way to choose servings: [`search::choose`], or roughly.
pub(super) type Choose = fn(&ServingProblem) -> Vec<u32>;

/// The offers put up for choice, and the choice.
#[derive(Clone, Debug, Default)]
pub(super) struct Menu {
    pub(super) problem: ServingProblem,
    /// By offer.
    pub(super) origins: Vec<Origin>,
    /// By limit.
    pub(super) about: Vec<LimitSubject>,
    /// By offer.
    pub(super) servings: Vec<u32>,
}

impl<'a> Feeding<'a> {
    /// Chooses the servings of every stretch.
    pub(super) fn plan(given: &Given<'_>, stores: &'a Stores<'a>, choose: Choose) -> Feeding<'a> {
        let points = points(given.course, given.schedule, &stores.access);
        let beats: Vec<Beat> = points.iter().map(|point| Beat::at(given, point)).collect();
        let spread = Layout {
            course: given.course,
            points: &points,
            beats: &beats,
            stores,
        };
        let mut wants: Vec<Want> = points.iter().map(|p| want(p, given.fueling)).collect();
        let doses = doses::settle(&spread, given, &mut wants);
        let mixes = mixes::settle(&spread, given, &wants, &doses);
        let mut menu = Menu::put_up(&spread, &wants, &mixes, &doses);
        menu.servings = choose(&menu.problem);
        let mut meals: Vec<Meal> = (0..points.len())
            .map(|at| menu.meal(&spread, at, wants[at], mixes[at]))
            .collect();
        let mut pockets = menu.pockets(&spread, &mixes);
        salt::add(&spread, &mut meals, &mut pockets);
        let race_h = beats.last().map_or(0.0, |beat| beat.at_h + beat.hours);
        let reserve = reserve::of(stores, &meals, &mut pockets, race_h);
        Feeding {
            stores,
            points,
            beats,
            meals,
            reserve,
            menu,
        }
    }
}

impl Menu {
    /// Puts up needs and offers.
    fn put_up(
        spread: &Layout<'_>,
        wants: &[Want],
        mixes: &[Mixed],
        doses: &[Vec<(usize, u32)>],
    ) -> Menu {
        let on = (0..spread.points.len()).flat_map(|at| spread.on(at, &doses[at]));
        let offers: Vec<_> = on.collect();
        let limits = limits::limits(spread, wants, mixes, &offers, spread.stores.day_mg);
        let (about, limits): (Vec<LimitSubject>, Vec<SharedLimit>) = limits.into_iter().unzip();
        let has_salt = spread.stores.has_salt();
        let stretch = |(at, want): (usize, &Want)| {
            let (pantry, mixed) = (&spread.stores.pantry, &mixes[at]);
            let sodium_mg = want.sodium_mg - mixed.sodium_mg(pantry);
            StretchNeeds {
                carbs_g: (want.carbs_g - mixed.carbs_g(pantry)).max(0.0),
                // salt makes up for it where there is any
                sodium_mg: if has_salt { 0.0 } else { sodium_mg.max(0.0) },
                kinds: spread.beats[at].kinds - u32::from(mixed.filled > 0),
            }
        };
        let stretches = wants.iter().enumerate().map(stretch).collect();
        let (origins, offers) = offers.into_iter().unzip();
        Menu {
            problem: ServingProblem {
                stretches,
                offers,
                limits,
            },
            origins,
            about,
            servings: Vec::new(),
        }
    }

    fn meal(&self, spread: &Layout<'_>, stretch: usize, want: Want, mixed: Mixed) -> Meal {
        let offers = self
            .problem
            .offers
            .iter()
            .zip(&self.origins)
            .zip(&self.servings);
        let chosen = offers.filter(|((offer, _), n)| offer.stretch == stretch && **n > 0);
        let pick = |((offer, origin), n): ((&super::choose::Offer, &Origin), &u32)| Pick {
            food: origin.food,
            count: *n,
            source: origin.source,
            at: spread.points[origin.point].station,
            on_the_spot: offer.way == Had::Table,
            fills_flasks: false,
        };
        let poured = poured(&mixed, spread).into_iter();
        let picks: Vec<Pick> = poured.chain(chosen.map(pick)).collect();
        let supply = Supply::of(&picks, &mixed, &spread.stores.pantry);
        Meal {
            want,
            mixed,
            supply,
            picks,
        }
    }

    /// The pockets with all that was chosen.
    fn pockets(&self, spread: &Layout<'_>, mixes: &[Mixed]) -> Pockets {
        let mut pockets = Pockets::new(spread.points.len(), None);
        for point in 0..spread.points.len() {
            let powder_g = mixes::powder_g(mixes, point, &spread.stores.pantry);
            pockets.put(point, point + 1, powder_g);
        }
        for ((offer, origin), n) in self
            .problem
            .offers
            .iter()
            .zip(&self.origins)
            .zip(&self.servings)
        {
            let mass_g = spread.stores.pantry[origin.food].mass_g;
            for point in origin.point..=offer.stretch {
                if limits::is_held(origin, offer, point) {
                    pockets.put(point, point + 1, f64::from(*n) * mass_g);
                }
            }
        }
        pockets.limit(spread.stores.pockets_g);
        pockets
    }

    /// Carbohydrate that a stretch would be supplied with after a change, all others being as
    /// they are, grams; and the servings.
    pub(super) fn with(&self, stretch: usize, change: impl FnOnce(&mut Menu)) -> (f64, Vec<u32>) {
        let mut menu = self.clone();
        change(&mut menu);
        let servings = search::choose_again(&menu.problem, &menu.servings, stretch);
        let offers = menu.problem.offers.iter().zip(&servings);
        let here = offers.filter(|(offer, _)| offer.stretch == stretch);
        (
            here.map(|(offer, n)| offer.carbs_g * f64::from(*n)).sum(),
            servings,
        )
    }

    /// Raises every limit that is about something.
    pub(super) fn widen(&mut self, of: impl Fn(&LimitSubject) -> bool, by: f64) {
        for (about, limit) in self.about.iter().zip(&mut self.problem.limits) {
            limit.left += if of(about) { by } else { 0.0 };
        }
    }

    /// True where own servings of an offer come out of a counted stock.
    pub(super) fn is_own(&self, offer: usize) -> bool {
        self.origins[offer].source != Source::Station
    }
}

/// The servings that are filled into flasks.
fn poured(mixed: &Mixed, spread: &Layout<'_>) -> Option<Pick> {
    let (food, mix) = mixed.drink?;
    let (source, point) = mixed.origin?;
    Some(Pick {
        food,
        count: mixed.filled * mix.servings,
        source,
        at: spread.points[point].station,
        on_the_spot: false,
        fills_flasks: true,
    })
}
