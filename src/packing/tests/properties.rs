//! Properties of any race: random courses, pantries, skies and gear from a fixed seed.
#![allow(clippy::unwrap_used)]

use std::sync::LazyLock;

use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::diagnostics::Spanned;
use crate::inputs::CrewFile;
use crate::inputs::gear_csv::GearRule;
use crate::inputs::pantry_csv::{Food, FoodKind};
use crate::inputs::stations_csv::StationKind;

use super::testing::{Race, Stop, gear_item};
use crate::exposure::WindowExposure;
use crate::packing::{Flask, Packing, Pickup, Serving, Source};

const CASES: u64 = 200;

/// Random races, each packed.
pub(super) static RACES: LazyLock<Vec<(Race, Packing)>> = LazyLock::new(|| {
    let packed = |seed: u64| {
        let race = random_race(&mut ChaCha8Rng::seed_from_u64(seed));
        let packing = race.pack();
        (race, packing)
    };
    (0..CASES).map(packed).collect()
});

/// Runs a check on random races, and says which one failed.
pub(super) fn for_any_race(check: fn(&Race, &Packing)) {
    for (seed, (race, packing)) in RACES.iter().enumerate() {
        let result = std::panic::catch_unwind(|| check(race, packing));
        assert!(result.is_ok(), "race {seed}");
    }
}

const NAMES: [&str; 12] = [
    "a@A", "b@B", "c@C", "d@A", "e@B", "f@F", "g@G", "h@C", "i@Start", "j@J", "k@A", "l@L",
];
const OFFERS: [&[&str]; 5] = [
    &[],
    &["water"],
    &["water", "cola", "broth", "watermelon", "potato"],
    &["banana", "honey", "soup"],
    &["Water", "mix", "pretzels", "rice ball", "salt"],
];
const KINDS: [StationKind; 4] = [
    StationKind::Aid,
    StationKind::Water,
    StationKind::Checkpoint,
    StationKind::CrewOnly,
];

pub(super) fn random_race(rng: &mut ChaCha8Rng) -> Race {
    let on_the_way = rng.random_range(0..NAMES.len());
    let mut km = 0.0;
    let mut stops: Vec<Stop<'_>> = Vec::new();
    for name in NAMES.iter().take(on_the_way).copied().chain(["Finish"]) {
        km += rng.random_range(1.0..20.0);
        stops.push(Stop {
            name,
            km,
            kind: KINDS[rng.random_range(0..KINDS.len())],
            offers: OFFERS[rng.random_range(0..OFFERS.len())],
            bag: rng.random_bool(0.3),
            crew: rng.random_bool(0.4),
            pacer: rng.random_bool(0.3),
            stop_min: rng.random_range(0..3) * 5,
        });
    }
    let mut race = Race::over(&stops);
    if rng.random_bool(0.5) {
        race = race.with_crew(CrewFile::default());
    }
    if rng.random_bool(0.8) {
        race = race.with_flasks(&[500.0, 500.0, 1000.0][..rng.random_range(1..=3)]);
    }
    if rng.random_bool(0.5) {
        let capacity_g = Spanned::unwritten(rng.random_range(100.0..1500.0));
        race.inputs.runner.food_capacity_g = Some(capacity_g);
    }
    random_pantry(rng, &mut race.inputs.pantry);
    race.inputs.plan.fueling.caffeine = rng.random_bool(0.5);
    race.inputs.runner.caffeine_dose_mg = Some(Spanned::unwritten(rng.random_range(40.0..=200.0)));
    for need in &mut race.fueling.segments {
        need.sodium_mg *= rng.random_range(0.5..1.9);
        need.caffeine_mg = if race.inputs.plan.fueling.caffeine {
            50.0
        } else {
            0.0
        };
    }
    random_gear(rng, &mut race);
    race
}

fn random_pantry(rng: &mut ChaCha8Rng, pantry: &mut Vec<Food>) {
    pantry.retain(|_| rng.random_bool(0.8));
    for food in pantry {
        food.stock = rng.random_bool(0.4).then(|| rng.random_range(0..15));
        food.liking = rng.random_range(1..=5);
        food.tested = rng.random_bool(0.8);
        food.own = rng.random_bool(0.7);
    }
}

