//! Properties of a plan that is followed, held for any race; the races are those of `properties`.
#![allow(clippy::unwrap_used)]

use crate::inputs::pantry_csv::FoodKind;
use crate::packing::{Pickup, Serving, Source};

use super::properties::{RACES, food, for_any_race};
use super::testing::{Race, Stop};

#[test]
fn flasks_are_filled_by_quarters_and_hold_what_should_be_carried() {
    for_any_race(|race, packing| {
        for pickup in packing.pickups.iter().filter(|p| !p.flasks.is_empty()) {
            let sizes = race.inputs.runner.flasks_ml.iter().map(|f| f.value);
            let flasks = &pickup.flasks;
            assert!(sizes.eq(flasks.iter().map(|f| f.size_ml)));
            for flask in flasks {
                let quarters = flask.fluid_ml / flask.size_ml * 4.0;
                assert!((quarters - quarters.round()).abs() < 1e-9 && quarters <= 4.0);
                let fresh = flask
                    .drink
                    .as_ref()
                    .is_some_and(|(_, servings)| *servings > 0);
                assert!(!fresh || quarters == 4.0, "{flask:?}");
            }
            let held_ml: f64 = flasks.iter().map(|f| f.fluid_ml).sum();
            assert!((held_ml - pickup.fluid_ml).abs() < 1e-6);
            // a sip is not worth a quarter
            let wanted_ml = pickup.carry_ml.min(pickup.capacity_ml);
            assert!(
                held_ml >= wanted_ml - 30.0 - 1e-6,
                "{held_ml} {wanted_ml} {pickup:?}"
            );
            for serving in &pickup.take {
                let food = food(race, serving);
                if food.kind != FoodKind::Drink || food.water_ml == 0.0 {
                    continue;
                }
                let of_it = || {
                    flasks.iter().filter_map(|f| {
                        let (name, count) = f.drink.as_ref()?;
                        (*name == serving.food).then_some((f.fluid_ml, *count))
                    })
                };
                let count: u32 = of_it().map(|(_, count)| count).sum();
                assert_eq!(count, serving.count, "{pickup:?}");
                for (ml, count) in of_it() {
                    // 3 to 8 %: McDermott et al. 2017
                    let carbs_g = f64::from(count) * food.carbs_g;
                    assert!(carbs_g / ml <= 0.08 + 1e-9, "{carbs_g} g in {ml} ml");
                }
            }
        }
    });
}

/// The rules of a plan that is followed: common practice, no source.
#[test]
fn no_rule_of_the_rhythm_is_broken() {
    for_any_race(|race, packing| {
        for (index, pickup) in packing.pickups.iter().enumerate() {
            let needs = &race.fueling.segments[pickup.station..pickup.until];
            let hours: f64 = needs.iter().map(|n| n.hours).sum();
            let kind = |s: &&Serving| food(race, s).kind;
            let carried = || pickup.take.iter().filter(|s| kind(s) != FoodKind::Salt);
            let mut names: Vec<&str> = carried().map(|s| s.food.as_str()).collect();
            names.sort_unstable();
            names.dedup();
            assert!(names.len() <= 4, "{names:?}");
            let things = carried().filter(|s| kind(s) != FoodKind::Drink);
            let things: u32 = things.map(|s| s.count).sum();
            assert!(
                f64::from(things) <= (2.0 * hours).round().max(1.0),
                "{things} in {hours} h"
            );
            let here: u32 = pickup.here.iter().map(|s| s.count).sum();
            let stop_min = race.schedule.stop(pickup.station).as_secs() / 60;
            let most = if stop_min >= 5 {
                3
            } else {
                u32::from(stop_min > 0)
            };
            assert!(here <= most, "{here} things in {stop_min} min");
            let fresh_g: f64 = carried()
                .filter(|s| kind(s) == FoodKind::Food && s.source == Source::Station)
                .map(|s| f64::from(s.count) * food(race, s).mass_g)
                .sum();
            assert!(fresh_g <= 150.0 + 1e-6);
            let at_h = |p: &Pickup| race.schedule.splits[p.station].arrival.as_hours();
            let day = packing.pickups[index..].iter();
            let day = day.take_while(|p| at_h(p) < at_h(pickup) + 24.0);
            let mut counts = std::collections::BTreeMap::new();
            for serving in day.flat_map(|p| p.take.iter().chain(&p.here)) {
                if ![FoodKind::Drink, FoodKind::Salt].contains(&food(race, serving).kind) {
                    *counts.entry(&serving.food).or_insert(0) += serving.count;
                }
            }
            assert!(counts.values().all(|n| *n <= 10), "{counts:?}");
        }
    });
}

