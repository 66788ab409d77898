//! The smallest changes that would put right what cannot be met, found by trying them.

use crate::course::{Course, Role, Station};
use crate::fueling::reserve_share;
use crate::inputs::pantry_csv::FoodKind;
use crate::inputs::stations_csv::StationKind;
use crate::units::{Phrase, Quantity};

use super::choose::{Candidate, Room, Supply, Want, choose};
use super::menu::Day;
use super::packed::Pickup;
use super::setting::Setting;
use super::shortfalls::{carbs_met, sodium_met};
use super::stores::{Stores, carry_ml};
use super::supply::{points, undescribed};

/// Flasks as they are sold, millilitres: common practice, no source.
const FLASKS_ML: [f64; 9] = [
    150.0, 250.0, 350.0, 500.0, 600.0, 750.0, 1000.0, 1500.0, 2000.0,
];
/// A flask for a drink more, millilitres.
const DRINK_FLASK_ML: f64 = 500.0;
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

/// What makes the fluid of a departure fit the flasks.
pub(super) fn fluid_ways(setting: &Setting<'_>, day: &Day<'_>, pickup: &Pickup) -> Vec<Phrase> {
    let missing_ml = pickup.fluid_ml - pickup.capacity_ml;
    let mut ways = vec![one_more_flask(missing_ml)];
    ways.extend(fill_on_the_way(setting, day, pickup));
    ways.extend(smaller_reserve(setting, pickup));
    ways.push(
        Phrase::new("find water on the way before ")
            .and(Quantity::Distance {
                m: empty_at_m(setting, pickup),
            })
            .and(", where the flasks are empty at the planned rate; treat it"),
    );
    ways
}

fn one_more_flask(missing_ml: f64) -> Phrase {
    match FLASKS_ML.into_iter().find(|ml| *ml >= missing_ml) {
        Some(ml) => Phrase::new("carry one more flask of ").and(Quantity::Volume { ml }),
        None => {
            let ml = 1000.0;
            let count = (missing_ml / ml).ceil();
            Phrase::new(format!("carry {count:.0} more flasks of ")).and(Quantity::Volume { ml })
        }
    }
}

