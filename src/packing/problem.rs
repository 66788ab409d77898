//! The choice of servings as numbers: foods, what they add up to, what must not be exceeded. One
//! stretch by itself, or several that share stock and pockets.

use std::collections::BTreeMap;

use crate::inputs::pantry_csv::FoodKind;

use super::choose::{Candidate, Room, Want};
use super::cost::{
    CAFFEINE_MISSING, FLUID_ABOVE_PLAN, Kinks, MOST_ON_THE_SPOT_ML, ROUNDING, Taste, pocket_g,
    tired, within,
};
use super::flasks::{Drink, Flasks};

/// No stretch has more servings of one food than this.
const MOST_SERVINGS: f64 = 1000.0;

/// One stretch as it is put up for choice.
#[derive(Clone, Debug)]
pub(super) struct Open<'a> {
    pub(super) want: &'a Want,
    pub(super) offers: Vec<Candidate>,
    /// Its pockets are left to [`Shared`].
    pub(super) room: &'a Room,
}

/// What several offers together must not exceed.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Shared {
    pub(super) left: f64,
    /// Stretch, offer, and what a serving takes.
    pub(super) each: Vec<(usize, usize, f64)>,
}

/// One food on one stretch, per serving.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Item {
    /// The stretch, and the offer on it.
    pub(super) part: usize,
    pub(super) index: usize,
    pub(super) food: usize,
    pub(super) carbs_g: f64,
    pub(super) sodium_mg: f64,
    pub(super) water_ml: f64,
    pub(super) taste: Taste,
    /// What a serving costs for each serving of the same food on another stretch.
    pub(super) tired: f64,
    /// No better choice has more servings than this.
    pub(super) most: u32,
    pub(super) salt: bool,
    pub(super) drink: bool,
}

/// What servings must not add up to more than.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Limit {
    /// Whether it is none of one stretch alone.
    pub(super) shared: bool,
    pub(super) left: f64,
    /// Item, and what a serving takes.
    pub(super) each: Vec<(usize, f64)>,
}

/// The needs of one stretch.
#[derive(Debug)]
pub(super) struct Part<'a> {
    pub(super) want: &'a Want,
    pub(super) flasks: Option<&'a Flasks>,
    pub(super) carbs: Kinks,
    pub(super) sodium: Kinks,
    /// Its items.
    pub(super) items: std::ops::Range<usize>,
}

/// A choice to be made. Items come in the order in which the search decides on them: stretch by
/// stretch, and there what many limits hold back first, then the largest servings, salt last.
#[derive(Debug)]
pub(super) struct Problem<'a> {
    pub(super) parts: Vec<Part<'a>>,
    pub(super) items: Vec<Item>,
    /// Only those that some choice could exceed.
    pub(super) limits: Vec<Limit>,
    /// By item: the limits it counts for.
    pub(super) rows: Vec<Vec<(usize, f64)>>,
    /// By item: the same food on earlier stretches.
    pub(super) same: Vec<Vec<usize>>,
}

/// What the chosen servings of one stretch add up to.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Sums {
    pub(super) carbs_g: f64,
    pub(super) sodium_mg: f64,
    pub(super) water_ml: f64,
    pub(super) taste: f64,
}

impl Sums {
    /// With the servings of an item changed from one count to another.
    pub(super) fn with(mut self, item: &Item, from: u32, to: u32) -> Sums {
        let (from, to) = (f64::from(from), f64::from(to));
        let more = to - from;
        self.carbs_g += more * item.carbs_g;
        self.sodium_mg += more * item.sodium_mg;
        self.water_ml += more * item.water_ml;
        self.taste += item.taste.of_servings(to) - item.taste.of_servings(from);
        self
    }
}

