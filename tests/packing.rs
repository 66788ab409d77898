//! Tests of packing: the choice of servings, against every other choice there is.
//!
//! Foods are generic; their values per serving are computed from the USDA National Nutrient
//! Database for Standard Reference, release 26 (public domain), by record number and grams.

use rand::seq::SliceRandom;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use sutler::inputs::pantry_csv::FoodKind;
use sutler::packing::choose::{Candidate, Choice, Room, Supply, Want, choose, cost};

/// A tested food of middling liking, without end.
fn food(id: usize, kind: FoodKind, numbers: [f64; 4]) -> Candidate {
    let [carbs_g, sodium_mg, water_ml, mass_g] = numbers;
    let held = matches!(kind, FoodKind::Drink | FoodKind::Station);
    Candidate {
        food: id,
        kind,
        carbs_g,
        sodium_mg,
        caffeine_mg: 0.0,
        water_ml,
        pocket_g: if held { 0.0 } else { mass_g },
        most: None,
        liking: 3,
        tested: true,
        own: false,
        eaten: 0,
    }
}

const BANANA: usize = 0;
const POTATO: usize = 1;
const DATE: usize = 3;
const BROTH: usize = 4;
const MELON: usize = 5;
const COLA: usize = 6;
const SALT: usize = 7;
const MIX: usize = 9;

/// Carbohydrate, sodium, water and mass by record number of Standard Reference 26 and grams.
fn larder() -> Vec<Candidate> {
    use FoodKind::{Drink, Food, Gel, Salt, Station};
    let mut cola = food(COLA, Drink, [26.3, 10.0, 223.0, 249.0]); // 14148, 249 g
    cola.caffeine_mg = 22.0; // 8 fl oz of cola, as hospital tables based on USDA data have it
    vec![
        food(BANANA, Food, [27.0, 1.0, 88.0, 118.0]), // 09040, medium, 118 g
        food(POTATO, Food, [25.0, 301.0, 97.0, 125.0]), // 11833, boiled with salt, 125 g
        food(2, Food, [22.7, 326.0, 1.0, 28.0]),      // 19047, pretzels, hard, salted, 28 g
        food(DATE, Food, [18.0, 0.0, 5.0, 24.0]),     // 09421, large, pitted, 24 g
        food(BROTH, Station, [0.6, 917.0, 237.0, 240.0]), // 06475, from powder, 240 g
        food(MELON, Station, [11.5, 2.0, 139.0, 152.0]), // 09326, watermelon, diced, 152 g
        cola,
        food(SALT, Salt, [0.0, 388.0, 0.0, 1.0]), // 02047, table salt, 1 g
        food(8, Gel, [17.3, 1.0, 4.0, 21.0]),     // 19296, honey, tablespoon, 21 g
        // by composition: 6 % carbohydrate and 20 mmol/l of sodium in 500 ml
        food(MIX, Drink, [30.0, 230.0, 500.0, 32.0]),
    ]
}

/// So many hours at 60 g and 400 ml an hour, with sodium by the litre.
fn hours(h: f64) -> Want {
    Want {
        carbs_g: 60.0 * h,
        sodium_mg: 240.0 * h,
        sodium_loss_mg: 460.0 * h,
        fluid_ml: 400.0 * h,
        fluid_ceiling_ml: 500.0 * h,
        caffeine_mg: 0.0,
    }
}

/// A random stretch, what is on offer and the room for it.
fn random_case(rng: &mut ChaCha8Rng, kinds: usize, most: u32) -> (Want, Vec<Candidate>, Room) {
    let mut offers = larder();
    offers.shuffle(rng);
    offers.truncate(kinds);
    for offer in &mut offers {
        offer.most = Some(rng.random_range(0..=most));
        offer.liking = rng.random_range(1..=5);
        offer.tested = rng.random_bool(0.8);
        offer.own = rng.random_bool(0.5);
        offer.eaten = rng.random_range(0..10);
    }
    let mut want = hours(rng.random_range(0.3..4.0));
    want.sodium_mg *= rng.random_range(0.5..1.8);
    want.caffeine_mg = if rng.random_bool(0.3) { 50.0 } else { 0.0 };
    let room = Room {
        flasks_ml: rng
            .random_bool(0.8)
            .then(|| rng.random_range(500.0..2000.0)),
        pockets_g: rng.random_bool(0.5).then(|| rng.random_range(50.0..800.0)),
        spot_servings: rng.random_range(0..=2),
    };
    (want, offers, room)
}

/// The cheapest choice of all, by counting through every one of them.
fn cheapest(want: &Want, offers: &[Candidate], room: &Room) -> f64 {
    let mut servings = vec![0; offers.len()];
    let mut best = cost(want, offers, room, &servings);
    loop {
        let mut wheel = 0;
        while wheel < offers.len() && offers[wheel].most == Some(servings[wheel]) {
            servings[wheel] = 0;
            wheel += 1;
        }
        if wheel == offers.len() {
            return best;
        }
        servings[wheel] += 1;
        best = best.min(cost(want, offers, room, &servings));
    }
}

#[test]
fn choice_is_close_to_the_cheapest_of_all() {
    let mut rng = ChaCha8Rng::seed_from_u64(20_260_730);
    let (cases, mut missed, mut total, mut worst) = (2000, 0, 0.0, 0.0_f64);
    for _ in 0..cases {
        let (want, offers, room) = random_case(&mut rng, 8, 4);
        let best = cheapest(&want, &offers, &room);
        let ours = choose(&want, &offers, &room).cost;
        assert!(best <= ours + 1e-9, "{ours} is below the cheapest, {best}");
        let gap = ours - best;
        missed += usize::from(gap > 1e-6);
        total += gap;
        worst = worst.max(gap);
    }
    println!(
        "missed {missed} of {cases}, mean {}, worst {worst}",
        total / f64::from(cases as u32)
    );
}
