//! What is said of the energy and the sodium that is packed, counted again from the shopping list.

use sutler::diagnostics::{Notes, Spanned};
use sutler::findings::Finding;
use sutler::inputs::Inputs;
use sutler::plan::{Plan, Race};
use sutler::time::Elapsed;
use sutler::units::Units;

use crate::support::demo;

fn planned(inputs: &Inputs) -> Plan {
    let mut notes = Notes::new();
    let finish = inputs.plan.finish.unwrap();
    let race = Race::prepare(inputs, finish.value, &mut notes).unwrap();
    race.plan(inputs, finish, &mut notes).unwrap()
}

/// Everything that is taken and eaten: energy in kilocalories, sodium in milligrams.
fn packed(inputs: &Inputs, plan: &Plan) -> (f64, f64) {
    let holds = |name: &str| {
        let food = inputs.pantry.iter().find(|food| food.name.value == name);
        let food = food.unwrap();
        (food.energy_kcal, food.sodium_mg)
    };
    let is_mix = |name: &str| name == "drink mix";
    let foods = plan
        .packing
        .shopping
        .iter()
        .filter(|line| !is_mix(&line.food));
    let foods = foods.map(|line| {
        let count = f64::from(line.servings - line.reserve + line.from_stations);
        (count, holds(&line.food))
    });
    // the demo mixes a scoop to each flask of 500 ml; what is poured away is not counted
    let mixed = plan.packing.pickups.iter();
    let mixed = mixed.map(|pickup| (pickup.mix_ml.1 / 500.0, holds("drink mix")));
    foods.chain(mixed).fold((0.0, 0.0), |sum, (count, one)| {
        (sum.0 + count * one.0, sum.1 + count * one.1)
    })
}

fn says(plan: &Plan, kind: &str) -> Option<String> {
    let named = |finding: &&Finding| finding.kind.name() == kind;
    let found = plan.packing.findings.iter().find(named);
    found.map(|finding| finding.says.show(Units::Metric))
}

#[test]
fn the_energy_told_is_that_of_the_food_that_is_packed() {
    let inputs = demo::hundred_miles();
    let plan = planned(&inputs);
    let (kcal, sodium_mg) = packed(&inputs, &plan);
    let energy = says(&plan, "energy-deficit").unwrap();
    assert!(
        energy.starts_with(&format!("packed food gives {kcal:.0} of about")),
        "{energy}"
    );
    let needed_mg: f64 = plan.fueling.segments.iter().map(|s| s.sodium_mg).sum();
    let told = says(&plan, "sodium-packed");
    let differs = (sodium_mg - needed_mg).abs() > (0.15 * needed_mg).max(300.0);
    assert_eq!(told.is_some(), differs);
    if let Some(told) = told {
        assert!(
            told.contains(&format!("{sodium_mg:.0} mg of sodium, {needed_mg:.0} mg")),
            "{told}"
        );
    }
}

#[test]
fn a_small_and_slow_runner_is_never_packed_more_energy_than_is_spent() {
    for (mass_kg, hours) in [(45.0, 40), (50.0, 37), (55.0, 34)] {
        let mut inputs = demo::hundred_miles();
        inputs.runner.mass_kg = Some(Spanned::unwritten(mass_kg));
        inputs.plan.fueling.carbs_g_per_h = Some(Spanned::unwritten(90.0));
        inputs.plan.finish = Some(Spanned::unwritten(Elapsed::from_secs(hours * 3600)));
        let plan = planned(&inputs);
        let spent: f64 = plan.fueling.segments.iter().map(|s| s.energy_kcal).sum();
        let (kcal, _) = packed(&inputs, &plan);
        assert!(
            kcal < spent,
            "{mass_kg} kg, {hours} h: {kcal} of {spent} kcal"
        );
        assert!(says(&plan, "energy-deficit").is_some());
        assert!(plan.fueling.finish_mass.expected_loss_kg > 0.0);
    }
}
