//! What is packed when something is not there after all.

use crate::packing::Losses;

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