impl Part<'_> {
    /// What the servings of the stretch cost, limits apart.
    pub(super) fn cost(&self, sums: &Sums) -> f64 {
        let above_ml = (sums.water_ml - self.want.fluid_ml).max(0.0);
        self.carbs.at(sums.carbs_g)
            + self.sodium.at(sums.sodium_mg)
            + FLUID_ABOVE_PLAN * above_ml
            + self.constant()
            + sums.taste
    }

    /// What no choice changes: the cost of all planned caffeine, of which foods take theirs off.
    pub(super) fn constant(&self) -> f64 {
        CAFFEINE_MISSING * self.want.caffeine_mg
    }

    /// Whether salt may be in it: never above the loss, and none that the need could do without.
    pub(super) fn salt_is_fit(&self, items: &[Item], counts: &[u32], sodium_mg: f64) -> bool {
        let range = self.items.clone();
        let mut chosen = range.filter(|at| items[*at].salt && counts[*at] > 0);
        chosen.all(|at| {
            within(sodium_mg, self.want.sodium_loss_mg)
                && sodium_mg - items[at].sodium_mg < self.want.sodium_mg
        })
    }

    /// Whether the flasks hold the drinks.
    pub(super) fn flasks_hold(&self, items: &[Item], counts: &[u32]) -> bool {
        let Some(flasks) = self.flasks else {
            return true;
        };
        let range = self.items.clone();
        let drinks: Vec<Drink> = range
            .filter(|at| items[*at].drink && counts[*at] > 0)
            .map(|at| Drink::of(items[at].water_ml, items[at].carbs_g, f64::from(counts[at])))
            .collect();
        drinks.is_empty() || flasks.share_out(&drinks).is_some()
    }
}

