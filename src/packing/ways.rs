//! The smallest changes that would put right what cannot be met, found by trying them.

use crate::course::{Course, StationRole};
use crate::fueling::Habit;
use crate::inputs::pantry_csv::{Food, FoodKind};
use crate::units::{Phrase, Quantity};
use crate::words::and_more;

use super::given::Given;
use super::limits::LimitSubject;
use super::meals::Pick;
use super::menu::{Feeding, Menu};
use super::needs::{carbs_met, sodium_met};
use super::search::choose_roughly;
use super::stores::{STRONGEST_G_PER_ML, Stores};
use super::supply::undescribed;

/// The words for what else has the same cause: `; likewise from X to Y (142 of 216 g)`.
pub(super) fn likewise(says: Phrase, others: impl IntoIterator<Item = Phrase>) -> Phrase {
    let mut others = others.into_iter();
    let mut lead = "; likewise";
    let says = others
        .by_ref()
        .take(MOST_LIKEWISE)
        .fold(says, |says, other| {
            let says = says.and(lead).join(other);
            lead = ",";
            says
        });
    says.and(and_more(others.count(), "stretch", "stretches"))
}

/// So many others are told one by one.
const MOST_LIKEWISE: usize = 3;

/// No more servings than this are asked for.
const MOST_SERVINGS: u32 = 12;
/// Pockets grow in such steps, grams, and by so many at most.
const POCKET_STEP_G: f64 = 50.0;
const POCKET_STEPS: u32 = 20;
/// Salt items as they are sold, milligrams of sodium: common practice, no source.
const SALTS_MG: [f64; 4] = [300.0, 200.0, 150.0, 100.0];
/// The most foods that are named.
const MOST_FOODS: usize = 2;

/// ` from X to Y`, in words.
pub(super) fn between(course: &Course, from: usize, to: usize) -> String {
    let name = |station: usize| &course.stations[station].name;
    format!(" from `{}` to `{}`", name(from), name(to))
}

/// Carbohydrate in a gel as they are sold, and in a cup of tea with three spoons of sugar, grams
/// (Zhang and others 2015, 26 with a standard deviation of 6; and common practice, no source).
const USUAL_GEL_G: f64 = 26.0;
const SWEET_CUP_G: f64 = 15.0;

/// More of anything than is ever asked for.
const PLENTY: f64 = 1e4;

/// The obstacle to carbohydrate that is needed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Cause {
    /// The pockets are full.
    Pockets,
    /// Own servings run out.
    Stock,
    /// The rhythm leaves no room for another thing.
    Rhythm,
    /// Nothing is had more often in a day.
    Often,
    /// Nothing but mix is taken.
    Drink,
    /// The foods that would do were never tested.
    Untested,
    /// There is nothing to eat.
    NothingThere,
    /// Several of these at once.
    Several,
    /// The foods hold too little.
    Foods,
}

/// One stretch, to be chosen for again under changed conditions.
pub(super) struct Attempt<'a> {
    given: &'a Given<'a>,
    day: &'a Feeding<'a>,
    stretch: usize,
}

impl<'a> Attempt<'a> {
    /// All other stretches stay as they are.
    pub(super) fn of(given: &'a Given<'a>, day: &'a Feeding<'a>, stretch: usize) -> Self {
        Attempt {
            given,
            day,
            stretch,
        }
    }

    /// True where the carbohydrate would be there after a change.
    fn is_met(&self, change: impl FnOnce(&mut Menu)) -> bool {
        let (have_g, _) = self.day.menu.with(self.stretch, change);
        let meal = &self.day.meals[self.stretch];
        let mixed_g = meal.mixed.carbs_g(&self.day.stores.pantry);
        carbs_met(have_g + mixed_g, meal.want.carbs_g)
    }

    /// Offers of this stretch, by index.
    fn offers(&self) -> impl Iterator<Item = usize> {
        let offers = self.day.menu.problem.offers.iter().enumerate();
        offers
            .filter(|(_, offer)| offer.stretch == self.stretch)
            .map(|(at, _)| at)
    }

