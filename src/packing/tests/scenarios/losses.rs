//! Tests of what is packed when something is not there after all.

use rand::{RngExt as _, SeedableRng};
use rand_chacha::ChaCha8Rng;

use crate::packing::Losses;
use crate::packing::tests::properties::random_race;

use super::*;

fn with_everything() -> Race {
    Race::over(&[
        Stop {
            bag: true,
            offers: &["water", "banana"],
            ..aid("Bags@Square", 12.0)
        },
        Stop {
            crew: true,
            ..aid("Road", 18.0)
        },
        Stop {
            bag: true,
            ..aid("Bags again@Square", 24.0)
        },
        finish(36.0),
    ])
    .with_crew(CrewFile::default())
    .with_flasks(&[500.0, 1000.0])
    .with_gear(&[("lamp", GearRule::Dark)])
    .with_sky(&[3], |met| met.dark = true)
}

fn sources(packing: &Packing) -> Vec<(Source, usize)> {
    let all = packing
        .pickups
        .iter()
        .flat_map(|p| p.take.iter().chain(&p.here));
    all.map(|s| (s.source, s.at)).collect()
}

#[test]
fn a_missing_bag_is_missing_on_every_visit() {
    let race = with_everything();
    assert!(sources(&race.pack()).contains(&(Source::Bag, 3)));
    assert_eq!(pickup(&race.pack(), 3).gear_on, ["lamp"]);
    let square = race.course.stations[1].place;
    let packing = race.pack_without(&Losses {
        bags: vec![square],
        ..Losses::default()
    });
    assert!(packing.bags.is_empty());
    assert!(sources(&packing).iter().all(|s| s.0 != Source::Bag));
    // the crew has the lamp instead
    assert_eq!(pickup(&packing, 2).gear_on, ["lamp"]);
}

#[test]
fn a_crew_stuck_on_the_road_hands_over_nothing() {
    let race = with_everything();
    let road = race.course.stations[2].place;
    let packing = race.pack_without(&Losses {
        crew: vec![road],
        ..Losses::default()
    });
    assert!(packing.handovers.is_empty(), "{:?}", packing.handovers);
    assert!(sources(&packing).iter().all(|s| s.0 != Source::Crew));
}

#[test]
fn a_dry_station_has_no_food_and_no_water() {
    let race = with_everything();
    let square = race.course.stations[1].place;
    let packing = race.pack_without(&Losses {
        offers: vec![square],
        ..Losses::default()
    });
    assert!(sources(&packing).iter().all(|s| s.0 != Source::Station));
    assert_eq!(pickup(&packing, 0).until_water, 2);
    // 18 km with 1.5 l, and 18 km more from the road to the finish
    assert_eq!(pickup(&packing, 2).until_water, 4);
}

#[test]
fn foods_and_flasks_can_be_lost() {
    let race = with_everything();
    let packing = race.pack_without(&Losses {
        items: vec![" Banana".to_owned(), "date".to_owned()],
        flasks: 1,
        ..Losses::default()
    });
    let foods = packing
        .pickups
        .iter()
        .flat_map(|p| p.take.iter().chain(&p.for_later));
    let gone = |s: &Serving| s.food == "banana" || s.food == "date";
    assert!(foods.clone().count() > 0 && !foods.clone().any(gone));
    assert!(packing.pickups.iter().all(|p| p.capacity_ml == 500.0));
    let none = race.pack_without(&Losses {
        flasks: 5,
        ..Losses::default()
    });
    // no flask is not the same as not saying which
    assert!(found(&none, "capacity-unknown").is_empty());
    assert!(!found(&none, "carry-short").is_empty());
}

#[test]
fn nothing_lost_changes_nothing() {
    let race = with_everything();
    let same = race.pack_without(&Losses::default());
    assert_eq!(format!("{:?}", race.pack()), format!("{same:?}"));
}

