//! The smallest changes that would put right what cannot be met, found by trying them.

use crate::course::{Course, Role, Station};
use crate::inputs::pantry_csv::{Food, FoodKind};
use crate::inputs::stations_csv::StationKind;
use crate::units::{Phrase, Quantity};

use super::flasks::{FLASK_ML, more_flasks};
use super::given::Given;
use super::limits::About;
use super::menu::{Day, Menu};
use super::needs::{carbs_met, sodium_met};
use super::packed::Pickup;
use super::stores::{Stores, carry_ml};
use super::supply::{points, undescribed};

/// No more servings than this are asked for.
const MOST_SERVINGS: u32 = 12;
/// Pockets grow in such steps, grams, and by so many at most.
const POCKET_STEP_G: f64 = 50.0;
const POCKET_STEPS: u32 = 20;
/// Salt items as they are sold, milligrams of sodium: common practice, no source.
const SALTS_MG: [f64; 4] = [300.0, 200.0, 150.0, 100.0];
/// So many foods are named.
const MOST_FOODS: usize = 2;

/// ` from X to Y`, in words.
pub(super) fn between(course: &Course, from: usize, to: usize) -> String {
    let name = |station: usize| &course.stations[station].name;
    format!(" from `{}` to `{}`", name(from), name(to))
}

/// So much more than is likely drunk is what most carry to be safe, as a share of it: common
/// practice, no source.
pub(super) const USUAL_RESERVE: f64 = 0.25;

/// Ways to make the fluid of a departure fit the flasks: water on the way before more on the back.
pub(super) fn fluid_ways(given: &Given<'_>, day: &Day<'_>, pickup: &Pickup) -> Vec<Phrase> {
    // a day of much sweat is a ceiling, and no reason to carry litres more
    let safe_ml = pickup.carry_ml.min((1.0 + USUAL_RESERVE) * pickup.way_ml);
    let flasks = ((safe_ml - pickup.capacity_ml) / FLASK_ML).ceil();
    let mut ways = fill_on_the_way(given, day, pickup);
    ways.extend((flasks > 0.0).then(|| more_flasks("carry ", flasks as u32)));
    ways.extend(full_flasks(pickup));
    ways.push(
        Phrase::new("find water on the way before ")
            .and(Quantity::Distance {
                m: empty_at_m(given, pickup),
            })
            .and(", where full flasks may be empty; treat it"),
    );
    ways
}

/// The fewest stations in between at which filling up would do.
fn fill_on_the_way(given: &Given<'_>, day: &Day<'_>, pickup: &Pickup) -> Vec<Phrase> {
    let (course, from, to) = (given.course, pickup.station, pickup.until_water);
    let with_water = |stations: &[usize]| {
        let access = stations
            .iter()
            .fold(day.stores.access.clone(), |access, station| {
                access.with_water_at(*station)
            });
        let points = points(course, given.schedule, &access);
        let legs = points
            .iter()
            .filter(|p| p.water && (from..to).contains(&p.station));
        let legs = legs.map(|p| carry_ml(given.fueling, p.station, p.until_water));
        legs.fold(0.0, f64::max)
    };
    let fits = |ml: f64| ml <= pickup.capacity_ml;
    let dry: Vec<usize> = (from + 1..to)
        .filter(|s| !day.stores.access.water(*s))
        .collect();
    let way = |stations: &[usize]| {
        let ml = with_water(stations);
        fits(ml).then(|| {
            let fill = match stations {
                [station] => fill_at(given, *station),
                _ => {
                    let name = |s: &usize| format!("`{}`", course.stations[*s].name);
                    let names: Vec<String> = stations.iter().map(name).collect();
                    let names = names.join(" and ");
                    format!("fill at {names} as well, once you know of water there")
                }
            };
            Phrase::new(fill)
                .and(": then ")
                .and(Quantity::Volume { ml })
                .and(" is enough to leave with")
        })
    };
    let single: Vec<Phrase> = dry.iter().filter_map(|s| way(&[*s])).collect();
    if !single.is_empty() {
        return single;
    }
    // each time as far as full flasks last
    let (mut set, mut at) = (Vec::new(), from);
    while !fits(carry_ml(given.fueling, at, to)) {
        let last = dry
            .iter()
            .rfind(|s| **s > at && fits(carry_ml(given.fueling, at, **s)));
        let Some(&next) = last else {
            return Vec::new();
        };
        set.push(next);
        at = next;
    }
    way(&set).into_iter().collect()
}