    /// Room that pockets would need besides to hold enough, grams; `None` where none would do.
    pub(super) fn pockets_would_do(&self) -> Option<f64> {
        let with = |more_g: f64| {
            self.is_met(|menu| menu.widen(|about| matches!(about, LimitSubject::Pockets), more_g))
        };
        self.day.stores.pockets_g?;
        with(f64::from(POCKET_STEPS) * POCKET_STEP_G).then_some(())?;
        (1..=POCKET_STEPS)
            .map(|step| f64::from(step) * POCKET_STEP_G)
            .find(|more_g| with(*more_g))
    }

    /// The obstacle to the carbohydrate.
    pub(super) fn cause(&self) -> Cause {
        let widened = |of: fn(&LimitSubject) -> bool| self.is_met(|menu| menu.widen(of, PLENTY));
        if self.day.beats[self.stretch].habit.only_drinks() {
            Cause::Drink
        } else if self.offers().next().is_none() {
            Cause::NothingThere
        } else if self.pockets_would_do().is_some() {
            Cause::Pockets
        } else if !self.more_stock().is_empty() {
            Cause::Stock
        } else if self.more_often().is_some() {
            Cause::Rhythm
        } else if widened(|about| *about == LimitSubject::Often) {
            Cause::Often
        } else if !self.once_tested().is_empty() {
            Cause::Untested
        } else if widened(|about| *about != LimitSubject::Other) {
            Cause::Several
        } else {
            Cause::Foods
        }
    }

    /// That cause in words, after the numbers.
    pub(super) fn cause_words(&self, cause: Cause) -> String {
        let beat = &self.day.beats[self.stretch];
        match cause {
            Cause::Pockets => {
                let pockets_g = self.day.stores.pockets_g.unwrap_or(0.0);
                format!(": the pockets hold {pockets_g:.0} g of food")
            }
            Cause::Stock => ": your own food runs out".to_owned(),
            Cause::Rhythm => {
                let every_min = beat.hours * 60.0 / f64::from(beat.things.max(1));
                format!(": eating every {every_min:.0} min brings no more")
            }
            Cause::Often => format!(
                ": no food is taken more than {} times in 24 h",
                beat.at_most
            ),
            Cause::Drink => ": mix only, and what you drink brings no more".to_owned(),
            Cause::Untested => ": the foods that would do are not tested on a long run".to_owned(),
            Cause::NothingThere => {
                ": you have no food of your own there, and the station's is not known".to_owned()
            }
            Cause::Several => ": pockets, stock and rhythm together are the limit".to_owned(),
            Cause::Foods => String::new(),
        }
    }

    /// Ways to the carbohydrate that is missing, by the obstacle, the smallest changes
    /// first; eating less is none.
    pub(super) fn carbs_ways(&self, cause: Cause) -> Vec<Phrase> {
        let mut ways = self.more_stock();
        ways.extend(self.wider_pockets());
        ways.extend(self.more_often());
        ways.extend(self.once_tested());
        ways.extend(self.more_mix());
        ways.extend(match cause {
            Cause::Drink => self.besides_mix(),
            _ => self.stronger().into_iter().collect(),
        });
        ways.extend(self.with_crew());
        ways.extend(self.undescribed());
        let more = match cause {
            Cause::Drink => "write what you take besides under `eat` of `[[rhythm]]`",
            Cause::Often => {
                "add another food that you like to the pantry, or raise `at_most` under `[[rhythm]]`"
            }
            Cause::NothingThere => {
                "carry more from the last bag, crew or start, or ask the organiser what there is, and \
                 write it under `offers`"
            }
            Cause::Several => "have more food, more room for it, or a bag or crew on the way",
            _ if ways.is_empty() => "add foods with more carbohydrate to the pantry",
            _ => return ways,
        };
        ways.push(Phrase::new(more));
        ways
    }