fn random_gear(rng: &mut ChaCha8Rng, race: &mut Race) {
    for met in &mut race.sky.segments {
        *met = WindowExposure {
            dark: rng.random_bool(0.4),
            dark_h: [0.0; 3],
            cold: rng.random_bool(0.3),
            rain: rng.random_bool(0.3),
            heat: rng.random_bool(0.3),
            sun: rng.random_bool(0.3),
            leaves_dark: false,
            hours: rng.random_range(0.3..4.0),
            drained_h: [0.0; 3],
        };
        met.leaves_dark = met.dark && rng.random_bool(0.7);
        if met.dark {
            met.dark_h = [(); 3].map(|()| rng.random_range(0.0..4.0));
        }
    }
    race.sky.knows_daylight = rng.random_bool(0.8);
    race.sky.knows_weather = rng.random_bool(0.8);
    for (name, when) in GearRule::NAMES {
        let mut item = gear_item(name, when);
        item.burn_h = (when == GearRule::Dark).then(|| rng.random_range(1.0..8.0));
        let after = rng.random_range(0..race.course.stations.len());
        item.after = (when == GearRule::AfterStation)
            .then(|| Spanned::unwritten(race.course.stations[after].name.clone()));
        race.inputs.gear.push(item);
    }
    race.course.mandatory_kit = vec!["blanket".to_owned()];
    if rng.random_bool(0.5) {
        race.course.mandatory_kit.push(" RAIN ".to_owned());
    }
}

fn all_servings(packing: &Packing) -> impl Iterator<Item = (&Pickup, &Serving)> {
    packing
        .pickups
        .iter()
        .flat_map(|p| p.take.iter().chain(&p.here).map(move |s| (p, s)))
}

/// Mix that is drunk and water in all else that is eaten, millilitres.
fn fluid_ml(race: &Race, pickup: &Pickup) -> (f64, f64) {
    let poured = |s: &&Serving| food(race, s).kind == FoodKind::Drink;
    let eaten = pickup
        .take
        .iter()
        .filter(|s| !poured(s))
        .chain(&pickup.here);
    let ml = |s: &Serving| f64::from(s.count) * food(race, s).water_ml;
    (pickup.mix_ml.1, eaten.map(ml).sum())
}

/// Water in a serving; a drink is thinned to 8 % at most.
fn mixed_ml(food: &Food) -> f64 {
    match food.kind {
        FoodKind::Drink => food.water_ml.max(food.carbs_g / 0.08),
        _ => food.water_ml,
    }
}

pub(super) fn food<'a>(race: &'a Race, serving: &Serving) -> &'a Food {
    let mut pantry = race.inputs.pantry.iter();
    pantry.find(|f| f.name.value == serving.food).unwrap()
}

#[test]
fn every_serving_has_a_source() {
    for_any_race(|race, packing| {
        for (pickup, serving) in all_servings(packing) {
            assert!(serving.count > 0);
            let food = food(race, serving);
            let at = &race.course.stations[serving.at];
            let crew = race.inputs.crew.is_some();
            assert!(serving.at <= pickup.station);
            match serving.source {
                Source::Start => assert!(food.own && serving.at == 0),
                Source::Bag => assert!(food.own && at.drop_bag),
                Source::Crew => assert!(food.own && at.crew && crew),
                Source::Station => {
                    assert!(at.offers.contains(&serving.food));
                    // what is poured or had on the spot is not carried from elsewhere
                    let carried = !matches!(food.kind, FoodKind::Drink | FoodKind::Station);
                    assert!(carried || serving.at == pickup.station);
                }
            }
        }
    });
}

#[test]
fn own_servings_are_within_the_stock() {
    for_any_race(|race, packing| {
        for food in &race.inputs.pantry {
            let own: u32 = all_servings(packing)
                .filter(|(_, s)| s.food == food.name.value && s.source != Source::Station)
                .map(|(_, s)| s.count)
                .sum();
            assert!(food.stock.is_none_or(|stock| own <= stock));
        }
    });
}

