//! Whole-stage tests on small races whose answers can be worked out by hand: 6 km an hour, 500 ml
//! an hour to carry.
#![allow(clippy::unwrap_used)]

use crate::findings::{About, Finding, Weight};
use crate::inputs::CrewFile;
use crate::inputs::gear_csv::GearRule;
use crate::inputs::runner_toml::HealthFlag;
use crate::inputs::stations_csv::StationKind;
use crate::units::Units;

use super::testing::{Race, Stop, food, gear_item};
use crate::diagnostics::Spanned;
use crate::inputs::pantry_csv::FoodKind;
use crate::packing::{Packing, Pickup, Serving, Source};

mod flasks;
mod gear;
mod lamps;
mod losses;

fn aid(name: &str, km: f64) -> Stop<'_> {
    Stop {
        name,
        km,
        offers: &["water"],
        stop_min: 5,
        ..Stop::default()
    }
}

fn finish(km: f64) -> Stop<'static> {
    Stop {
        name: "Finish",
        km,
        ..Stop::default()
    }
}

fn found<'a>(packing: &'a Packing, kind: &str) -> Vec<&'a Finding> {
    packing
        .findings
        .iter()
        .filter(|f| f.kind.name() == kind)
        .collect()
}

fn says(finding: &Finding) -> String {
    let mut all = finding.says.show(Units::Metric);
    for way in &finding.ways_out {
        all += "\n";
        all += &way.show(Units::Metric);
    }
    all
}

fn pickup(packing: &Packing, station: usize) -> &Pickup {
    packing
        .pickups
        .iter()
        .find(|p| p.station == station)
        .unwrap()
}

fn count(servings: &[Serving]) -> u32 {
    servings.iter().map(|s| s.count).sum()
}

/// Water, food, crew and bags in every mix.
fn one_of_each() -> Race {
    Race::over(&[
        Stop {
            kind: StationKind::Checkpoint,
            ..aid("Listed water", 3.0)
        },
        Stop {
            kind: StationKind::Checkpoint,
            offers: &[],
            ..aid("Clock only", 6.0)
        },
        Stop {
            offers: &[],
            ..aid("Unlisted", 9.0)
        },
        Stop {
            kind: StationKind::CrewOnly,
            offers: &[],
            crew: true,
            ..aid("Road", 12.0)
        },
        Stop {
            kind: StationKind::Checkpoint,
            offers: &[],
            bag: true,
            ..aid("Bags", 15.0)
        },
        Stop {
            kind: StationKind::Water,
            offers: &[],
            ..aid("Tap", 18.0)
        },
        finish(21.0),
    ])
}

#[test]
fn supply_points_are_where_something_can_be_had() {
    let race = one_of_each();
    let stations = |race: &Race| -> Vec<(usize, usize, usize)> {
        let pickups = race.pack().pickups;
        pickups
            .iter()
            .map(|p| (p.station, p.until, p.until_water))
            .collect()
    };
    assert_eq!(
        stations(&race),
        [(0, 1, 1), (1, 3, 3), (3, 5, 6), (5, 6, 6), (6, 7, 7)]
    );
    // the crew brings water to the road
    let with_crew = race.with_crew(CrewFile::default());
    let expected = [
        (0, 1, 1),
        (1, 3, 3),
        (3, 4, 4),
        (4, 5, 6),
        (5, 6, 6),
        (6, 7, 7),
    ];
    assert_eq!(stations(&with_crew), expected);
    let handover = &with_crew.pack().handovers[0];
    assert_eq!(handover.station, 4);
    // 12 to 18 km with a stop of 5 min before each of two segments: 70 min at 500 ml an hour, in
    // whole bottles of 500 ml
    assert_eq!(handover.water_ml, 1000.0);
}

#[test]
fn without_a_pantry_needs_are_shown_and_nothing_is_chosen() {
    let mut race = Race::over(&[aid("Mill", 12.0), finish(24.0)]);
    race.inputs.pantry.clear();
    let packing = race.pack();
    assert_eq!(found(&packing, "no-pantry").len(), 1);
    assert!(found(&packing, "carbs-short").is_empty());
    assert!((pickup(&packing, 0).carbs_g.1 - 120.0).abs() < 1e-9);
    assert!(
        packing
            .pickups
            .iter()
            .all(|p| p.take.is_empty() && p.here.is_empty())
    );
}

