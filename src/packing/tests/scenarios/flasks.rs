//! Tests of what flasks hold, and of what is said where they do not.

use super::*;

#[test]
fn a_need_above_the_flasks_is_a_failure_with_numbers_and_ways_out() {
    let race = Race::over(&[
        Stop {
            offers: &["banana"],
            stop_min: 0,
            ..aid("Hut", 12.0)
        },
        Stop {
            stop_min: 0,
            ..aid("Mill", 18.0)
        },
        finish(24.0),
    ])
    .with_flasks(&[500.0, 500.0]);
    let packing = race.pack();
    let [short] = found(&packing, "carry-short")[..] else {
        panic!("{:?}", packing.findings)
    };
    assert_eq!(
        (short.weight, short.about),
        (Weight::Failure, About::Segment(0))
    );
    assert_eq!(
        says(short),
        "1200 ml is likely drunk from `Start` to `Mill`, but the flasks hold 1000 ml: 200 ml \
         short\n\
         fill at `Hut` if it has water, and add `water` to its offers: then 1000 ml is enough to \
         leave with\n\
         find water on the way before 15.0 km, where full flasks are likely empty; treat it\n\
         carry one more flask of 500 ml\n\
         where it is hot, drink your fill before you leave, and leave with every flask full"
    );
    // not clipped
    assert_eq!(pickup(&packing, 0).carry_ml, 1500.0);
    assert_eq!(pickup(&packing, 0).fluid_ml, 1000.0);
    let enough = race.with_flasks(&[1500.0]).pack();
    assert!(found(&enough, "carry-short").is_empty());
}

#[test]
fn unknown_flasks_are_a_note_and_no_failure() {
    let packing = Race::over(&[aid("Mill", 30.0), finish(36.0)]).pack();
    assert_eq!(found(&packing, "capacity-unknown").len(), 1);
    assert!(packing.findings.iter().all(|f| f.weight < Weight::Failure));
}

/// Nobody leaves a station with more than four flasks of half a litre on the back (common practice,
/// no source); by hand 500 ml an hour at 6 km an hour.
#[test]
fn unknown_flasks_are_filled_by_halves_and_no_further_than_a_back_carries() {
    let leaves_with = |km: f64| {
        let packing = Race::over(&[aid("Mill", km), finish(km + 6.0)]).pack();
        let [unknown] = found(&packing, "capacity-unknown")[..] else {
            panic!("{:?}", packing.findings)
        };
        (pickup(&packing, 0).fluid_ml, unknown.weight)
    };
    for km in [6.0, 9.0, 14.0] {
        let (ml, weight) = leaves_with(km);
        assert!(ml % 250.0 == 0.0 && weight == Weight::Note, "{km}: {ml}");
        assert!((500.0 * km / 6.0..2000.1).contains(&ml), "{km}: {ml}");
    }
    assert_eq!(leaves_with(42.0), (2000.0, Weight::Warning));
}

#[test]
fn bottles_hold_what_the_plan_pours() {
    // 3 h and a stop at 500 ml an hour to leave with, in flasks of 500, 750 and 1000 ml
    let mut race =
        Race::over(&[aid("Mill", 18.0), finish(24.0)]).with_flasks(&[500.0, 750.0, 1000.0]);
    race.inputs.pantry.retain(|f| f.name.value == "mix");
    race.inputs.pantry[0].stock = Some(2);
    let packing = race.pack();
    let holds = |station: usize| -> Vec<(Option<u32>, f64)> {
        let flasks = &pickup(&packing, station).flasks;
        flasks
            .iter()
            .map(|f| (f.drink.as_ref().map(|d| d.1), f.fluid_ml.round()))
            .collect()
    };
    // one serving to the flask of 500 ml, as its label has it, and water to 1500 ml
    assert_eq!(pickup(&packing, 0).fluid_ml.round(), 1500.0);
    assert_eq!(holds(0), [(Some(1), 500.0), (None, 0.0), (None, 1000.0)]);
    // an hour and 5 min at 500 ml: three quarters of the largest, the rest is carried empty
    assert_eq!(holds(1), [(None, 0.0), (None, 0.0), (None, 750.0)]);
}

#[test]
fn a_mix_fills_whole_flasks_and_lasts_beyond_a_station() {
    // 400 ml an hour are likely drunk, four fifths of it mix: 448 ml to the mill
    let mut race = Race::over(&[aid("Mill", 8.4), finish(18.0)]).with_flasks(&[750.0]);
    race.inputs.pantry.retain(|f| f.name.value == "mix");
    let packing = race.pack();
    let flask = |station: usize| &pickup(&packing, station).flasks[0];
    let mix = |servings| Some(("mix".to_owned(), servings));
    assert_eq!((&flask(0).drink, flask(0).fluid_ml), (&mix(2), 750.0));
    // 302 ml are left, less than is to be carried on; another 750 ml would not be drunk
    assert_eq!((&flask(1).drink, flask(1).fluid_ml), (&None, 750.0));
    let two = race.clone().with_flasks(&[750.0, 750.0]).pack();
    let flasks = &pickup(&two, 1).flasks;
    assert_eq!((&flasks[0].drink, flasks[0].fluid_ml), (&mix(0), 375.0));
    assert_eq!((&flasks[1].drink, flasks[1].fluid_ml), (&None, 562.5));
    let packing = race.with_flasks(&[500.0]).pack();
    let mix = Some(("mix".to_owned(), 1));
    assert_eq!(pickup(&packing, 0).flasks[0].drink, mix);
    assert_eq!(pickup(&packing, 0).flasks[0].fluid_ml, 500.0);
}