    fn wider_pockets(&self) -> Option<Phrase> {
        let hold_g = self.day.stores.pockets_g? + self.pockets_would_do()?;
        let from = self.day.points[self.stretch].own_at;
        let name = &self.given.course.stations[from].name;
        Some(Phrase::new(format!(
            "have pockets for {hold_g:.0} g of food on leaving `{name}`"
        )))
    }

    /// One flask of mix more all day, where that would do: powder for it weighs little.
    fn more_mix(&self) -> Option<Phrase> {
        let (drink, mix) = self.day.meals[self.stretch].mixed.drink?;
        let few = |habit: &Habit| habit.mix_flasks.unwrap_or(1);
        let count = few(&self.day.beats[self.stretch].habit) + 1;
        if count > mix.flasks? {
            return None;
        }
        let mut fueling = self.given.fueling.clone();
        let segments = fueling.segments.len();
        fueling.habits.resize(segments, Habit::default());
        for habit in &mut fueling.habits {
            habit.mix_flasks = Some(few(habit).max(count));
        }
        let given = Given {
            fueling: &fueling,
            ..*self.given
        };
        let meal = &Feeding::plan(&given, self.day.stores, choose_roughly).meals[self.stretch];
        carbs_met(meal.supply.carbs_g, meal.want.carbs_g).then(|| {
            let food = &self.day.stores.pantry[drink];
            let scoops = f64::from(mix.servings);
            let (carbs_g, mass_g) = (scoops * food.carbs_g, scoops * food.mass_g);
            Phrase::new(format!(
                "fill {count} flasks with mix: powder of {mass_g:.0} g for each brings {carbs_g:.0} g \
                 (`mix_flasks` under `[[rhythm]]`)"
            ))
        })
    }

    /// A serving more in each flask of mix, to be tried up to the strength that is recommended.
    fn stronger(&self) -> Option<Phrase> {
        let (drink, mix) = self.day.meals[self.stretch].mixed.drink?;
        let food = &self.day.stores.pantry[drink];
        let servings = mix.servings + 1;
        let g_per_ml = f64::from(servings) * food.carbs_g / mix.flask_ml;
        let fits = food.carbs_g > 0.0 && g_per_ml <= STRONGEST_G_PER_ML;
        let (percent, most) = (g_per_ml * 100.0, STRONGEST_G_PER_ML * 100.0);
        fits.then(|| {
            Phrase::new(format!("try {servings} servings in a flask of "))
                .and(Quantity::Volume { ml: mix.flask_ml })
                .and(format!(
                    " on a long run: {percent:.0} % carbohydrate, and up to {most:.0} % leaves the \
                     stomach well"
                ))
        })
    }