#[test]
fn own_food_is_picked_up_at_the_last_chance() {
    let race = Race::over(&[
        aid("Mill", 12.0),
        Stop {
            bag: true,
            ..aid("Bags", 24.0)
        },
        aid("Tap", 36.0),
        finish(42.0),
    ]);
    let packing = race.pack();
    let sources = |station: usize| -> Vec<(Source, usize)> {
        pickup(&packing, station)
            .take
            .iter()
            .map(|s| (s.source, s.at))
            .collect()
    };
    assert!(sources(0).iter().all(|s| *s == (Source::Start, 0)) && !sources(0).is_empty());
    assert!(sources(1).iter().all(|s| *s == (Source::Start, 0)) && !sources(1).is_empty());
    assert!(sources(2).iter().all(|s| *s == (Source::Bag, 2)) && !sources(2).is_empty());
    assert!(sources(3).iter().all(|s| *s == (Source::Bag, 2)) && !sources(3).is_empty());
    // what is eaten after the mill is in the pockets at the start, and so on
    let later = |station: usize| count(&pickup(&packing, station).for_later);
    assert_eq!(later(0), count(&pickup(&packing, 1).take));
    assert_eq!(later(2), count(&pickup(&packing, 3).take));
    assert_eq!(packing.bags.len(), 1);
    let in_bag = count(&packing.bags[0].servings);
    assert_eq!(
        in_bag,
        count(&pickup(&packing, 2).take) + count(&pickup(&packing, 3).take)
    );
}

#[test]
fn what_a_station_offers_is_preferred_if_tested_and_liked() {
    let offers: &[&str] = &["water", "banana", "potato", "rice ball"];
    let stops = [
        Stop {
            offers,
            ..aid("Hall", 6.0)
        },
        finish(18.0),
    ];
    let race = Race::over(&stops);
    let from_station = |race: &Race| {
        let packing = race.pack();
        let pickup = pickup(&packing, 1);
        let eaten = pickup.take.iter().chain(&pickup.here);
        eaten
            .filter(|s| s.source == Source::Station)
            .map(|s| s.count)
            .sum::<u32>()
    };
    assert!(from_station(&race) >= 2, "{:?}", race.pack().pickups[1]);
    let mut untested = race.clone();
    for food in &mut untested.inputs.pantry {
        if offers.contains(&food.name.value.as_str()) {
            food.tested = false;
            food.own = false;
        }
    }
    assert!(
        from_station(&untested) < from_station(&race),
        "{:?}",
        untested.pack().pickups[1]
    );
}

#[test]
fn on_the_spot_only_where_the_runner_stops() {
    let offers: &[&str] = &["water", "watermelon", "broth"];
    for (stop_min, most) in [(0, 0), (10, 2)] {
        let mut race = Race::over(&[
            Stop {
                offers,
                stop_min,
                ..aid("Hall", 12.0)
            },
            finish(30.0),
        ]);
        // nothing else to eat
        race.inputs.pantry.retain(|f| f.kind == FoodKind::Station);
        let packing = race.pack();
        assert_eq!(count(&pickup(&packing, 1).here), most);
        assert!(pickup(&packing, 1).take.is_empty());
        let short = found(&packing, "carbs-short");
        assert_eq!(short.iter().flat_map(|f| f.subjects()).count(), 2);
    }
}

#[test]
fn limited_stock_is_spread_over_the_race_once() {
    let mut race = Race::over(&[aid("Mill", 12.0), finish(24.0)]);
    race.inputs.pantry = vec![food("bar", FoodKind::Food, [40.0, 200.0, 0.0, 55.0])];
    race.inputs.pantry[0].stock = Some(4);
    let packing = race.pack();
    let taken: Vec<u32> = packing.pickups.iter().map(|p| count(&p.take)).collect();
    // 120 g and, with the stop, 125 g are needed: both go short alike
    assert_eq!(taken, [2, 2]);
    let short = found(&packing, "carbs-short");
    assert_eq!(short.len(), 1, "one cause");
    assert_eq!(short[0].subjects().count(), 2);
    for finding in short {
        // three bars of 40 g are within a tenth of either
        assert!(
            says(finding).contains("have 1 more of `bar` in stock"),
            "{}",
            says(finding)
        );
    }
}

