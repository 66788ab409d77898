//! How far the servings of a whole race are from the cheapest of all: small races, counted through.
#![allow(clippy::unwrap_used)]

use rand::seq::SliceRandom;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::diagnostics::Spanned;
use crate::inputs::pantry_csv::{Food, FoodKind};

use super::testing::{Race, Stop};
use crate::packing::Losses;
use crate::packing::choose::cost;
use crate::packing::cost::{tired, tired_of};
use crate::packing::menu::{Day, Stretch};
use crate::packing::stores::Stores;

/// Servings of one food on one stretch are counted through up to so many.
const MOST: u32 = 9;

/// A race of two to four stretches and few foods, most of them scarce.
fn small_race(rng: &mut ChaCha8Rng) -> Race {
    let stretches = rng.random_range(2..=4);
    let mut km = 0.0;
    let mut stops: Vec<Stop<'_>> = Vec::new();
    for name in ["a", "b", "c", "d"].into_iter().take(stretches) {
        km += rng.random_range(3.0..14.0);
        stops.push(Stop {
            name,
            km,
            offers: [&["water"][..], &["water", "banana"][..]][rng.random_range(0..2)],
            bag: rng.random_bool(0.2),
            stop_min: 5,
            ..Stop::default()
        });
    }
    let mut race = Race::over(&stops).with_flasks(&[500.0, 500.0]);
    let pantry = &mut race.inputs.pantry;
    pantry.retain(|food| food.kind != FoodKind::Station && food.caffeine_mg == 0.0);
    pantry.shuffle(rng);
    pantry.truncate(if stretches < 4 { 4 } else { 3 });
    let most = if rng.random_bool(0.5) { 3 } else { 7 };
    for food in pantry.iter_mut() {
        food.stock = Some(rng.random_range(0..=most));
        food.liking = rng.random_range(1..=5);
        food.tested = rng.random_bool(0.9);
    }
    if rng.random_bool(0.4) {
        let capacity_g = Spanned::unwritten(rng.random_range(60.0..400.0));
        race.inputs.runner.food_capacity_g = Some(capacity_g);
    }
    race
}

/// One way to serve one stretch, and what it takes of what is shared.
struct Way {
    /// Nothing of the same foods being had elsewhere.
    cost: f64,
    servings: Vec<u32>,
    /// By food.
    eaten: Vec<u32>,
    own: Vec<u32>,
    /// By departure, grams.
    load_g: Vec<f64>,
}

/// Every feasible way to serve a stretch, the cheapest first.
fn ways(day: &Day<'_>, stretch: &Stretch) -> Vec<Way> {
    let mut all = vec![vec![]];
    for offer in &stretch.offers {
        let most = offer.most.unwrap_or(MOST).min(MOST);
        let with = |counts: &Vec<u32>| {
            let counts = counts.clone();
            (0..=most).map(move |n| [counts.clone(), vec![n]].concat())
        };
        all = all.iter().flat_map(with).collect();
    }
    let mut ways: Vec<Way> = all
        .into_iter()
        .map(|servings| Way {
            cost: cost(&stretch.want, &stretch.offers, &stretch.room, &servings),
            ..taking(day, stretch, servings)
        })
        .filter(|way| way.cost.is_finite())
        .collect();
    ways.sort_by(|a, b| a.cost.total_cmp(&b.cost));
    ways
}

fn taking(day: &Day<'_>, stretch: &Stretch, servings: Vec<u32>) -> Way {
    let foods = day.stores.pantry.len();
    let mut way = Way {
        cost: 0.0,
        eaten: vec![0; foods],
        own: vec![0; foods],
        load_g: vec![0.0; day.points.len()],
        servings,
    };
    for ((origin, offer), &n) in stretch
        .origins
        .iter()
        .zip(&stretch.offers)
        .zip(&way.servings)
    {
        way.eaten[origin.food] += n;
        way.own[origin.food] += if offer.own { n } else { 0 };
        let here = day
            .stretches
            .iter()
            .position(|s| std::ptr::eq(s, stretch))
            .unwrap();
        let poured = usize::from(offer.kind == FoodKind::Drink);
        for departure in origin.point..=here - poured.min(here) {
            // a drink mixed where it is picked up is never in the pockets
            if offer.kind != FoodKind::Drink || origin.point < here {
                way.load_g[departure] += f64::from(n) * offer.pocket_g;
            }
        }
    }
    way
}

/// The cheapest way of all, counted through: what a food had twice costs is added at the end, so a
/// sum of ways by themselves that is no better already can be left out.
struct Count<'a> {
    day: &'a Day<'a>,
    ways: Vec<Vec<Way>>,
    chosen: Vec<usize>,
    best: f64,
}