#[test]
fn pickups_supply_what_their_servings_hold() {
    for_any_race(|race, packing| {
        let mut mix: Option<(&Food, f64)> = None;
        for pickup in &packing.pickups {
            let poured = |s: &&Serving| food(race, s).kind == FoodKind::Drink;
            if let Some(s) = pickup.take.iter().find(poured) {
                let fresh = |f: &&Flask| f.drink.as_ref().is_some_and(|d| d.1 > 0);
                let fresh = pickup.flasks.iter().filter(fresh);
                let count = f64::from(s.count);
                let ml = match pickup.flasks.is_empty() {
                    true => count * mixed_ml(food(race, s)),
                    false => fresh.map(|f| f.fluid_ml).sum(),
                };
                mix = Some((food(race, s), count / ml));
            }
            let eaten = pickup
                .take
                .iter()
                .filter(|s| !poured(s))
                .chain(&pickup.here);
            let sum = |holds: fn(&Food) -> f64| -> f64 {
                let each = eaten
                    .clone()
                    .map(|s| f64::from(s.count) * holds(food(race, s)));
                let mixed = mix.map_or(0.0, |(food, per_ml)| per_ml * holds(food));
                each.sum::<f64>() + pickup.mix_ml.1 * mixed
            };
            assert!(pickup.mix_ml.1 <= pickup.mix_ml.0 + 1e-6);
            assert!((sum(|f| f.carbs_g) - pickup.carbs_g.0).abs() < 1e-6);
            assert!((sum(|f| f.sodium_mg) - pickup.sodium_mg.0).abs() < 1e-6);
            assert!((sum(|f| f.caffeine_mg) - pickup.caffeine_mg.0).abs() < 1e-6);
        }
    });
}

#[test]
fn no_salt_beyond_the_loss() {
    for_any_race(|race, packing| {
        for pickup in &packing.pickups {
            let needs = &race.fueling.segments[pickup.station..pickup.until];
            let salt = |s: &Serving| food(race, s).kind == FoodKind::Salt;
            let loss_mg: f64 = needs.iter().map(|n| n.sodium_loss_mg).sum();
            if pickup.take.iter().any(salt) {
                assert!(pickup.sodium_mg.0 <= loss_mg + 1e-6);
            }
        }
    });
}

#[test]
fn caffeine_stays_within_the_limits() {
    for_any_race(|race, packing| {
        let at_h = |p: &Pickup| race.schedule.splits[p.station].arrival.as_hours();
        for (index, pickup) in packing.pickups.iter().enumerate() {
            // European Food Safety Authority 2015: 200 mg at once and 400 mg a day
            assert!(pickup.caffeine_mg.0 <= 200.0 + 1e-6);
            let day = packing.pickups[index..].iter();
            let day = day.take_while(|p| at_h(p) < at_h(pickup) + 24.0);
            assert!(day.map(|p| p.caffeine_mg.0).sum::<f64>() <= 400.0 + 1e-6);
        }
        let all: f64 = packing.caffeine.iter().map(|share| share.mg).sum();
        let taken: f64 = packing.pickups.iter().map(|p| p.caffeine_mg.0).sum();
        assert!((all - taken).abs() < 1e-6);
    });
}

#[test]
fn fluid_stays_within_plan_sweat_and_flasks_or_is_said() {
    for_any_race(|race, packing| {
        for pickup in &packing.pickups {
            let needs = &race.fueling.segments[pickup.station..pickup.until];
            let plan_ml: f64 = needs.iter().map(|n| n.fluid_ml).sum();
            let sweat_ml: f64 = needs
                .iter()
                .map(|n| n.sweat_l_per_h * n.hours * 1000.0)
                .sum();
            let (drinks_ml, food_ml) = fluid_ml(race, pickup);
            assert!(drinks_ml <= plan_ml + 1e-6);
            assert!(drinks_ml + food_ml <= sweat_ml + 1e-6);

            let known = !race.inputs.runner.flasks_ml.is_empty();
            let about = crate::findings::About::Segment(pickup.station);
            let failed = (packing.findings.iter())
                .any(|f| f.kind.name() == "carry-short" && f.subjects().any(|at| at == about));
            let tight = packing
                .findings
                .iter()
                .any(|f| matches!(f.kind.name(), "carry-tight" | "carry-short"));
            let carry_ml: f64 = race.fueling.segments[pickup.station..pickup.until_water]
                .iter()
                .map(|n| n.carry_ml)
                .sum();
            assert!((pickup.carry_ml - carry_ml).abs() < 1e-6);
            let filled = pickup.water_ml > 0.0;
            // less than a sip is not spoken of
            let missing_ml = carry_ml - pickup.capacity_ml;
            assert!(!(known && filled && missing_ml >= 30.0) || failed || tight);
            assert!(!failed || pickup.way_ml > 1.1 * pickup.capacity_ml);
            assert!(!(known && filled && pickup.way_ml > 1.1 * pickup.capacity_ml) || failed);
            if known {
                assert!(drinks_ml <= pickup.capacity_ml + 1e-6);
            }
            assert!(pickup.spot.water_ml <= 450.0 + 1e-6);
            assert!((food_ml - pickup.food_water_ml).abs() < 1e-6);
        }
    });
}