/// Ways to fill flasks at a station that is not known to have water.
fn fill_at(given: &Given<'_>, station: usize) -> String {
    let Station {
        name, role, crew, ..
    } = &given.course.stations[station];
    if *crew && given.inputs.crew.is_none() {
        return format!("ask the crew to bring water to `{name}`");
    }
    match role {
        Role::Between(StationKind::Aid) => {
            format!("fill at `{name}` if it has water, and add `water` to its offers")
        }
        _ => format!("ask the organiser whether there is water at `{name}`"),
    }
}

/// Full flasks, where they hold what is likely drunk.
fn full_flasks(pickup: &Pickup) -> Option<Phrase> {
    let percent = ((pickup.capacity_ml / pickup.way_ml - 1.0) * 100.0).floor();
    (0.0..1000.0).contains(&percent).then(|| {
        let holds = match percent {
            p if p < 1.0 => "just what is likely drunk".to_owned(),
            p => format!("{p:.0} % more than is likely drunk"),
        };
        Phrase::new(format!(
            "go with all flasks full where it is cool and the way is sure: they hold {holds}"
        ))
    })
}

/// Official distance at which full flasks are empty, drunk evenly over each segment.
fn empty_at_m(given: &Given<'_>, pickup: &Pickup) -> f64 {
    let course = given.course;
    let mut left_ml = pickup.capacity_ml;
    for segment in pickup.station..pickup.until_water {
        let need_ml = given.fueling.segments[segment].carry_ml;
        if need_ml > left_ml {
            let length_m = course.segments[segment].official_length_m;
            return course.stations[segment].official_m + length_m * left_ml / need_ml;
        }
        left_ml -= need_ml;
    }
    course.stations[pickup.until_water].official_m
}

/// One stretch, to be chosen for again under changed conditions.
pub(super) struct Attempt<'a> {
    given: &'a Given<'a>,
    day: &'a Day<'a>,
    stretch: usize,
}

impl<'a> Attempt<'a> {
    /// All other stretches stay as they are.
    pub(super) fn of(given: &'a Given<'a>, day: &'a Day<'a>, stretch: usize) -> Self {
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
            self.is_met(|menu| menu.widen(|about| matches!(about, About::Pockets), more_g))
        };
        self.day.stores.pockets_g?;
        with(f64::from(POCKET_STEPS) * POCKET_STEP_G).then_some(())?;
        (1..=POCKET_STEPS)
            .map(|step| f64::from(step) * POCKET_STEP_G)
            .find(|more_g| with(*more_g))
    }

    /// Ways to the carbohydrate that is missing, the smallest changes first.
    pub(super) fn carbs_ways(&self) -> Vec<Phrase> {
        let mut ways = self.more_stock();
        if let Some(more_g) = self.pockets_would_do() {
            let hold_g = self.day.stores.pockets_g.unwrap_or(0.0) + more_g;
            let from = &self.day.points[self.stretch].own_at;
            let name = &self.given.course.stations[*from].name;
            ways.push(Phrase::new(format!(
                "have pockets for {hold_g:.0} g of food on leaving `{name}`"
            )));
        }
        ways.extend(self.more_often());
        ways.extend(self.once_tested());
        ways.extend(self.with_crew());
        ways.extend(self.undescribed());
        ways.extend(self.lower_rate());
        if ways.is_empty() {
            ways.push(Phrase::new(
                "add foods with more carbohydrate to the pantry",
            ));
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
            ways.push(Phrase::new(match food.tested {
                true => format!("have {more:.0} more of `{name}` in stock"),
                false => format!("try `{name}` on a long run"),
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
                let stock = |about: &About| *about == About::Stock(offer.food);
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
        let things = |about: &About| *about == About::Things(self.stretch);
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
        let day = Day::plan(self.given, &stores);
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

    /// The highest rate at which what is supplied is enough.
    fn lower_rate(&self) -> Option<Phrase> {
        let hours = self.day.beats[self.stretch].hours;
        let meal = &self.day.meals[self.stretch];
        let highest = (meal.supply.carbs_g / hours / 0.9).floor();
        let rate = [highest, (meal.supply.carbs_g / hours).floor()]
            .into_iter()
            .find(|rate| carbs_met(meal.supply.carbs_g, rate * hours))?;
        (rate > 0.0 && rate * hours < meal.want.carbs_g)
            .then(|| Phrase::new(format!("plan {rate:.0} g/h of carbohydrate there")))
    }
}
