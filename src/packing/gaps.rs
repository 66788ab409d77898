//! How far the servings of a whole race are from the cheapest of all: small races, counted through.
#![allow(clippy::unwrap_used)]

use rand::seq::SliceRandom;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::diagnostics::Spanned;
use crate::inputs::pantry_csv::FoodKind;

use super::Losses;
use super::choose::cost;
use super::menu::{Day, Stretch};
use super::shares::Shares;
use super::stores::Stores;
use super::testing::{Race, Stop};

/// A race of two to four stretches and few foods, most of them scarce.
fn small_race(rng: &mut ChaCha8Rng) -> Race {
    let stretches = rng.random_range(2..=3);
    let mut km = 0.0;
    let mut stops: Vec<Stop<'_>> = Vec::new();
    for name in ["a", "b", "c"].into_iter().take(stretches) {
        km += rng.random_range(3.0..12.0);
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
    pantry.truncate(4);
    for food in pantry.iter_mut() {
        food.stock = Some(rng.random_range(0..=4));
        food.liking = rng.random_range(1..=5);
        food.tested = rng.random_bool(0.9);
    }
    if rng.random_bool(0.4) {
        let capacity_g = Spanned::unwritten(rng.random_range(60.0..400.0));
        race.inputs.runner.food_capacity_g = Some(capacity_g);
    }
    race
}

/// Counts through every way to share out, stretch by stretch.
struct Count<'a> {
    shares: Shares,
    stretches: &'a [Stretch],
    /// By stretch: every choice that is feasible by itself.
    choices: Vec<Vec<Vec<u32>>>,
    best: f64,
}

impl Count<'_> {
    fn go_on(&mut self, j: usize) {
        if j == self.stretches.len() {
            let cost = self.shares.cost(self.stretches);
            self.best = self.best.min(cost);
            return;
        }
        for servings in self.choices[j].clone() {
            let (offers, room) = self.shares.open(self.stretches, j);
            // what the stretches before left of stock and pockets
            if cost(&self.stretches[j].want, &offers, &room, &servings).is_finite() {
                self.shares.set(self.stretches, j, servings);
                self.go_on(j + 1);
            }
        }
        let none = vec![0; self.stretches[j].offers.len()];
        self.shares.set(self.stretches, j, none);
    }
}

fn cheapest(day: &Day<'_>) -> f64 {
    let choices = |stretch: &Stretch| {
        let mut all = vec![vec![]];
        for offer in &stretch.offers {
            let most = offer.most.unwrap_or(4).min(4);
            let with = |counts: &Vec<u32>| {
                let counts = counts.clone();
                (0..=most).map(move |n| [counts.clone(), vec![n]].concat())
            };
            all = all.iter().flat_map(with).collect();
        }
        let finite = |n: &Vec<u32>| {
            cost(&stretch.want, &stretch.offers, &stretch.room, n).is_finite()
        };
        all.into_iter().filter(finite).collect()
    };
    let mut count = Count {
        shares: Shares::none(&day.stretches, day.stores),
        stretches: &day.stretches,
        choices: day.stretches.iter().map(choices).collect(),
        best: f64::INFINITY,
    };
    count.go_on(0);
    count.best
}

#[test]
fn shares_are_close_to_the_cheapest_of_all() {
    let mut rng = ChaCha8Rng::seed_from_u64(20_261_004);
    let (mut missed, mut total, mut worst, mut costs) = (0, 0.0, 0.0_f64, 0.0);
    let cases = 300;
    for case in 0..cases {
        let race = small_race(&mut rng);
        let setting = race.setting();
        let stores = Stores::of(setting.course, setting.inputs, &Losses::default());
        let day = Day::plan(&setting, &stores);
        let best = cheapest(&day);
        let ours = day.shares.cost(&day.stretches);
        assert!(best <= ours + 1e-6, "{case}: {ours} is below the cheapest, {best}");
        let gap = ours - best;
        if gap > 1.0 { eprintln!("{case}: gap {gap} of {best}, {} stretches, pockets {:?}", day.stretches.len(), stores.pockets_g); }
        missed += usize::from(gap > 1e-6);
        total += gap;
        costs += best;
        worst = worst.max(gap);
    }
    eprintln!("missed {missed} of {cases}, mean gap {}, worst {worst}, mean cost {}", total / cases as f64, costs / cases as f64);
}