#[test]
fn a_dose_of_caffeine_only_where_it_is_planned() {
    let stops = [
        Stop {
            offers: &["water", "cola"],
            ..aid("Hall", 18.0)
        },
        finish(30.0),
    ];
    let mut race = Race::over(&stops);
    race.inputs.pantry.push(food(
        "caffeine gel",
        FoodKind::Gel,
        [26.0, 40.0, 13.0, 40.0],
    ));
    race.inputs.pantry.last_mut().unwrap().caffeine_mg = 50.0;
    let gels = |race: &Race| {
        let pickups = race.pack().pickups;
        let all = pickups.iter().flat_map(|p| &p.take);
        all.filter(|s| s.food == "caffeine gel")
            .map(|s| s.count)
            .sum::<u32>()
    };
    assert_eq!(gels(&race), 0);
    race.fueling.segments[1].caffeine_mg = 120.0;
    // a third would be above the dose
    assert_eq!(gels(&race), 2);
    // five minutes of stop and two hours on the way, of a half-life of five hours
    let share = race.pack().caffeine[1];
    assert!(share.mg >= 100.0, "{share:?}");
    assert!(
        (share.left_mg - share.mg * 0.5_f64.powf((2.0 + 5.0 / 60.0) / 5.0)).abs() < 1e-9,
        "{share:?}"
    );
    // what nobody tested gives no dose
    race.inputs.pantry.last_mut().unwrap().tested = false;
    assert_eq!(gels(&race), 0);
}

#[test]
fn a_cup_of_cola_needs_no_plan_but_a_runner_who_may_have_it() {
    let stops = [
        Stop {
            offers: &["water", "cola"],
            ..aid("Hall", 18.0)
        },
        finish(30.0),
    ];
    let mut race = Race::over(&stops);
    race.inputs.pantry.retain(|f| f.name.value == "cola");
    let cola = |race: &Race| count(&pickup(&race.pack(), 1).here);
    assert!(cola(&race) > 0);
    for flag in [HealthFlag::Pregnancy, HealthFlag::Heart] {
        race.inputs.runner.conditions = vec![Spanned::unwritten(flag)];
        assert_eq!(cola(&race), 0, "{flag:?}");
    }
    race.inputs.runner.conditions.clear();
    race.inputs.runner.age_years = Some(Spanned::unwritten(17.0));
    assert_eq!(cola(&race), 0);
}

#[test]
fn a_bag_serves_every_visit_and_keeps_what_is_left_in_it() {
    // out and back past the same spot: dark, day between the visits, dark again
    let race = Race::over(&[
        Stop {
            bag: true,
            ..aid("Saddle out@Saddle", 12.0)
        },
        aid("Lake", 18.0),
        Stop {
            bag: true,
            ..aid("Saddle back@Saddle", 24.0)
        },
        finish(36.0),
    ])
    .with_sky(&[0, 3], |met| met.dark = true)
    .with_gear(&[("lamp", GearRule::Dark), ("whistle", GearRule::Always)]);
    let packing = race.pack();
    assert_eq!(pickup(&packing, 0).gear_on, ["lamp", "whistle"]);
    assert_eq!(pickup(&packing, 1).gear_off, ["lamp"]);
    assert_eq!(pickup(&packing, 3).gear_on, ["lamp"]);
    let [bag] = &packing.bags[..] else {
        panic!("{:?}", packing.bags)
    };
    assert_eq!(bag.visits.len(), 2);
    assert_eq!(
        (&bag.visits[0].leave, &bag.visits[1].gear),
        (&vec!["lamp".to_owned()], &vec!["lamp".to_owned()])
    );
    assert!(
        bag.gear.is_empty(),
        "the lamp is left there on the way, not packed before"
    );
}

#[test]
fn a_lamp_is_not_left_where_it_cannot_be_had_again() {
    // two bags at two places: what is left in the first is not in the second
    let race = Race::over(&[
        Stop {
            bag: true,
            ..aid("East", 12.0)
        },
        Stop {
            bag: true,
            ..aid("West", 24.0)
        },
        finish(36.0),
    ])
    .with_sky(&[0, 2], |met| met.dark = true)
    .with_gear(&[("lamp", GearRule::Dark)]);
    let packing = race.pack();
    assert!(pickup(&packing, 1).gear_off.is_empty());
    assert!(pickup(&packing, 2).gear_on.is_empty());
}