impl Count<'_> {
    fn go_on(&mut self, cost: f64) {
        let j = self.chosen.len();
        if j == self.ways.len() {
            self.best = self.best.min(cost + self.had_twice());
            return;
        }
        let later: f64 = self.ways[j + 1..].iter().map(|ways| ways[0].cost).sum();
        for at in 0..self.ways[j].len() {
            let with = cost + self.ways[j][at].cost;
            if with + later >= self.best {
                return;
            }
            self.chosen.push(at);
            if self.is_there_enough() {
                self.go_on(with);
            }
            self.chosen.pop();
        }
    }

    fn taken(&self) -> impl Iterator<Item = &Way> {
        self.ways
            .iter()
            .zip(&self.chosen)
            .map(|(ways, at)| &ways[*at])
    }

    fn is_there_enough(&self) -> bool {
        let stores = self.day.stores;
        let stock = stores.pantry.iter().enumerate().all(|(food, item)| {
            let own: u32 = self.taken().map(|way| way.own[food]).sum();
            item.stock.is_none_or(|stock| own <= stock)
        });
        let pockets = (0..self.day.points.len()).all(|point| {
            let load_g: f64 = self.taken().map(|way| way.load_g[point]).sum();
            stores.pockets_g.is_none_or(|g| load_g <= g + 1e-6)
        });
        stock && pockets
    }

    /// What the same food on two stretches costs.
    fn had_twice(&self) -> f64 {
        let foods = self.day.stores.pantry.iter().enumerate();
        let of_food = |(food, item): (usize, &Food)| {
            let counts: Vec<f64> = self.taken().map(|way| f64::from(way.eaten[food])).collect();
            let all: f64 = counts.iter().sum();
            let squares: f64 = counts.iter().map(|n| n * n).sum();
            tired_of(item.carbs_g) * (all * all - squares) / 2.0
        };
        foods.map(of_food).sum()
    }
}

fn cheapest(day: &Day<'_>) -> f64 {
    let mut count = Count {
        day,
        ways: day
            .stretches
            .iter()
            .map(|stretch| ways(day, stretch))
            .collect(),
        chosen: Vec::new(),
        best: f64::INFINITY,
    };
    count.go_on(0.0);
    count.best
}

/// What everything costs together.
fn cost_of_all(day: &Day<'_>) -> f64 {
    let mut sum = 0.0;
    for (stretch, servings) in day.stretches.iter().zip(&day.shares.servings) {
        sum += cost(&stretch.want, &stretch.offers, &stretch.room, servings);
        // how often a food is had elsewhere; each pair of stretches has half of it
        for (offer, n) in stretch.offers.iter().zip(servings) {
            let elsewhere = f64::from(day.shares.eaten[offer.food] - n);
            sum += tired(offer) / 2.0 * f64::from(*n) * elsewhere;
        }
    }
    sum
}

/// Measured over 4000 races on another seed, four in five of them short of food: 1.0 % were not the
/// cheapest, the mean gap was 0.02 of a mean cost of 460, and the largest 13.9 (a gram of
/// carbohydrate that is missing costs 3). Without exchanges between stretches two thirds were not,
/// with a mean gap of 26.
const MOST_MISSED: f64 = 0.03;
const MEAN_GAP: f64 = 0.2;
const LARGEST_GAP: f64 = 30.0;

#[test]
fn shares_are_close_to_the_cheapest_of_all() {
    let mut rng = ChaCha8Rng::seed_from_u64(20_261_004);
    let (cases, mut missed, mut total, mut worst, mut short) = (800, 0, 0.0, 0.0_f64, 0);
    for case in 0..cases {
        let race = small_race(&mut rng);
        let setting = race.setting();
        let stores = Stores::of(setting.course, setting.inputs, &Losses::default());
        let day = Day::plan(&setting, &stores);
        let best = cheapest(&day);
        let ours = cost_of_all(&day);
        assert!(
            best <= ours + 1e-6,
            "{case}: {ours} is below the cheapest, {best}"
        );
        let gap = ours - best;
        missed += u32::from(gap > 1e-6);
        short += u32::from(best > 60.0);
        total += gap;
        worst = worst.max(gap);
    }
    let of_all = |count: u32| f64::from(count) / f64::from(cases);
    assert!(
        of_all(missed) <= MOST_MISSED,
        "{missed} were not the cheapest"
    );
    assert!(total / f64::from(cases) <= MEAN_GAP, "mean gap {total}");
    assert!(worst <= LARGEST_GAP, "largest gap {worst}");
    // a generator of plenty would let everything pass
    assert!(
        (0.2..0.95).contains(&of_all(short)),
        "{short} are short of food"
    );
}
