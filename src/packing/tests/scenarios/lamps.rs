//! Lamps and the batteries that go in on the way.

use super::*;
use crate::inputs::GearItem;

/// Dark all the way: to the Mill, the Bags and the finish.
fn night() -> Race {
    let race = Race::over(&[
        aid("Mill", 12.0),
        Stop {
            bag: true,
            ..aid("Bags", 24.0)
        },
        finish(36.0),
    ]);
    race.with_sky(&[0, 1, 2], |met| met.dark = true)
}

fn lamp(name: &str, burn_h: f64) -> GearItem {
    GearItem {
        burn_h: Some(burn_h),
        ..gear_item(name, GearRule::Dark)
    }
}

#[test]
fn a_night_longer_than_the_battery_needs_a_spare() {
    let mut race = night().with_sky(&[0, 1, 2], |met| met.dark_h = [1.5, 2.0, 2.5]);
    race.inputs.gear = vec![lamp("lamp", 6.0)];
    let packing = race.pack();
    // 5 h until the bag, then 2.5 h more: the spare is needed after the bag
    assert_eq!(pickup(&packing, 0).gear_on, ["lamp"]);
    assert_eq!(packing.bags[0].gear, ["spare battery for lamp"]);
    assert_eq!(found(&packing, "lamp-hours")[0].about, About::Station(2));
    // a battery of 2 h: 5 h need three, of which one is in the lamp and the last is half used
    race.inputs.gear[0].burn_h = Some(2.0);
    let packing = race.pack();
    let taken = &pickup(&packing, 0).gear_on;
    assert_eq!(*taken, ["lamp", "2 spare batteries for lamp"]);
    assert_eq!(packing.bags[0].gear, ["spare battery for lamp"]);
    // a late runner burns 2.5 h on each way: after 2 h of the first way one goes in, the next before
    // the second way, where 1.5 h of 4 are left for the half hour that it lacks, and the one of the
    // bag before the third
    let changes = |packing: &Packing| -> Vec<(usize, String, bool, bool)> {
        let changes = packing.lamp_changes.iter();
        changes
            .map(|one| (one.station, one.to.clone(), one.on_the_way, one.keep))
            .collect()
    };
    let spare = || "spare battery for lamp".to_owned();
    assert_eq!(
        changes(&packing),
        [
            (0, spare(), true, false),
            (1, spare(), false, true),
            (2, spare(), false, true)
        ]
    );
    // a battery of its own in the list counts: 2 h and 6 h for 7.5 h
    race.inputs.gear.push(lamp("spare battery", 6.0));
    let packing = race.pack();
    assert_eq!(pickup(&packing, 0).gear_on, ["lamp", "spare battery"]);
    assert!(found(&packing, "lamp-hours").is_empty());
    assert_eq!(
        changes(&packing),
        [(0, "spare battery".to_owned(), true, false)]
    );
    // a lamp that lasts 7 h goes out on the last way, and of a late runner only
    race.inputs.gear[0].burn_h = Some(7.0);
    let [change] = &race.pack().lamp_changes[..] else {
        panic!("one change")
    };
    assert_eq!((change.station, change.only_late), (2, true));
    race.inputs.gear[0].burn_h = Some(8.0);
    assert!(race.pack().lamp_changes.is_empty());
}

/// By hours counted by hand: what goes in early for the late runner is not to run out on the early.
#[test]
fn a_battery_that_comes_out_early_is_kept_where_the_next_does_not_last() {
    // early 3 + 4 + 6 h, likely 4 + 4 + 5 h, late 5 + 4 + 4 h
    let mut race = night()
        .with_sky(&[0], |met| met.dark_h = [3.0, 4.0, 5.0])
        .with_sky(&[1], |met| met.dark_h = [4.0; 3])
        .with_sky(&[2], |met| met.dark_h = [6.0, 5.0, 4.0]);
    let mut told = |spare_h| {
        race.inputs.gear = vec![lamp("lamp", 8.0), lamp("spare battery", spare_h)];
        let packing = race.pack();
        let changes = packing.lamp_changes.iter();
        let changes: Vec<(usize, f64, bool)> = changes
            .map(|one| (one.station, one.left_h, one.keep))
            .collect();
        (changes, found(&packing, "lamp-hours").len())
    };
    // late 5 + 4 > 8: in at the Mill, where the likely have 8 - 4 left; the early need 4 + 6 from
    // there: 9 are too few, and 8 - 3 are left of the old one
    assert_eq!(told(9.0), (vec![(1, 4.0, true)], 0));
    // 10 are enough
    assert_eq!(told(10.0), (vec![(1, 4.0, false)], 0));
    // 5 are 13 in all, just what everybody needs
    assert_eq!(told(5.0), (vec![(1, 4.0, true)], 0));
    // 4 are 12 in all: another spare waits in the bag, and the 8 h of it are enough
    assert_eq!(told(4.0), (vec![(1, 4.0, false), (2, 0.0, false)], 1));
}

/// By hours counted by hand: the cold takes hours as darkness does.
#[test]
fn batteries_last_less_long_in_the_cold() {
    let mut race = night().with_sky(&[0, 1, 2], |met| met.dark_h = [2.0; 3]);
    let mut told = |drained_h: f64| {
        let segments = race.sky.segments.iter_mut();
        segments.for_each(|met| met.drained_h = [drained_h; 3]);
        race.inputs.gear = vec![lamp("lamp", 6.0)];
        let packing = race.pack();
        let says = found(&packing, "lamp-hours");
        let says = says.iter().map(|one| one.says.show(Units::Metric));
        let changes = packing.lamp_changes.iter();
        let at: Vec<(usize, bool)> = changes.map(|one| (one.station, one.is_cold)).collect();
        (at, says.collect::<Vec<_>>().join(" "))
    };
    // 6 h of darkness take 6 h of battery, and 9 h where each takes half of one more
    assert_eq!(told(0.0), (Vec::new(), String::new()));
    let (changes, says) = told(1.0);
    assert_eq!(changes, [(2, true)]);
    assert!(says.contains("less in the cold"), "{says}");
}
