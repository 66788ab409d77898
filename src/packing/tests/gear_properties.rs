//! Properties of gear that must hold in any race; the races are those of `properties`.
#![allow(clippy::unwrap_used)]

use crate::inputs::gear_csv::GearRule;

use super::properties::for_any_race;
use super::testing::Race;
use crate::packing::Packing;

/// The place of a piece of gear.
#[derive(Clone, Debug, PartialEq)]
enum Whereabouts {
    /// Wherever it was packed before the race.
    Packed,
    Hand,
    Bag(usize),
    Crew,
}

#[test]
fn gear_is_in_hand_wherever_it_is_needed() {
    for_any_race(|race, packing| {
        for item in &race.inputs.gear {
            let name = &item.name.value;
            let mut whereabouts = Whereabouts::Packed;
            for segment in 0..race.course.segments.len() {
                let unused = whereabouts == Whereabouts::Packed;
                whereabouts = after_station(race, packing, name, segment, whereabouts);
                let by_day = item.when == GearRule::Sun && race.sky.knows_daylight;
                if by_day && !demanded(race, name) {
                    // nobody takes up a sun cap in the dark that was never in hand
                    let met = &race.sky.segments[segment];
                    let taken = unused && whereabouts == Whereabouts::Hand;
                    assert!(
                        !(taken && segment > 0 && met.leaves_dark),
                        "{name} at {segment}"
                    );
                    continue;
                }
                if needed(race, item.when, name, segment) {
                    assert_eq!(
                        whereabouts,
                        Whereabouts::Hand,
                        "{name} on segment {segment}"
                    );
                }
            }
        }
        let taken = &packing.pickups[0].gear_on;
        assert!(taken.iter().any(|name| name == "blanket"));
        assert!(
            packing
                .pickups
                .iter()
                .all(|p| !p.gear_off.contains(&"blanket".to_owned()))
        );
    });
}

/// Follows one piece through one station, checking that it can go the way it is said to.
fn after_station(
    race: &Race,
    packing: &Packing,
    name: &str,
    station: usize,
    before: Whereabouts,
) -> Whereabouts {
    let Some(pickup) = packing.pickups.iter().find(|p| p.station == station) else {
        return before;
    };
    let has = |list: &[String]| list.iter().any(|n| n == name);
    let place = race.course.stations[station].place;
    let visits = || {
        packing
            .bags
            .iter()
            .flat_map(|b| &b.visits)
            .filter(|v| v.station == station)
    };
    let handovers = || packing.handovers.iter().filter(|h| h.station == station);
    if has(&pickup.gear_off) {
        assert_eq!(before, Whereabouts::Hand);
        let in_bag = visits().any(|v| has(&v.leave));
        let with_crew = handovers().any(|h| has(&h.take_back));
        assert!(in_bag ^ with_crew);
        return if in_bag {
            Whereabouts::Bag(place)
        } else {
            Whereabouts::Crew
        };
    }
    if !has(&pickup.gear_on) {
        return before;
    }
    let from_bag = visits().any(|v| has(&v.gear));
    let from_crew = handovers().any(|h| has(&h.gear));
    match before {
        Whereabouts::Hand => panic!("{name} is taken up twice"),
        Whereabouts::Bag(left) => assert!(from_bag && left == place),
        Whereabouts::Crew => assert!(from_crew),
        Whereabouts::Packed => {
            let packed = packing
                .bags
                .iter()
                .any(|b| b.place == place && has(&b.gear));
            assert!(station == 0 || from_crew || (from_bag && packed));
        }
    }
    Whereabouts::Hand
}

fn demanded(race: &Race, name: &str) -> bool {
    let mut kit = race.course.mandatory_kit.iter();
    kit.any(|k| k.trim().eq_ignore_ascii_case(name))
}

/// The need for a piece, said once more.
fn needed(race: &Race, when: GearRule, name: &str, segment: usize) -> bool {
    let met = race.sky.segments[segment];
    demanded(race, name)
        || match when {
            GearRule::Always => true,
            GearRule::Dark => met.dark || !race.sky.knows_daylight,
            GearRule::Cold => met.cold || !race.sky.knows_weather,
            GearRule::Rain => met.rain || !race.sky.knows_weather,
            GearRule::Heat => met.heat || !race.sky.knows_weather,
            GearRule::Sun => met.sun || !race.sky.knows_daylight,
            GearRule::AfterStation => {
                let after = race.inputs.gear.iter().find_map(|g| g.after.as_ref());
                let named = |s: &crate::course::Station| s.name == after.unwrap().value;
                segment >= race.course.stations.iter().position(named).unwrap()
            }
        }
}