/// Servings as sorted lines, so that heaps can be compared.
fn heap<'a>(servings: impl Iterator<Item = &'a Serving>) -> Vec<(String, u32)> {
    let mut sums = std::collections::BTreeMap::new();
    for serving in servings {
        *sums.entry(serving.food.clone()).or_insert(0) += serving.count;
    }
    sums.into_iter().collect()
}

#[test]
fn bags_crew_and_pockets_hold_exactly_what_is_taken_from_them() {
    for_any_race(|_, packing| {
        let eaten = |source: Source, at: usize| {
            heap(
                all_servings(packing)
                    .map(|(_, s)| s)
                    .filter(move |s| (s.source, s.at) == (source, at)),
            )
        };
        for bag in &packing.bags {
            for visit in &bag.visits {
                let in_order = visit.in_order.iter().flat_map(|r| &r.servings);
                assert_eq!(heap(visit.servings.iter()), heap(in_order));
                assert!(
                    visit
                        .in_order
                        .windows(2)
                        .all(|pair| pair[0].until <= pair[1].from)
                );
                assert_eq!(
                    heap(visit.servings.iter()),
                    eaten(Source::Bag, visit.station)
                );
            }
            let visits = bag.visits.iter().flat_map(|v| &v.servings);
            assert_eq!(heap(bag.servings.iter()), heap(visits));
        }
        for handover in &packing.handovers {
            assert_eq!(
                heap(handover.servings.iter()),
                eaten(Source::Crew, handover.station)
            );
        }
        let handed = |at: usize| packing.handovers.iter().any(|h| h.station == at);
        let opened = |at: usize| {
            packing
                .bags
                .iter()
                .any(|b| b.visits.iter().any(|v| v.station == at))
        };
        for (_, serving) in all_servings(packing) {
            assert!(serving.source != Source::Crew || handed(serving.at));
            assert!(serving.source != Source::Bag || opened(serving.at));
        }
        let out_of_start = packing.pickups[0]
            .take
            .iter()
            .chain(&packing.pickups[0].for_later);
        let start = heap(out_of_start.filter(|s| s.source == Source::Start));
        assert_eq!(start, eaten(Source::Start, 0));
    });
}

/// Servings picked up so far and still to be eaten; drinks are in the flasks by then.
#[test]
fn pockets_weigh_what_is_still_to_be_eaten() {
    for_any_race(|race, packing| {
        for pickup in &packing.pickups {
            let mut food_g = 0.0;
            for (eaten_at, serving) in all_servings(packing) {
                let food = food(race, serving);
                let held = serving.at <= pickup.station && eaten_at.station >= pickup.station;
                let poured = food.kind == FoodKind::Drink && eaten_at.station == pickup.station;
                if held && !poured && !eaten_at.here.iter().any(|s| std::ptr::eq(s, serving)) {
                    food_g += f64::from(serving.count) * food.mass_g;
                }
            }
            for serving in &packing.pickups[0].reserve {
                food_g += f64::from(serving.count) * food(race, serving).mass_g;
            }
            assert!(
                (food_g - pickup.food_g).abs() < 1e-6,
                "{food_g} {}",
                pickup.food_g
            );
        }
    });
}

#[test]
fn pockets_hold_the_food() {
    for_any_race(|race, packing| {
        let capacity_g = race.inputs.runner.food_capacity_g.as_ref();
        for pickup in &packing.pickups {
            assert!(capacity_g.is_none_or(|g| pickup.food_g <= g.value + 1e-6));
        }
    });
}

#[test]
fn the_shopping_list_adds_up() {
    for_any_race(|race, packing| {
        for provision in &packing.shopping {
            let of_it = || {
                all_servings(packing)
                    .map(|(_, s)| s)
                    .filter(|s| s.food == provision.food)
            };
            let own = of_it().filter(|s| s.source != Source::Station);
            let own: u32 = own.map(|s| s.count).sum();
            assert_eq!(provision.servings, own + provision.reserve);
            let all: u32 = of_it().map(|s| s.count).sum::<u32>() + provision.reserve;
            assert_eq!(all, provision.servings + provision.from_stations);
            let packed: u32 = provision.packed.iter().map(|p| p.count).sum();
            assert_eq!(packed, provision.servings);
            let stock = race
                .inputs
                .pantry
                .iter()
                .find(|f| f.name.value == provision.food);
            assert_eq!(stock.unwrap().stock, provision.stock);
        }
        for (_, serving) in all_servings(packing) {
            assert!(packing.shopping.iter().any(|p| p.food == serving.food));
        }
        // every bag and every handover is on it
        for bag in &packing.bags {
            for serving in &bag.servings {
                let listed = packing.shopping.iter().find(|p| p.food == serving.food);
                let here = listed.unwrap().packed.iter();
                let count: u32 = here
                    .filter(|p| p.source == Source::Bag && p.place == bag.place)
                    .map(|p| p.count)
                    .sum();
                assert_eq!(count, serving.count);
            }
        }
    });
}