#[test]
fn gear_is_taken_up_at_the_last_chance_and_left_at_the_first() {
    let race = Race::over(&[
        Stop {
            bag: true,
            ..aid("East", 12.0)
        },
        aid("Ridge", 18.0),
        Stop {
            crew: true,
            ..aid("Road", 24.0)
        },
        Stop {
            bag: true,
            ..aid("West", 30.0)
        },
        finish(36.0),
    ])
    .with_crew(CrewFile::default())
    .with_sky(&[2], |met| met.rain = true)
    .with_gear(&[("jacket", GearRule::Rain)]);
    let packing = race.pack();
    assert_eq!(pickup(&packing, 1).gear_on, ["jacket"]);
    assert_eq!(packing.bags[0].gear, ["jacket"]);
    assert_eq!(pickup(&packing, 3).gear_off, ["jacket"]);
    assert_eq!(packing.handovers[0].take_back, ["jacket"]);
}

#[test]
fn gear_for_a_station_waits_there() {
    let stops = [
        aid("Mill", 12.0),
        Stop {
            bag: true,
            ..aid("Bags", 24.0)
        },
        finish(36.0),
    ];
    let mut race = Race::over(&stops);
    let mut socks = gear_item("dry socks", GearRule::AfterStation);
    socks.after = Some(Spanned::unwritten("bags".to_owned()));
    race.inputs.gear = vec![socks];
    assert_eq!(race.pack().bags[0].gear, ["dry socks"]);
    // no bag there: carried from the start, and said
    race.inputs.gear[0].after = Some(Spanned::unwritten("Mill".to_owned()));
    let packing = race.pack();
    assert_eq!(pickup(&packing, 0).gear_on, ["dry socks"]);
    assert_eq!(found(&packing, "gear-carried").len(), 1);
    race.inputs.gear[0].after = Some(Spanned::unwritten("Nowhere".to_owned()));
    assert_eq!(found(&race.pack(), "gear-station-unknown").len(), 1);
}

/// Clothes that come off are followed: into the bag, to the crew, and the pair before, not the one
/// at home.
#[test]
fn socks_that_come_off_stay_where_the_dry_ones_were() {
    let stop = |name, km, bag| Stop {
        bag,
        crew: !bag,
        ..aid(name, km)
    };
    let mut race = Race::over(&[
        stop("Bags", 12.0, true),
        stop("Road", 24.0, false),
        finish(36.0),
    ])
    .with_crew(CrewFile::default());
    let socks = |name: &str, station: &str| {
        let mut socks = gear_item(name, GearRule::AfterStation);
        socks.after = Some(Spanned::unwritten(station.to_owned()));
        socks
    };
    race.inputs.gear = vec![
        socks("dry socks", "Bags"),
        socks("second dry socks", "Road"),
    ];
    let packing = race.pack();
    assert_eq!(packing.bags[0].gear, ["dry socks"]);
    assert_eq!(packing.bags[0].returns, ["worn socks"]);
    let road = packing.handovers.iter().find(|over| over.station == 2);
    assert_eq!(road.unwrap().take_back, ["worn socks"]);
    // the finish is after the race: nothing is swapped there
    race.inputs.gear = vec![socks("clean socks", "Finish")];
    assert!(
        race.pack()
            .handovers
            .iter()
            .all(|over| over.take_back.is_empty())
    );
}

#[test]
fn what_aid_stations_have_is_asked_for_once_and_water_is_planned() {
    let fed = Stop {
        offers: &["water", "potato"],
        ..aid("Fed", 18.0)
    };
    let checkpoint = Stop {
        kind: StationKind::Checkpoint,
        offers: &[],
        ..aid("Gate", 20.0)
    };
    let packing = Race::over(&[
        Stop {
            offers: &[],
            ..aid("Hut", 6.0)
        },
        aid("Mill", 12.0),
        fed,
        checkpoint,
        finish(24.0),
    ])
    .pack();
    let unknown = found(&packing, "offers-unknown");
    assert_eq!(unknown.len(), 1);
    let says = says(unknown[0]);
    assert!(
        says.contains("`Hut` (and 1 more aid station): planned are water there"),
        "{says}"
    );
    assert!(says.contains("`offers` in `stations.csv`"), "{says}");
    assert!(packing.pickups.iter().any(|pickup| pickup.station == 1));
}