#[test]
fn strong_drinks_are_mixed_with_more_water() {
    // 26.3 g in 223 ml is 11.8 %; 8 % takes 329 ml
    let mut race = Race::over(&[aid("Mill", 12.0), finish(24.0)]).with_flasks(&[500.0, 500.0]);
    race.inputs.pantry = vec![food("syrup", FoodKind::Drink, [26.3, 10.0, 223.0, 40.0])];
    let packing = race.pack();
    // two servings to a flask would be 10.5 %
    let flask = &pickup(&packing, 0).flasks[0];
    assert_eq!(flask.drink, Some(("syrup".to_owned(), 1)));
    assert_eq!(flask.fluid_ml, 500.0);
    assert_eq!(found(&packing, "drink-strong").len(), 1);
}

#[test]
fn the_fewest_fills_on_a_dry_way_are_named() {
    let dry = |name, km| Stop {
        kind: StationKind::Checkpoint,
        offers: &[],
        stop_min: 0,
        ..aid(name, km)
    };
    // 36 km ask for 3 l: with 1 l only two fills will do, and any one is not enough
    let race = Race::over(&[
        dry("Gate", 6.0),
        dry("Ridge", 12.0),
        dry("Col", 24.0),
        finish(36.0),
    ])
    .with_flasks(&[500.0, 500.0]);
    let packing = race.pack();
    let says = says(found(&packing, "carry-short")[0]);
    assert!(
        says.contains(
            "fill at `Ridge` and `Col` as well, once you know of water there: then 1000 ml is enough \
             to leave with"
        ),
        "{says}"
    );
    // 2.4 l are likely drunk: 1.4 l more, which nobody carries in bottles
    let ways: Vec<&str> = says.lines().skip(1).collect();
    assert!(
        ways[1].starts_with("find water on the way before 15.0 km"),
        "{says}"
    );
    assert_eq!(ways[2], "carry a reservoir of 1500 ml");
}

/// 36 km ask for 2.4 l to drink and 3 l on a day of much sweat.
#[test]
fn flasks_for_what_is_likely_drunk_are_no_failure_and_the_rest_is_said() {
    let found_with = |ml: f64| {
        let packing = Race::over(&[finish(36.0)]).with_flasks(&[ml]).pack();
        let of = |kind: &str| found(&packing, kind).first().map(|f| (f.weight, says(f)));
        (of("carry-short"), of("carry-tight"))
    };
    let (short, tight) = found_with(2100.0);
    assert_eq!(short.map(|s| s.0), Some(Weight::Failure));
    assert_eq!(tight, None);
    // a tenth and less is within what thirst can do without
    let (short, tight) = found_with(2300.0);
    let (weight, says) = tight.expect("it is tight");
    assert_eq!((short, weight), (None, Weight::Warning));
    assert!(says.contains("carry one more flask of 500 ml"), "{says}");
    // 2.7 l are an eighth more than is likely drunk
    let (short, tight) = found_with(2700.0);
    let (weight, says) = tight.expect("it is tight");
    assert_eq!((short, weight), (None, Weight::Note));
    // what a day of much sweat may ask for is no reason to carry more
    assert!(!says.contains("flask of"), "{says}");
    assert!(says.contains("drink your fill before you leave"), "{says}");
    // all but a sip is there
    let (short, tight) = found_with(2990.0);
    assert_eq!((short, tight), (None, None));
    assert_eq!(found_with(3000.0), (None, None));
}

/// Common practice, no source: a runner reads one line and buys one thing.
#[test]
fn several_ways_that_are_too_dry_are_one_finding() {
    // 24, 30 and 20 km ask for 1.6, 2.1 and 1.4 l at 400 ml an hour, the stops of 10 min besides
    let stops = [aid("Mill", 24.0), aid("Hut", 54.0), finish(74.0)];
    let packing = Race::over(&stops).with_flasks(&[500.0, 500.0]).pack();
    let [short] = found(&packing, "carry-short")[..] else {
        panic!("{:?}", packing.findings)
    };
    let subjects: Vec<About> = short.subjects().collect();
    assert_eq!(subjects, [1, 0, 2].map(About::Segment));
    let says = says(short);
    assert!(
        says.contains(" short; likewise from `Start` to `Mill` (1600 ml), from"),
        "{says}"
    );
    let carried = says.lines().filter(|line| line.starts_with("carry "));
    assert_eq!(
        carried.collect::<Vec<_>>(),
        ["carry a reservoir of 1500 ml"]
    );
}