#[test]
fn a_bag_found_missing_is_made_up_from_nowhere_else() {
    let race = with_everything();
    let square = race.course.stations[1].place;
    let packing = race.pack_without(&Losses {
        bags: vec![square],
        unforeseen: true,
        ..Losses::default()
    });
    // there are bananas at the square on the first visit, and nothing but water on the second, from
    // where a stop of 5 min and 12 km at 6 km and 60 g an hour ask for 125 g
    let out = pickup(&packing, 1);
    assert!(out.take.iter().all(|s| s.source == Source::Station));
    let mut eaten = out.take.iter().chain(&out.here);
    assert!(eaten.any(|s| s.food == "banana"));
    let back = pickup(&packing, 3);
    assert!((back.carbs_g.1 - 125.0).abs() < 1e-6, "{}", back.carbs_g.1);
    assert!(
        back.take.iter().all(|s| s.source == Source::Station),
        "{back:?}"
    );
    // the crew in between still hands over what its own stretch takes
    let crew = pickup(&packing, 2);
    assert!(crew.take.iter().any(|s| s.source == Source::Crew));
}

#[test]
fn what_is_lost_gives_nothing_on_random_races() {
    for seed in 0..300 {
        let mut rng = ChaCha8Rng::seed_from_u64(seed);
        let race = random_race(&mut rng);
        let places = race.course.places.len();
        let mut some = || -> Vec<usize> { (0..places).filter(|_| rng.random_bool(0.3)).collect() };
        let losses = Losses {
            bags: some(),
            crew: some(),
            offers: some(),
            items: vec!["banana".to_owned()],
            flasks: 1,
            unforeseen: seed % 2 == 0,
        };
        let packing = race.pack_without(&losses);
        for pickup in &packing.pickups {
            let taken = pickup.take.iter().chain(&pickup.for_later);
            for serving in taken.chain(&pickup.here) {
                let place = race.course.stations[serving.at].place;
                assert!(
                    !losses.has_source(serving.source, place),
                    "{seed}: {serving:?}"
                );
                assert_ne!(serving.food, "banana", "{seed}");
            }
        }
        assert!(
            packing
                .bags
                .iter()
                .all(|bag| !losses.bags.contains(&bag.place))
        );
        let none = Losses {
            unforeseen: losses.unforeseen,
            ..Losses::default()
        };
        assert!(none.is_empty());
        let (with, without) = (race.pack(), race.pack_without(&none));
        assert_eq!(format!("{with:?}"), format!("{without:?}"), "{seed}");
    }
}

/// Nothing of a crew's that comes before the bag lies in the bag too, and the bag serves where
/// they do not come.
#[test]
fn a_crew_before_the_bag_hands_over_and_the_bag_is_the_fallback() {
    let stop = |name, km| Stop {
        bag: true,
        crew: true,
        ..aid(name, km)
    };
    let mut race = Race::over(&[stop("Square", 12.0), stop("Road", 24.0), finish(36.0)])
        .with_crew(CrewFile::default())
        .with_flasks(&[500.0, 500.0]);
    let from = |packing: &Packing, source: Source| {
        let all = sources(packing).into_iter();
        all.filter(|(of, _)| *of == source).count()
    };
    let bag_first = race.pack();
    assert!(from(&bag_first, Source::Bag) > 0 && from(&bag_first, Source::Crew) == 0);
    race.inputs.plan.crew_before_bags = true;
    let crew_first = race.pack();
    assert!(from(&crew_first, Source::Crew) > 0 && crew_first.bags.is_empty());
    let road = race.course.stations[2].place;
    let no_crew_there = |unforeseen| {
        race.pack_without(&Losses {
            crew: vec![road],
            unforeseen,
            ..Losses::default()
        })
    };
    // known before: what they would have handed over lies in the bag instead
    let known = no_crew_there(false);
    assert!(sources(&known).contains(&(Source::Bag, 2)));
    assert!(sources(&known).contains(&(Source::Crew, 1)));
    // found out there: the bag was packed with nothing of it
    assert_eq!(from(&no_crew_there(true), Source::Bag), 0);
}
