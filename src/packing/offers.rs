//! Offers on each stretch, with their source and the cost of a serving.

use crate::course::Course;
use crate::inputs::pantry_csv::{Food, FoodKind};

use super::choose::{Had, Offer};
use super::packed::Source;
use super::rhythm::{Beat, is_dose};
use super::stores::Stores;
use super::supply::{MOST_ON_THE_SPOT_ML, SupplyPoint};
use super::taste;

/// Food of which at least this share is water is eaten soon, or it spoils or is squashed.
const FRESH_SHARE: f64 = 0.5;
/// Hours for which food out of a bag is fresh: common practice, no source.
const FRESH_H: f64 = 3.0;
/// The same thing standing at a table, at most.
const SAME_AT_A_TABLE: u32 = 2;

/// The source of a food.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Origin {
    pub(super) food: usize,
    pub(super) source: Source,
    /// The supply point, by index.
    pub(super) point: usize,
}

/// Places of everything along the course.
#[derive(Clone, Copy)]
pub(super) struct Layout<'a> {
    pub(super) course: &'a Course,
    pub(super) points: &'a [SupplyPoint],
    pub(super) beats: &'a [Beat],
    pub(super) stores: &'a Stores<'a>,
}

impl Layout<'_> {
    /// Every food on a stretch, each way it can be had; those whose caffeine is a dose only where
    /// so many servings of it are settled.
    pub(super) fn on(&self, stretch: usize, doses: &[(usize, u32)]) -> Vec<(Origin, Offer)> {
        let mut offers = Vec::new();
        for food in 0..self.stores.pantry.len() {
            let settled = doses.iter().find(|(of, _)| *of == food).map_or(0, |d| d.1);
            for way in [Had::Table, Had::Pocket] {
                if let Some((origin, mut offer)) = self.offer(stretch, food, way)
                    && self.may_be_eaten(stretch, food, settled)
                {
                    let first = |(o, _): &(Origin, Offer)| o.food != food;
                    let dose = settled > 0 && offers.iter().all(first);
                    if dose || is_dose(&self.stores.pantry[food]) {
                        offer.least = if dose { settled } else { 0 };
                        offer.most = offer.least;
                    }
                    offers.push((origin, offer));
                }
            }
        }
        offers
    }

    fn may_be_eaten(&self, stretch: usize, food: usize, settled: u32) -> bool {
        let item = &self.stores.pantry[food];
        item.kind != FoodKind::Salt
            && self.beats[stretch].habit.may_eat(item)
            && (settled > 0
                || item.caffeine_mg <= 0.0
                || (!is_dose(item) && item.tested && self.stores.small_caffeine))
    }

    /// A food on a stretch, from where it is best had that way.
    fn offer(&self, stretch: usize, food: usize, way: Had) -> Option<(Origin, Offer)> {
        let (item, beat) = (&self.stores.pantry[food], &self.beats[stretch]);
        let (source, point) = self.origin(stretch, food, way)?;
        let most = match way {
            Had::Table => SAME_AT_A_TABLE,
            Had::Pocket => beat.things,
        };
        let in_stock = (source != Source::Station).then_some(item.stock).flatten();
        let (cost, again) = taste::cost(
            item,
            way,
            source,
            beat,
            self.kg_km(stretch, point, item, way),
        );
        let origin = Origin {
            food,
            source,
            point,
        };
        let offer = Offer {
            stretch,
            food,
            way,
            carbs_g: item.carbs_g,
            sodium_mg: item.sodium_mg,
            cost,
            again,
            least: 0,
            most: in_stock.map_or(most, |stock| most.min(stock)),
        };
        (offer.most > 0).then_some((origin, offer))
    }

    /// The place where a food for a stretch is had: what a station has is eaten there or before the
    /// next one with food; the runner's own is there since the last bag, crew or the start.
    pub(super) fn origin(&self, stretch: usize, food: usize, way: Had) -> Option<(Source, usize)> {
        let (point, item) = (&self.points[stretch], &self.stores.pantry[food]);
        let offered = |at: usize| self.points[at].offers.contains(&food);
        let own_point = self.own_point(stretch);
        let has_own = point.has_own && item.own && item.stock != Some(0);
        match (way, item.kind) {
            (Had::Table, FoodKind::Station | FoodKind::Food | FoodKind::Drink) => {
                let fits = point.spot_servings > 0 && item.water_ml <= MOST_ON_THE_SPOT_ML;
                let crew = point.own == Source::Crew && own_point == stretch;
                match offered(stretch) {
                    true if fits => Some((Source::Station, stretch)),
                    _ => (fits && has_own && crew && item.kind == FoodKind::Station)
                        .then_some((Source::Crew, stretch)),
                }
            }
            (Had::Pocket, FoodKind::Gel | FoodKind::Food | FoodKind::Salt) => {
                let table = (0..=stretch).rev().find(|at| self.has_food(*at));
                if let Some(table) = table.filter(|at| offered(*at)) {
                    return Some((Source::Station, table));
                }
                let at_h = |index: usize| self.beats[index].at_h;
                let soon = at_h(stretch) - at_h(own_point) < FRESH_H;
                (has_own && (soon || !is_fresh(item))).then_some((point.own, own_point))
            }
            _ => None,
        }
    }

    /// The source of the servings for a flask that is filled there.
    pub(super) fn poured_from(&self, stretch: usize, food: usize) -> Option<(Source, usize)> {
        let (point, item) = (&self.points[stretch], &self.stores.pantry[food]);
        if point.offers.contains(&food) {
            return Some((Source::Station, stretch));
        }
        let has_own = point.has_own && item.own && item.stock != Some(0);
        has_own.then(|| (point.own, self.own_point(stretch)))
    }

    /// The point at which the own food for a stretch comes into the runner's hands.
    fn own_point(&self, stretch: usize) -> usize {
        let own_at = self.points[stretch].own_at;
        let before = &self.points[..=stretch];
        before
            .iter()
            .rposition(|p| p.station == own_at)
            .unwrap_or(0)
    }

    /// True where a station has anything with carbohydrate in it.
    pub(super) fn has_food(&self, point: usize) -> bool {
        let mut offers = self.points[point].offers.iter();
        offers.any(|food| self.stores.pantry[*food].carbs_g > 0.0)
    }

    /// The distance that a serving is carried times its mass.
    fn kg_km(&self, stretch: usize, from: usize, food: &Food, way: Had) -> f64 {
        if way == Had::Table {
            return 0.0;
        }
        let at_km = |station: usize| self.course.stations[station].official_m / 1000.0;
        let point = &self.points[stretch];
        let waited_km = at_km(point.station) - at_km(self.points[from].station);
        // eaten evenly along the stretch, so half of the way on average
        let eaten_km = (at_km(point.until) - at_km(point.station)) / 2.0;
        food.mass_g / 1000.0 * (waited_km + eaten_km)
    }
}

/// True where a food is eaten soon.
pub(super) fn is_fresh(food: &Food) -> bool {
    food.kind == FoodKind::Food && food.water_ml >= FRESH_SHARE * food.mass_g
}