#[test]
fn the_reserve_is_packed_and_counted_nowhere() {
    let mut seen = 0;
    for (race, packing) in RACES.iter() {
        for (index, pickup) in packing.pickups.iter().enumerate() {
            assert!(index == 0 || pickup.reserve.is_empty());
            for serving in &pickup.reserve {
                seen += 1;
                assert!((1..=2).contains(&serving.count));
                assert_eq!(food(race, serving).kind, FoodKind::Gel);
                let listed = packing.shopping.iter().find(|p| p.food == serving.food);
                assert_eq!(listed.unwrap().reserve, serving.count);
            }
        }
    }
    assert!(seen > 20, "{seen}");
}

/// Four runners in five lines each, on every race.
#[test]
fn every_runner_eats_as_their_rhythm_says() {
    let rhythms = [
        (
            "grazing",
            "every_min = 20\neat = [\"food\", \"station\"]\nmix_flasks = 0",
        ),
        ("mix only", "eat = []\nmix_flasks = 2\nsip_ml_per_h = 500"),
        (
            "real food",
            "refuse = [\"gel\"]\ntaste = \"savoury\"\nmix_flasks = 0",
        ),
        (
            "gel only",
            "every_min = 30\neat = [\"gel\"]\nmix_flasks = 0",
        ),
    ];
    for (name, lines) in rhythms {
        let habit = habit(lines);
        let (mut things, mut mixed_ml) = (0, 0.0);
        for (race, _) in RACES.iter().take(12) {
            let mut race = race.clone();
            race.fueling.habits = vec![habit.clone(); race.fueling.segments.len()];
            for pickup in race.pack().pickups {
                mixed_ml += pickup.mix_ml.1;
                for serving in pickup.take.iter().chain(&pickup.here) {
                    let kind = food(&race, serving).kind;
                    things += serving.count;
                    let allowed = match name {
                        _ if kind == FoodKind::Salt => true,
                        "grazing" => [FoodKind::Food, FoodKind::Station].contains(&kind),
                        "mix only" => kind == FoodKind::Drink,
                        "real food" => kind != FoodKind::Gel,
                        _ => kind == FoodKind::Gel,
                    };
                    assert!(allowed, "{name}: {serving:?}");
                }
            }
        }
        assert!(things > 0, "{name}");
        assert_eq!(mixed_ml > 0.0, name == "mix only", "{name}");
    }
}

/// Ten of a food in a day is the most, but who eats nothing else eats it all day long, and what is
/// scarce is spread.
#[test]
fn who_eats_few_foods_has_them_often_and_evenly() {
    let stops: Vec<Stop<'_>> = (1..=6)
        .map(|nth| Stop {
            name: ["A", "B", "C", "D", "E", "Finish"][nth - 1],
            km: 12.0 * nth as f64,
            ..Stop::default()
        })
        .collect();
    let eaten = |lines: &str| -> Vec<u32> {
        let mut race = Race::over(&stops);
        race.fueling.habits = vec![habit(lines); race.fueling.segments.len()];
        let pickups = race.pack().pickups;
        let count = |p: &Pickup| {
            p.take
                .iter()
                .filter(|s| s.food == "honey")
                .map(|s| s.count)
                .sum()
        };
        pickups.iter().map(count).collect()
    };
    let gels = "every_min = 30\neat = [\"gel\"]\nmix_flasks = 0";
    assert_eq!(eaten(gels), [4; 6], "one every half an hour of 12");
    let few = eaten(&format!("{gels}\nat_most = 12"));
    assert_eq!(few, [2; 6]);
    assert!(eaten("every_min = 30\nmix_flasks = 0").iter().sum::<u32>() <= 10);
}

/// The rhythm of one phase.
fn habit(lines: &str) -> crate::fueling::Habit {
    let text = format!("[[rhythm]]\n{lines}\n");
    let mut notes = crate::diagnostics::Notes::new();
    let mut sources = crate::diagnostics::Sources::default();
    let file = crate::diagnostics::SourceFile::new("runner.toml", text);
    let id = sources.add(file.clone());
    let runner = crate::inputs::runner_toml::read(&file, id, &mut notes);
    assert!(notes.all().is_empty(), "{:?}", notes.all());
    crate::fueling::Habit::of(runner.rhythm.iter())
}