    /// What mix alone lacks, from elsewhere, and how much each brings on this stretch: more powder
    /// up to the strength that is recommended, a gel an hour, a warm sweet drink at the table.
    fn besides_mix(&self) -> Vec<Phrase> {
        let (meal, beat) = (&self.day.meals[self.stretch], &self.day.beats[self.stretch]);
        let pantry = &self.day.stores.pantry;
        let missing_g = meal.want.carbs_g - meal.supply.carbs_g;
        let of = format!("of the {missing_g:.0} g missing");
        let mut ways = Vec::new();
        if let Some((drink, mix)) = meal.mixed.drink {
            let (food, servings) = (&pantry[drink], f64::from(mix.servings));
            let scoop = self.stronger();
            // a serving more where it fits, else as much more as does
            let times = match scoop {
                Some(_) => (servings + 1.0) / servings,
                None => mix.flask_ml * STRONGEST_G_PER_ML / (servings * food.carbs_g).max(1e-9),
            };
            let more_g = meal.mixed.carbs_g(pantry) * (times - 1.0);
            let powder_g = servings * food.mass_g;
            let grams = Phrase::new(format!(
                "mix it stronger, up to {:.0} % where its label allows, {:.0} g of powder instead of \
                 {powder_g:.0} g in ",
                STRONGEST_G_PER_ML * 100.0,
                powder_g * times
            ));
            let way = scoop.unwrap_or(grams.and(Quantity::Volume { ml: mix.flask_ml }));
            ways.extend((more_g >= 1.0).then(|| way.and(format!(": {more_g:.0} g {of}"))));
        }
        let plain = |food: &&Food| food.carbs_g > 0.0 && food.caffeine_mg <= 0.0;
        let gels = pantry.iter().filter(|food| food.kind == FoodKind::Gel);
        let gel = gels
            .filter(plain)
            .max_by_key(|food| (food.tested, food.liking));
        let (gel, gel_g) = gel.map_or(("gel", USUAL_GEL_G), |gel| (&gel.name.value, gel.carbs_g));
        let gels = beat.hours.round().max(1.0);
        ways.push(Phrase::new(format!(
            "one `{gel}` an hour besides, warm from an inside pocket: {:.0} g {of}",
            gels * gel_g
        )));
        let point = &self.day.points[self.stretch];
        let cup = point.offers.iter().map(|food| &pantry[*food]);
        let cup = cup
            .filter(|food| food.kind == FoodKind::Station)
            .filter(plain);
        let cup = cup.max_by(|a, b| a.carbs_g.total_cmp(&b.carbs_g));
        let station = &self.given.course.stations[point.station];
        if station.role != StationRole::Start {
            let (what, cup_g) = match cup.filter(|food| food.carbs_g >= SWEET_CUP_G) {
                Some(food) => (food.counted(1), food.carbs_g),
                None => ("a cup of warm sweet tea".to_owned(), SWEET_CUP_G),
            };
            ways.push(Phrase::new(format!(
                "{what} at `{}`, where there is any: about {cup_g:.0} g {of}",
                station.name
            )));
        }
        ways
    }

    /// Ways to the sodium that is missing.
    pub(super) fn sodium_ways(&self) -> Vec<Phrase> {
        let meal = &self.day.meals[self.stretch];
        let missing_mg = meal.want.sodium_mg - meal.supply.sodium_mg;
        let pantry = &self.day.stores.pantry;
        let salt = |food: &&Food| food.kind == FoodKind::Salt && food.sodium_mg > 0.0;
        let mut ways = Vec::new();
        if let Some(food) = pantry.iter().find(salt) {
            let name = &food.name.value;
            let more = (missing_mg / food.sodium_mg).ceil();
            let is_it = |pick: &&Pick| pantry[pick.food].name.value == *name;
            let picks = self.day.meals.iter().flat_map(|meal| &meal.picks);
            let used: u32 = picks.filter(is_it).map(|pick| pick.count).sum();
            let left = food.stock.is_none_or(|stock| used < stock);
            ways.push(Phrase::new(match (food.tested, left) {
                (false, _) => format!("try `{name}` on a long run"),
                (true, true) => {
                    format!("leave another thing out to have room for {more:.0} more of `{name}`")
                }
                (true, false) => format!("have {more:.0} more of `{name}` in stock"),
            }));
        } else {
            let most_mg = meal.want.sodium_loss_mg - meal.supply.sodium_mg;
            let fits = SALTS_MG.into_iter().find(|mg| {
                let count = (missing_mg / mg + 0.5).floor();
                let have_mg = meal.supply.sodium_mg + count * mg;
                count * mg <= most_mg && sodium_met(have_mg, meal.want.sodium_mg)
            });
            ways.extend(fits.map(|mg| {
                Phrase::new(format!(
                    "add a salt item of {mg:.0} mg of sodium a serving to the pantry"
                ))
            }));
        }
        ways.extend(self.undescribed());
        if ways.is_empty() {
            ways.push(Phrase::new("add a salty food to the pantry"));
        }
        ways
    }

