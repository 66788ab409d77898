//! The menu of the race: what is on offer for each stretch, and what is chosen of it.

use crate::course::Course;
use crate::fueling::Fueling;
use crate::inputs::pantry_csv::{Food, FoodKind};

use super::choose::{Candidate, Room, Supply, Want};
use super::doses;
use super::flasks::Flasks;
use super::packed::{Serving, Source};
use super::setting::Setting;
use super::shares::Shares;
use super::stores::{Stores, carry_ml, water_ml};
use super::supply::{Point, on_the_spot, points};

/// What is eaten on one stretch.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Meal {
    /// What was wanted.
    pub(super) want: Want,
    /// What the servings supply.
    pub(super) supply: Supply,
    /// The servings.
    pub(super) picks: Vec<Pick>,
}

/// Servings of one food for one stretch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Pick {
    /// The food, by index in the pantry.
    pub(super) food: usize,
    /// How many.
    pub(super) count: u32,
    /// Where they come from.
    pub(super) source: Source,
    /// The station where they come into the runner's hands.
    pub(super) at: usize,
}

impl Pick {
    /// What the servings weigh in the pockets, grams.
    pub(super) fn mass_g(&self, pantry: &[Food]) -> f64 {
        let food = &pantry[self.food];
        if on_the_spot(food) {
            return 0.0;
        }
        f64::from(self.count) * food.mass_g
    }

    /// As it is printed.
    pub(super) fn serving(&self, pantry: &[Food]) -> Serving {
        Serving {
            food: pantry[self.food].name.value.clone(),
            count: self.count,
            source: self.source,
            at: self.at,
        }
    }
}

/// One stretch with everything that could be eaten on it.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Stretch {
    pub(super) want: Want,
    /// Where each of the offers comes from.
    pub(super) origins: Vec<Origin>,
    /// Stock and servings elsewhere in the race are left to whoever shares them out.
    pub(super) offers: Vec<Candidate>,
    /// What is left of the pockets as well.
    pub(super) room: Room,
    /// Departures at which pockets are looked at, as ranges of points, the last one first: from
    /// each range to the next what is held changes.
    pub(super) held: Vec<(usize, usize)>,
}

/// Where a food comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Origin {
    pub(super) food: usize,
    pub(super) source: Source,
    /// The supply point, by index.
    pub(super) point: usize,
}

/// The needs from a supply point to the next, added up; caffeine is planned apart.
pub(super) fn want(point: &Point, fueling: &Fueling) -> Want {
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
pub(super) struct Day<'a> {
    pub(super) stores: &'a Stores<'a>,
    pub(super) points: Vec<Point>,
    /// One per point.
    pub(super) stretches: Vec<Stretch>,
    /// What is chosen of them.
    pub(super) shares: Shares,
    /// The same, one per point.
    pub(super) meals: Vec<Meal>,
}

impl<'a> Day<'a> {
    /// Chooses the servings of every stretch.
    pub(super) fn plan(setting: &Setting<'_>, stores: &'a Stores<'a>) -> Day<'a> {
        let points = points(setting.course, setting.schedule, &stores.access);
        let spread = Spread {
            course: setting.course,
            points: &points,
            stores,
        };
        let doses_mg = doses::planned_mg(&spread, setting);
        let stretches: Vec<Stretch> = (0..points.len())
            .map(|index| spread.stretch(index, setting.fueling, doses_mg[index]))
            .collect();
        let shares = Shares::out(&stretches, stores);
        let both = stretches.iter().zip(&shares.servings);
        let meals = both.map(|(stretch, n)| stretch.meal(n, &points)).collect();
        Day {
            stores,
            points,
            stretches,
            shares,
            meals,
        }
    }
}

/// What the flasks can take on at a point, and the servings its stop allows.
fn room(point: &Point, fueling: &Fueling, stores: &Stores<'_>) -> Room {
    let must_hold_ml = carry_ml(fueling, point.station, point.until_water);
    let flasks = stores.capacity_ml().map(|capacity_ml| {
        if point.water {
            return Flasks {
                sizes_ml: stores.flasks_ml.clone(),
                must_hold_ml,
            };
        }
        // without water here the flasks still hold what must last until the next station with some
        Flasks {
            sizes_ml: vec![(capacity_ml - must_hold_ml).max(0.0)],
            must_hold_ml: 0.0,
        }
    });
    Room {
        flasks,
        pockets_g: Vec::new(),
        spot_servings: point.spot_servings,
    }
}

/// Where everything lies along the course.
pub(super) struct Spread<'a> {
    pub(super) course: &'a Course,
    pub(super) points: &'a [Point],
    pub(super) stores: &'a Stores<'a>,
}