/// Foods at the ends of what `pantry.csv` accepts, and many of them.
fn odd_food(rng: &mut ChaCha8Rng, index: usize) -> Food {
    let kinds = FoodKind::NAMES;
    let mut any = |most: f64| match rng.random_range(0..4) {
        0 => 0.0,
        1 => most,
        2 => most * 1e-5,
        _ => rng.random_range(0.0..most),
    };
    let numbers = [any(500.0), any(5000.0), any(3000.0), any(5000.0)];
    let caffeine_mg = any(400.0);
    let mut food = super::testing::food(&format!("food {index}"), kinds[index % 5].1, numbers);
    food.caffeine_mg = if index.is_multiple_of(3) {
        caffeine_mg
    } else {
        0.0
    };
    food.stock = [None, Some(0), Some(1), Some(10_000)][rng.random_range(0..4)];
    food.liking = rng.random_range(1..=5);
    food.tested = rng.random_bool(0.5);
    food
}

#[test]
fn no_pantry_is_too_odd() {
    for seed in 0..24 {
        let mut rng = ChaCha8Rng::seed_from_u64(1000 + seed);
        let mut race = random_race(&mut rng);
        let foods = [3, 10, 60][seed as usize % 3];
        race.inputs.pantry = (0..foods).map(|index| odd_food(&mut rng, index)).collect();
        for station in &mut race.course.stations {
            let offered = |_: &u32| format!("food {}", rng.random_range(0..foods));
            station.offers.extend([0; 3].iter().map(offered));
        }
        let packing = race.pack();
        for pickup in &packing.pickups {
            let needs = &race.fueling.segments[pickup.station..pickup.until];
            let sweat_ml: f64 = needs
                .iter()
                .map(|n| n.sweat_l_per_h * n.hours * 1000.0)
                .sum();
            let (drinks_ml, food_ml) = fluid_ml(&race, pickup);
            let fluid_ml = drinks_ml + food_ml;
            assert!(
                fluid_ml <= sweat_ml + 1e-5,
                "{seed}: {drinks_ml} and {food_ml} of {sweat_ml}: {pickup:?}"
            );
            assert!(pickup.caffeine_mg.0 <= 200.0 + 1e-5, "{seed}");
        }
    }
}

#[test]
fn packing_the_same_race_twice_gives_the_same() {
    for_any_race(|race, packing| {
        assert_eq!(format!("{packing:?}"), format!("{:?}", race.pack()));
    });
}

#[test]
fn random_races_reach_every_corner() {
    // a generator that never makes a bag or a shortfall would let everything above pass
    let mut seen = std::collections::BTreeMap::new();
    for (_, packing) in RACES.iter() {
        for finding in &packing.findings {
            *seen.entry(finding.kind.name()).or_insert(0) += 1;
        }
        for (_, serving) in all_servings(packing) {
            let source = match serving.source {
                Source::Start => "start",
                Source::Station => "station",
                Source::Bag => "bag",
                Source::Crew => "crew",
            };
            *seen.entry(source).or_insert(0) += 1;
        }
        let left = packing
            .pickups
            .iter()
            .map(|p| p.gear_off.len())
            .sum::<usize>();
        *seen.entry("left").or_insert(0) += left;
    }
    let wanted = [
        "start",
        "station",
        "bag",
        "crew",
        "left",
        "carry-short",
        "carbs-short",
        "sodium-short",
        "caffeine-short",
        "pockets-short",
        "capacity-unknown",
        "untested-food",
        "lamp-hours",
        "gear-in-doubt",
        "gear-not-needed",
        "gear-carried",
    ];
    for kind in wanted {
        assert!(seen.get(kind).is_some_and(|n| *n >= 5), "{kind}: {seen:?}");
    }
}