/// The fewest stations in between at which filling up would do.
fn fill_on_the_way(setting: &Setting<'_>, day: &Day<'_>, pickup: &Pickup) -> Vec<Phrase> {
    let (course, from, to) = (setting.course, pickup.station, pickup.until_water);
    let with_water = |stations: &[usize]| {
        let access = stations
            .iter()
            .fold(day.stores.access.clone(), |access, station| {
                access.with_water_at(*station)
            });
        let points = points(course, setting.schedule, &access);
        let legs = points
            .iter()
            .filter(|p| p.water && (from..to).contains(&p.station));
        let legs = legs.map(|p| carry_ml(setting.fueling, p.station, p.until_water));
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
                [station] => fill_at(setting, *station),
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
    while !fits(carry_ml(setting.fueling, at, to)) {
        let last = dry
            .iter()
            .rfind(|s| **s > at && fits(carry_ml(setting.fueling, at, **s)));
        let Some(&next) = last else {
            return Vec::new();
        };
        set.push(next);
        at = next;
    }
    way(&set).into_iter().collect()
}

/// How flasks could be filled at a station that is not known to have water.
fn fill_at(setting: &Setting<'_>, station: usize) -> String {
    let Station {
        name, role, crew, ..
    } = &setting.course.stations[station];
    if *crew && setting.inputs.crew.is_none() {
        return format!("ask the crew to bring water to `{name}`");
    }
    match role {
        Role::Between(StationKind::Aid) => {
            format!("fill at `{name}` if it has water, and add `water` to its offers")
        }
        _ => format!("ask the organiser whether there is water at `{name}`"),
    }
}

/// A reserve with which the planned fluid fits.
fn smaller_reserve(setting: &Setting<'_>, pickup: &Pickup) -> Option<Phrase> {
    let reserve = reserve_share(&setting.inputs.plan);
    let planned_ml = pickup.fluid_ml / (1.0 + reserve);
    let percent = ((pickup.capacity_ml / planned_ml - 1.0) * 100.0).floor();
    (percent >= 0.0).then(|| {
        Phrase::new(format!(
            "go with a reserve of {percent:.0} % instead of {:.0} %, where it is cool and the way \
             is sure",
            reserve * 100.0
        ))
    })
}

/// Official distance at which full flasks are empty, drunk evenly over each segment.
fn empty_at_m(setting: &Setting<'_>, pickup: &Pickup) -> f64 {
    let course = setting.course;
    let mut left_ml = pickup.capacity_ml;
    for segment in pickup.station..pickup.until_water {
        let need_ml = setting.fueling.segments[segment].carry_ml;
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
    setting: &'a Setting<'a>,
    day: &'a Day<'a>,
    index: usize,
    want: Want,
    offers: Vec<Candidate>,
    room: Room,
}

impl<'a> Attempt<'a> {
    /// All other stretches stay as they are.
    pub(super) fn of(setting: &'a Setting<'a>, day: &'a Day<'a>, index: usize) -> Self {
        let (offers, room) = day.shares.open(&day.stretches, index);
        Attempt {
            setting,
            day,
            index,
            want: day.stretches[index].want,
            offers,
            room,
        }
    }

    /// What the stretch would be supplied with.
    fn with(&self, change: impl FnOnce(&mut Want, &mut Vec<Candidate>, &mut Room)) -> Supply {
        let (mut want, mut offers, mut room) = (self.want, self.offers.clone(), self.room.clone());
        change(&mut want, &mut offers, &mut room);
        choose(&want, &offers, &room).supply
    }

    fn carbs_met(&self, supply: &Supply) -> bool {
        carbs_met(supply.carbs_g, self.want.carbs_g)
    }

    fn sodium_met(&self, supply: &Supply) -> bool {
        sodium_met(supply.sodium_mg, self.want.sodium_mg)
    }

    /// Whether pockets that hold more would be enough.
    pub(super) fn pockets_would_do(&self) -> Option<f64> {
        if self.room.pockets_g.is_empty() {
            return None;
        }
        (1..=POCKET_STEPS)
            .map(|step| f64::from(step) * POCKET_STEP_G)
            .find(|more_g| {
                let supply = self.with(|_, _, room| {
                    room.pockets_g.iter_mut().for_each(|g| *g += more_g);
                });
                self.carbs_met(&supply)
            })
    }

    /// What brings the carbohydrate that is missing, the smallest changes first.
    pub(super) fn carbs_ways(&self) -> Vec<Phrase> {
        let met = |supply: &Supply| self.carbs_met(supply);
        let mut ways = self.more_stock(&met);
        if let Some(more_g) = self.pockets_would_do() {
            let hold_g = self.day.stores.pockets_g.unwrap_or(0.0) + more_g;
            let from = &self.day.points[self.index].own_at;
            let name = &self.setting.course.stations[*from].name;
            ways.push(Phrase::new(format!(
                "have pockets for {hold_g:.0} g of food on leaving `{name}`"
            )));
        }
        ways.extend(self.one_more_drink(&met));
        ways.extend(self.once_tested(&met));
        ways.extend(self.with_crew());
        if ways.is_empty() {
            ways.extend(self.stock_and_pockets());
        }
        ways.extend(self.undescribed());
        ways.extend(self.lower_rate());
        if ways.is_empty() {
            ways.push(Phrase::new(
                "add foods with more carbohydrate to the pantry",
            ));
        }
        ways
    }

    /// What brings the sodium that is missing.
    pub(super) fn sodium_ways(&self) -> Vec<Phrase> {
        let met = |supply: &Supply| self.sodium_met(supply);
        let mut ways = self.more_stock(&met);
        ways.extend(self.once_tested(&met));
        let salt = SALTS_MG
            .into_iter()
            .find(|mg| met(&self.with(|_, offers, _| offers.push(salt(*mg)))));
        ways.extend(salt.map(|mg| {
            Phrase::new(format!(
                "add a salt item of {mg:.0} mg of sodium a serving to the pantry"
            ))
        }));
        ways.extend(self.undescribed());
        if ways.is_empty() {
            ways.push(Phrase::new("add a salty food to the pantry"));
        }
        ways
    }

    /// The fewest servings more of foods that ran out.
    fn more_stock(&self, met: &dyn Fn(&Supply) -> bool) -> Vec<Phrase> {
        let limited = |at: &usize| self.offers[*at].own && self.offers[*at].most.is_some();
        let mut found: Vec<(u32, usize)> = (0..self.offers.len())
            .filter(limited)
            .filter_map(|at| Some((self.servings_more(at, 0.0, met)?, at)))
            .collect();
        found.sort_unstable();
        let way = |(more, at): (u32, usize)| {
            let name = self.name(at);
            Phrase::new(format!("have {more} more of `{name}` in stock"))
        };
        found.into_iter().take(MOST_FOODS).map(way).collect()
    }

    /// How many servings more of an offer would do, with so much more room in the pockets.
    fn servings_more(
        &self,
        at: usize,
        pockets_g: f64,
        met: &dyn Fn(&Supply) -> bool,
    ) -> Option<u32> {
        let with = |more: u32| {
            self.with(|_, offers, room| {
                offers[at].most = offers[at].most.map(|most| most + more);
                room.pockets_g.iter_mut().for_each(|g| *g += pockets_g);
            })
        };
        // most foods do not help however many there are
        if !met(&with(MOST_SERVINGS)) {
            return None;
        }
        (1..=MOST_SERVINGS).find(|more| met(&with(*more)))
    }

    /// A food more and pockets for it, where neither alone is enough.
    fn stock_and_pockets(&self) -> Option<Phrase> {
        if self.room.pockets_g.is_empty() {
            return None;
        }
        let met = |supply: &Supply| self.carbs_met(supply);
        let plenty_g = f64::from(POCKET_STEPS) * POCKET_STEP_G;
        let limited = |at: &usize| self.offers[*at].own && self.offers[*at].most.is_some();
        let found = (0..self.offers.len())
            .filter(limited)
            .filter_map(|at| Some((self.servings_more(at, plenty_g, &met)?, at)));
        let (more, at) = found.min()?;
        let pocket_g = (1..=POCKET_STEPS)
            .map(|step| f64::from(step) * POCKET_STEP_G)
            .find(|g| self.servings_more(at, *g, &met).is_some_and(|n| n <= more))?;
        let (name, hold_g) = (self.name(at), self.day.stores.pockets_g? + pocket_g);
        Some(Phrase::new(format!(
            "have {more} more of `{name}` in stock, and pockets for {hold_g:.0} g of food"
        )))
    }

    /// One more flask, for a drink with carbohydrate in it.
    fn one_more_drink(&self, met: &dyn Fn(&Supply) -> bool) -> Option<Phrase> {
        self.room.flasks.as_ref()?;
        let supply = self.with(|_, _, room| {
            if let Some(flasks) = &mut room.flasks {
                flasks.sizes_ml.push(DRINK_FLASK_ML);
            }
        });
        met(&supply).then(|| {
            Phrase::new("carry one more flask of ")
                .and(Quantity::Volume { ml: DRINK_FLASK_ML })
                .and(" for a drink")
        })
    }

    /// Foods that would do once a long run has tested them.
    fn once_tested(&self, met: &dyn Fn(&Supply) -> bool) -> Vec<Phrase> {
        (0..self.offers.len())
            .filter(|at| !self.offers[*at].tested)
            .filter(|at| met(&self.with(|_, offers, _| offers[*at].tested = true)))
            .take(MOST_FOODS)
            .map(|at| Phrase::new(format!("try `{}` on a long run", self.name(at))))
            .collect()
    }

    /// A crew, where there is none and the organiser lets one come.
    fn with_crew(&self) -> Option<Phrase> {
        let course = self.setting.course;
        let station = self.day.points[self.index].station;
        let may_come = (1..=station).rev().find(|s| course.stations[*s].crew)?;
        if self.day.stores.access.crew {
            return None;
        }
        let stores = Stores {
            access: self.day.stores.access.with_crew(course),
            ..self.day.stores.clone()
        };
        let day = Day::plan(self.setting, &stores);
        let index = day.points.iter().position(|p| p.station == station)?;
        let same = day.points[index].until == self.day.points[self.index].until;
        (same && self.carbs_met(&day.meals[index].supply)).then(|| {
            let name = &course.stations[may_come].name;
            Phrase::new(format!("have a crew bring food to `{name}`"))
        })
    }

    /// What the station offers that nobody described.
    fn undescribed(&self) -> Option<Phrase> {
        let station = &self.setting.course.stations[self.day.points[self.index].station];
        let offers = undescribed(station, &self.day.stores.pantry);
        let offer = offers.first()?;
        let name = &station.name;
        Some(Phrase::new(format!(
            "`{name}` offers `{offer}`: describe it in the pantry"
        )))
    }

    /// The highest rate at which there is enough.
    fn lower_rate(&self) -> Option<Phrase> {
        let point = &self.day.points[self.index];
        let needs = &self.setting.fueling.segments[point.station..point.until];
        let hours: f64 = needs.iter().map(|need| need.hours).sum();
        let have_g = self.day.meals[self.index].supply.carbs_g;
        // what is supplied is enough for a tenth more; choosing again may find a little more still
        let highest = (have_g / hours / 0.9).floor() + 1.0;
        let rate = [highest, highest - 1.0, (have_g / hours).floor()]
            .into_iter()
            .find(|rate| {
                let need_g = rate * hours;
                let supply = self.with(|want, _, _| want.carbs_g = need_g);
                carbs_met(supply.carbs_g, need_g)
            })?;
        (rate > 0.0 && rate * hours < self.want.carbs_g)
            .then(|| Phrase::new(format!("plan {rate:.0} g/h of carbohydrate there")))
    }

    fn name(&self, at: usize) -> &str {
        &self.day.stores.pantry[self.offers[at].food].name.value
    }
}

/// A salt item that nobody has yet.
fn salt(sodium_mg: f64) -> Candidate {
    Candidate {
        food: usize::MAX,
        kind: FoodKind::Salt,
        carbs_g: 0.0,
        sodium_mg,
        caffeine_mg: 0.0,
        water_ml: 0.0,
        pocket_g: 0.0,
        held: 0,
        carried_kg_km: 0.0,
        most: None,
        liking: 3,
        tested: true,
        own: true,
        eaten: 0,
        price: 0.0,
    }
}
