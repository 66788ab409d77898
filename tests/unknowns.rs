//! What long runs have tested, against what the demo's race day holds.

use sutler::diagnostics::{Notes, SourceFile, Sources, Spanned};
use sutler::inputs::RunRecord;
use sutler::inputs::record_toml::{FoodEaten, Tested};
use sutler::unknowns::{self, Unknown, UnknownKind};

use crate::support::race::Planned;

/// The record in words, read as any other.
fn records(text: &str) -> Vec<RunRecord> {
    let texts = sutler::inputs::Texts {
        record: Some(SourceFile::new("record.toml", text)),
        ..Default::default()
    };
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let inputs = sutler::inputs::read(texts, &mut sources, &mut notes);
    assert!(!notes.has_errors(), "{:?}", notes.all());
    inputs.record
}

fn all_with(planned: &Planned, record: Vec<RunRecord>) -> Vec<Unknown> {
    let mut inputs = planned.prepared.inputs.clone();
    inputs.record = record;
    // long runs alone
    inputs.plan.past.clear();
    inputs
        .pantry
        .iter_mut()
        .for_each(|food| food.tested = false);
    unknowns::all(&planned.prepared.race, &planned.plans[0], &inputs)
}

fn of(all: &[Unknown], kind: UnknownKind) -> &Unknown {
    all.iter().find(|one| one.kind == kind).unwrap()
}

/// A run that does everything the race asks, far beyond its rates.
fn thorough(planned: &Planned) -> RunRecord {
    let inputs = &planned.prepared.inputs;
    let mut run = records(
        "[[run]]\ndate = 2026-08-01\nname = \"All of it\"\ntime = \"30:00:00\"\n\
         longest_climb_m = 3000\nlongest_descent_m = 3000\ntemp_c = 35\ndark_min = 900\n\
         drank_ml = 30000\ncarbs_g = 3000\nsodium_mg = 40000\ncaffeine_mg = 900\n\
         tested = [\"bag-routine\", \"crew-meeting\"]\n",
    )
    .remove(0);
    run.foods = (inputs.pantry.iter())
        .map(|food| FoodEaten {
            name: food.name.clone(),
            servings: 400.0,
            most_in_3h: None,
            refused: false,
        })
        .collect();
    let met = records(
        "[[run]]\ndate = 2026-08-01\nname = \"Gear\"\ntime = \"1:00:00\"\n\
         [[run.gear]]\nname = \"any\"\nmet = [\"dark\", \"cold\", \"rain\", \"sun\", \"heat\"]\n",
    );
    let names = inputs.gear.iter().map(|item| &item.name.value);
    run.gear = (names.chain(&planned.prepared.race.course.mandatory_kit))
        .map(|name| sutler::inputs::record_toml::GearUsed {
            name: Spanned::unwritten(name.clone()),
            ..met[0].gear[0].clone()
        })
        .collect();
    run
}

/// The race is on 2026-10-24.
#[test]
fn a_run_from_race_day_on_tested_nothing() {
    let planned = Planned::shipped("demo-data/plan.toml");
    let tests = |date: &str| {
        let run = RunRecord {
            date: date.parse().unwrap(),
            ..thorough(&planned)
        };
        let all = all_with(&planned, vec![run]);
        all.iter().filter(|one| one.tested > 0).count()
    };
    assert!(tests("2026-10-23") > 20);
    assert_eq!((tests("2026-10-24"), tests("2027-01-01")), (0, 0));
}

#[test]
fn two_long_runs_make_a_thing_known_and_one_does_not() {
    let planned = Planned::shipped("demo-data/plan.toml");
    let untested = all_with(&planned, Vec::new());
    assert!(untested.len() > 20);
    assert!(untested.iter().all(|one| one.tested == 0 && !one.at_full));
    let run = thorough(&planned);
    let once = all_with(&planned, vec![run.clone()]);
    assert_eq!(once.len(), untested.len());
    for one in &once {
        use UnknownKind::{Climb, Descent, Hours, Night};
        let by_legs = matches!(one.kind, Hours | Climb | Descent | Night);
        assert!(
            one.tested == 1 && one.at_full && one.is_known() == by_legs,
            "{one:?}"
        );
    }
    let twice = all_with(&planned, vec![run.clone(), run]);
    assert!(twice.iter().all(Unknown::is_known));
}

/// A race that was run counts for legs and night, what the pantry calls tested for one test of a
/// food, and the kit is one thing.
#[test]
fn races_and_the_pantry_count() {
    let planned = Planned::shipped("demo-data/plan.toml");
    let mut inputs = planned.prepared.inputs.clone();
    inputs.record.clear();
    inputs.pantry.iter_mut().for_each(|food| food.tested = true);
    inputs.plan.past.truncate(1);
    inputs.plan.past[0].time.value = sutler::time::Elapsed::from_secs(28 * 3600);
    inputs.plan.past[0].climb_m = 6000.0;
    let all = unknowns::all(&planned.prepared.race, &planned.plans[0], &inputs);
    use UnknownKind::{Carbs, Climb, Descent, Drinking, Food, Hours, Kit, Night};
    for kind in [Climb, Descent, Hours, Night] {
        assert!(of(&all, kind).is_known(), "{kind:?}");
    }
    for kind in [Carbs, Drinking, Kit] {
        assert!(all.iter().filter(|one| one.kind == kind).count() == 1);
        assert_eq!(of(&all, kind).tested, 0, "{kind:?}");
    }
    let mut foods = all.iter().filter(|one| one.kind == Food);
    assert!(foods.all(|food| food.tested == 1 && !food.at_full));
    // a race after this one tests nothing for it
    inputs.plan.past[0].date = Some("2027-01-01".parse().unwrap());
    let all = unknowns::all(&planned.prepared.race, &planned.plans[0], &inputs);
    assert_eq!(of(&all, Hours).tested, 0);
}

/// What costs most stands first, and every share is one.
#[test]
fn the_costliest_stands_first() {
    let planned = Planned::shipped("demo-data/plan.toml");
    let all = all_with(&planned, Vec::new());
    assert!(all.windows(2).all(|two| two[0].cost <= two[1].cost));
    assert!(all.iter().all(|one| (0.0..=1.0).contains(&one.share)));
    assert!(all.iter().all(|one| !one.what.is_empty()));
}

/// Slow or short runs test a rate without doing so in full; a food that came back does not count.
#[test]
fn a_test_below_the_race_is_no_test_in_full() {
    let planned = Planned::shipped("demo-data/plan.toml");
    let mut run = thorough(&planned);
    run.intake.carbs_g = Some(0.6 * 50.0 * run.hours());
    run.sky.temp_c = Some(-20.0);
    run.tested = vec![Tested::RaceEffort];
    run.foods.iter_mut().for_each(|food| food.refused = true);
    run.gear.iter_mut().for_each(|gear| gear.met.clear());
    let all = all_with(&planned, vec![run.clone(), run]);
    let carbs = of(&all, UnknownKind::Carbs);
    assert!(carbs.tested == 2 && !carbs.at_full, "{carbs:?}");
    for kind in [
        UnknownKind::Drinking,
        UnknownKind::BagRoutine,
        UnknownKind::Food,
    ] {
        let one = of(&all, kind);
        assert!(one.tested == 0 && !one.at_full, "{one:?}");
    }
    let lamp = all.iter().find(|one| one.what == "lamp").unwrap();
    assert!(lamp.tested == 2 && !lamp.at_full, "{lamp:?}");
    assert!(of(&all, UnknownKind::Hours).is_known());
}