impl Spread<'_> {
    fn stretch(&self, index: usize, fueling: &Fueling, caffeine_mg: f64) -> Stretch {
        let point = &self.points[index];
        let mut stretch = Stretch {
            want: want(point, fueling),
            room: room(point, fueling, self.stores),
            ..Stretch::default()
        };
        stretch.want.caffeine_mg = caffeine_mg;
        for food in 0..self.stores.pantry.len() {
            if let Some((origin, offer)) = self.offer(index, food, caffeine_mg) {
                stretch.origins.push(origin);
                stretch.offers.push(offer);
            }
        }
        stretch.find_held(index);
        stretch
    }

    /// A food for a stretch, from where it is best had.
    fn offer(&self, index: usize, food: usize, caffeine_mg: f64) -> Option<(Origin, Candidate)> {
        let item = &self.stores.pantry[food];
        // caffeine comes in doses of tested foods, or not at all
        if item.caffeine_mg > 0.0 && (caffeine_mg < item.caffeine_mg || !item.tested) {
            return None;
        }
        let (source, point) = self.origin(index, food)?;
        let origin = Origin {
            food,
            source,
            point,
        };
        Some((origin, self.candidate(index, origin)))
    }

    /// A station since own food could last be had comes first, then own food, then any station
    /// before. What is had on the spot and what is mixed in flasks is not carried from elsewhere.
    pub(super) fn origin(&self, index: usize, food: usize) -> Option<(Source, usize)> {
        let point = &self.points[index];
        let item = &self.stores.pantry[food];
        let own_point = self.points[..=index]
            .iter()
            .rposition(|p| p.station == point.own_at)
            .unwrap_or(0);
        let has_own = point.has_own && item.own && item.stock != Some(0);
        let offered = |range: std::ops::RangeInclusive<usize>| {
            range.rev().find(|p| self.points[*p].offers.contains(&food))
        };
        match item.kind {
            FoodKind::Station => match offered(index..=index) {
                Some(at) => Some((Source::Station, at)),
                None => (has_own && point.own == Source::Crew && own_point == index)
                    .then_some((Source::Crew, index)),
            },
            FoodKind::Drink => match offered(index..=index) {
                Some(at) => Some((Source::Station, at)),
                None => (has_own && point.water).then_some((point.own, own_point)),
            },
            FoodKind::Gel | FoodKind::Food | FoodKind::Salt => offered(own_point..=index)
                .map(|at| (Source::Station, at))
                .or(has_own.then_some((point.own, own_point)))
                .or_else(|| offered(0..=own_point).map(|at| (Source::Station, at))),
        }
    }

    fn candidate(&self, index: usize, origin: Origin) -> Candidate {
        let food = &self.stores.pantry[origin.food];
        let own = origin.source != Source::Station;
        let (point, from) = (&self.points[index], &self.points[origin.point]);
        let at_km = |station: usize| self.course.stations[station].official_m / 1000.0;
        let waited_km = at_km(point.station) - at_km(from.station);
        // eaten evenly along the stretch, so half of the way on average
        let eaten_km = (at_km(point.until) - at_km(point.station)) / 2.0;
        // a station's drink is poured, so it weighs what its water does, which is carried anyway
        let pocketed = match food.kind {
            FoodKind::Station => false,
            FoodKind::Drink => own,
            FoodKind::Gel | FoodKind::Food | FoodKind::Salt => true,
        };
        let pocket_g = if pocketed { food.mass_g } else { 0.0 };
        Candidate {
            food: origin.food,
            kind: food.kind,
            carbs_g: food.carbs_g,
            sodium_mg: food.sodium_mg,
            caffeine_mg: food.caffeine_mg,
            water_ml: water_ml(food),
            pocket_g,
            held: 0,
            carried_kg_km: pocket_g / 1000.0 * (waited_km + eaten_km),
            most: if own { food.stock } else { None },
            liking: food.liking,
            tested: food.tested,
            own,
            eaten: 0,
            price: 0.0,
        }
    }
}

impl Stretch {
    fn meal(&self, servings: &[u32], points: &[Point]) -> Meal {
        let chosen = self.origins.iter().zip(servings).filter(|(_, n)| **n > 0);
        let pick = |(origin, count): (&Origin, &u32)| Pick {
            food: origin.food,
            count: *count,
            source: origin.source,
            at: points[origin.point].station,
        };
        Meal {
            want: self.want,
            supply: Supply::of(&self.offers, servings),
            picks: chosen.map(pick).collect(),
        }
    }

    /// Whether anything with carbohydrate in it comes from a station.
    pub(super) fn has_food_of_stations(&self) -> bool {
        self.offers
            .iter()
            .any(|offer| !offer.own && offer.carbs_g > 0.0)
    }

    /// Works out from which departures on each of the offers is held.
    fn find_held(&mut self, index: usize) {
        let pocketed = self.origins.iter().zip(&self.offers);
        let mut since: Vec<usize> = pocketed
            .filter(|(origin, offer)| offer.pocket_g > 0.0 && origin.point < index)
            .map(|(origin, _)| origin.point)
            .collect();
        since.sort_unstable_by(|a, b| b.cmp(a));
        since.dedup();
        self.held.push((index, index + 1));
        for &point in &since {
            let end = self.held.last().map_or(index, |range| range.0);
            self.held.push((point, end));
        }
        for (origin, offer) in self.origins.iter().zip(&mut self.offers) {
            let held = self.held.iter().position(|range| range.0 == origin.point);
            offer.held = held.unwrap_or(0);
        }
    }
}