    /// The fewest servings more of foods that ran out.
    fn more_stock(&self) -> Vec<Phrase> {
        let limited = |at: &usize| {
            let food = self.day.menu.problem.offers[*at].food;
            self.day.menu.is_own(*at) && self.day.stores.pantry[food].stock.is_some()
        };
        let mut found: Vec<(u32, usize)> = (self.offers().filter(limited))
            .filter_map(|at| Some((self.servings_more(at)?, at)))
            .collect();
        found.sort_unstable();
        let way = |(more, at): (u32, usize)| {
            let food = self.day.menu.problem.offers[at].food;
            let name = &self.day.stores.pantry[food].name.value;
            Phrase::new(format!("have {more} more of `{name}` in stock"))
        };
        found.into_iter().take(MOST_FOODS).map(way).collect()
    }

    /// The number of servings more of an offer that would do.
    fn servings_more(&self, at: usize) -> Option<u32> {
        let offer = &self.day.menu.problem.offers[at];
        let with = |more: u32| {
            self.is_met(|menu| {
                let stock = |about: &LimitSubject| *about == LimitSubject::Stock(offer.food);
                menu.widen(stock, f64::from(more));
                menu.problem.offers[at].most = menu.problem.offers[at].most.saturating_add(more);
            })
        };
        // most foods do not help however many there are
        if !with(MOST_SERVINGS) {
            return None;
        }
        (1..=MOST_SERVINGS).find(|more| with(*more))
    }

    /// A rhythm that would do: one thing more an hour.
    fn more_often(&self) -> Option<Phrase> {
        let beat = &self.day.beats[self.stretch];
        let more = beat.hours.ceil();
        let things = |about: &LimitSubject| *about == LimitSubject::Things(self.stretch);
        let enough = self.is_met(|menu| {
            menu.widen(things, more);
            for offer in menu
                .problem
                .offers
                .iter_mut()
                .filter(|o| o.stretch == self.stretch)
            {
                let raised = offer.most.saturating_add(more as u32);
                offer.most = if offer.most > offer.least {
                    raised
                } else {
                    offer.most
                };
            }
        });
        let every_min = (beat.hours * 60.0 / (f64::from(beat.things) + more) / 5.0).floor() * 5.0;
        (enough && every_min > 0.0)
            .then(|| Phrase::new(format!("eat something every {every_min:.0} minutes there")))
    }

    /// Foods that would do once a long run has tested them.
    fn once_tested(&self) -> Vec<Phrase> {
        let pantry = &self.day.stores.pantry;
        self.offers()
            .filter(|at| !pantry[self.day.menu.problem.offers[*at].food].tested)
            .filter(|at| {
                self.is_met(|menu| menu.problem.offers[*at].cost -= super::taste::UNTESTED)
            })
            .take(MOST_FOODS)
            .map(|at| {
                let food = &pantry[self.day.menu.problem.offers[at].food];
                Phrase::new(format!("try `{}` on a long run", food.name.value))
            })
            .collect()
    }

    /// A crew, where there is none and the organiser lets one come.
    fn with_crew(&self) -> Option<Phrase> {
        let course = self.given.course;
        let station = self.day.points[self.stretch].station;
        let may_come = (1..=station).rev().find(|s| course.stations[*s].crew)?;
        if self.day.stores.access.crew {
            return None;
        }
        let stores = Stores {
            access: self.day.stores.access.with_crew(course),
            ..self.day.stores.clone()
        };
        let day = Feeding::plan(self.given, &stores, choose_roughly);
        let index = day.points.iter().position(|p| p.station == station)?;
        let same = day.points[index].until == self.day.points[self.stretch].until;
        let meal = &day.meals[index];
        (same && carbs_met(meal.supply.carbs_g, meal.want.carbs_g)).then(|| {
            let name = &course.stations[may_come].name;
            Phrase::new(format!("have a crew bring food to `{name}`"))
        })
    }

    /// Offers of the station that nobody described.
    fn undescribed(&self) -> Option<Phrase> {
        let station = &self.given.course.stations[self.day.points[self.stretch].station];
        let offers = undescribed(station, &self.day.stores.pantry);
        let offer = offers.first()?;
        let name = &station.name;
        Some(Phrase::new(format!(
            "`{name}` offers `{offer}`: describe it in the pantry"
        )))
    }
}