impl<'a> Problem<'a> {
    /// One stretch by itself.
    pub(super) fn of(want: &'a Want, offers: &[Candidate], room: &'a Room) -> Problem<'a> {
        let pockets = room
            .pockets_g
            .iter()
            .enumerate()
            .map(|(earlier, left)| Shared {
                left: *left,
                each: offers
                    .iter()
                    .enumerate()
                    .map(|(at, offer)| (0, at, pocket_g(offer, earlier)))
                    .collect(),
            });
        let shared: Vec<Shared> = pockets.collect();
        let open = Open {
            want,
            offers: offers.to_vec(),
            room,
        };
        Problem::of_all(&[open], &shared)
    }

    /// Several stretches together. What is eaten elsewhere is what is eaten outside of all of them.
    pub(super) fn of_all(open: &[Open<'a>], shared: &[Shared]) -> Problem<'a> {
        let mut limits: Vec<Shared> = shared.to_vec();
        let of_several = limits.len();
        for (part, stretch) in open.iter().enumerate() {
            limits.extend(limits_of(part, stretch));
        }
        let mut mosts: Vec<Vec<u32>> = open
            .iter()
            .map(|stretch| {
                stretch
                    .offers
                    .iter()
                    .map(|o| most(stretch.want, o))
                    .collect()
            })
            .collect();
        for limit in &limits {
            for &(part, at, each) in limit.each.iter().filter(|(_, _, each)| *each > 0.0) {
                let alone = ((limit.left + ROUNDING) / each).floor().max(0.0) as u32;
                mosts[part][at] = mosts[part][at].min(alone);
            }
        }
        let mut problem = Problem {
            parts: Vec::with_capacity(open.len()),
            items: Vec::new(),
            limits: Vec::new(),
            rows: Vec::new(),
            same: Vec::new(),
        };
        for (part, stretch) in open.iter().enumerate() {
            problem.add_part(part, stretch, &mosts[part]);
        }
        problem.add_limits(&limits, of_several);
        problem.find_same();
        problem
    }

    /// What all servings cost together, limits apart.
    pub(super) fn cost(&self, counts: &[u32]) -> f64 {
        let mut cost = 0.0;
        for part in &self.parts {
            let sums = part.items.clone().fold(Sums::default(), |sums, at| {
                sums.with(&self.items[at], 0, counts[at])
            });
            cost += part.cost(&sums);
        }
        for (at, earlier) in self.same.iter().enumerate() {
            let of_it: u32 = earlier.iter().map(|at| counts[*at]).sum();
            cost += self.items[at].tired * f64::from(of_it * counts[at]);
        }
        cost
    }

    fn add_part(&mut self, part: usize, stretch: &Open<'a>, mosts: &[u32]) {
        let first = self.items.len();
        for (index, (offer, most)) in stretch.offers.iter().zip(mosts).enumerate() {
            if *most == 0 {
                continue;
            }
            self.items.push(Item {
                part,
                index,
                food: offer.food,
                carbs_g: offer.carbs_g,
                sodium_mg: offer.sodium_mg,
                water_ml: offer.water_ml,
                taste: Taste::of(offer),
                tired: tired(offer),
                most: *most,
                salt: offer.kind == FoodKind::Salt && offer.sodium_mg > 0.0,
                drink: offer.kind == FoodKind::Drink && offer.water_ml > 0.0,
            });
        }
        self.items[first..].sort_by(|a, b| {
            let rank = |item: &Item| rank(&stretch.offers[item.index]);
            rank(a).cmp(&rank(b)).then(b.carbs_g.total_cmp(&a.carbs_g))
        });
        self.parts.push(Part {
            want: stretch.want,
            flasks: stretch.room.flasks.as_ref(),
            carbs: Kinks::carbs(stretch.want),
            sodium: Kinks::sodium(stretch.want),
            items: first..self.items.len(),
        });
    }

    /// Keeps the limits that several items could exceed together.
    fn add_limits(&mut self, limits: &[Shared], of_several: usize) {
        self.rows = vec![Vec::new(); self.items.len()];
        let items = self.by_offer();
        for (index, limit) in limits.iter().enumerate() {
            let mut each = Vec::new();
            let mut together = 0.0;
            for (part, offer, one) in limit.each.iter().filter(|(_, _, one)| *one > 0.0) {
                if let Some(Some(at)) = items[*part].get(*offer) {
                    each.push((*at, *one));
                    together += one * f64::from(self.items[*at].most);
                }
            }
            if within(together, limit.left) {
                continue;
            }
            for (at, one) in &each {
                self.rows[*at].push((self.limits.len(), *one));
            }
            self.limits.push(Limit {
                shared: index < of_several,
                each,
                left: limit.left,
            });
        }
    }

    /// The item of each offer, by stretch.
    fn by_offer(&self) -> Vec<Vec<Option<usize>>> {
        let mut all = vec![Vec::new(); self.parts.len()];
        for (at, item) in self.items.iter().enumerate() {
            let of_part = &mut all[item.part];
            if of_part.len() <= item.index {
                of_part.resize(item.index + 1, None);
            }
            of_part[item.index] = Some(at);
        }
        all
    }

    fn find_same(&mut self) {
        self.same = vec![Vec::new(); self.items.len()];
        if self.parts.len() == 1 {
            return;
        }
        let mut earlier: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (at, item) in self.items.iter().enumerate() {
            let of_food = earlier.entry(item.food).or_default();
            self.same[at].clone_from(of_food);
            of_food.push(at);
        }
    }
}

/// What comes first in the search: drinks, whose flasks can be checked once they are chosen, what
/// few servings are allowed of, everything else, and salt, whose rule looks at all the others.
fn rank(offer: &Candidate) -> u8 {
    match offer.kind {
        FoodKind::Drink if offer.water_ml > 0.0 => 0,
        FoodKind::Station => 1,
        _ if offer.caffeine_mg > 0.0 => 1,
        FoodKind::Drink | FoodKind::Gel | FoodKind::Food => 2,
        FoodKind::Salt => 3,
    }
}

/// How many servings could be of use: past the needs nothing but caffeine makes one more better,
/// and that has its limit.
fn most(want: &Want, offer: &Candidate) -> u32 {
    let to_reach = |need: f64, each: f64| match each > 0.0 {
        true => (need / each).ceil() + 1.0,
        false => 0.0,
    };
    let useful =
        to_reach(want.carbs_g, offer.carbs_g).max(to_reach(want.sodium_mg, offer.sodium_mg));
    let useful = match offer.caffeine_mg > 0.0 || offer.price < 0.0 {
        true => MOST_SERVINGS,
        false => useful.min(MOST_SERVINGS),
    };
    offer.most.unwrap_or(u32::MAX).min(useful as u32)
}

/// Every limit of one stretch alone.
fn limits_of(part: usize, stretch: &Open<'_>) -> Vec<Shared> {
    let Open { want, offers, room } = stretch;
    let limit = |left: f64, each: &dyn Fn(&Candidate) -> f64| Shared {
        left,
        each: offers
            .iter()
            .enumerate()
            .map(|(at, offer)| (part, at, each(offer)))
            .filter(|(_, _, each)| *each > 0.0)
            .collect(),
    };
    let drink = |offer: &Candidate| match offer.kind {
        FoodKind::Drink => offer.water_ml,
        _ => 0.0,
    };
    let spot = |offer: &Candidate| f64::from(u8::from(offer.kind == FoodKind::Station));
    let spot_ml = |offer: &Candidate| spot(offer) * offer.water_ml;
    let flasks_ml = room
        .flasks
        .as_ref()
        .map_or(f64::INFINITY, |f| f.capacity_ml());
    vec![
        limit(want.fluid_ml.min(flasks_ml), &drink),
        limit(want.fluid_ceiling_ml, &|offer| offer.water_ml),
        limit(want.caffeine_mg, &|offer| offer.caffeine_mg),
        limit(f64::from(room.spot_servings), &spot),
        limit(MOST_ON_THE_SPOT_ML, &spot_ml),
    ]
}
