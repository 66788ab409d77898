//! What runners with nothing measured are planned to drink, beside what runners were seen to.

use sutler::conditions::Weather;
use sutler::exposure::{Exposure, Spell};
use sutler::fueling::{self, Fueling};
use sutler::inputs::{PlanFile, RunnerFile};

use super::needs::own;
use crate::support::reference::{Row, rows};

/// The race of a row, in equal ways of an hour.
fn race(row: &Row) -> Vec<Exposure> {
    let mass_kg = row.number("mass_kg");
    let step = Spell {
        hours: 1.0,
        speed_mps: 1.5,
        weather: Some(Weather {
            temp_c: row.number("temp_c"),
            humidity_pct: row.number("humidity_pct"),
            wind_kmh: 5.0,
            rain_mm_per_h: 0.0,
            thunder: false,
            rain_chance_pct: None,
        }),
        sun_up: row.text("sun") == "yes",
        ..Spell::default()
    };
    let way = Exposure {
        moving: vec![step],
        // standing burns 1.2 kcal/kg/h of it
        cost_j_per_kg: (row.number("kcal_per_h") / mass_kg - 1.2) * 4184.0,
        ..Exposure::default()
    };
    vec![way; row.number("race_h") as usize]
}

fn body(row: &Row) -> RunnerFile {
    RunnerFile {
        mass_kg: own(row.number("mass_kg")),
        height_cm: own(row.number("height_m") * 100.0),
        ..RunnerFile::default()
    }
}

fn drink_ml_per_h(fueling: &Fueling) -> f64 {
    fueling.mean_per_h(|need| need.fluid_ml)
}

#[test]
fn planned_drink_is_what_runners_were_seen_to_drink() {
    let table = rows("fueling_scenarios.csv");
    assert_eq!(table.len(), 15);
    let mut off = Vec::new();
    for row in table {
        let fueling = fueling::assess(&race(&row), &body(&row), &PlanFile::default());
        let ours = drink_ml_per_h(&fueling);
        let (low, high) = (row.number("low_ml_per_h"), row.number("high_ml_per_h"));
        if !(low..=high).contains(&ours) {
            off.push(format!("{row}: {ours:.0} not in {low} to {high}"));
        }
        let carry = fueling.mean_per_h(|need| need.carry_ml);
        assert!(carry >= ours, "{row}: {carry:.0} carried of {ours:.0}");
    }
    assert!(off.is_empty(), "{off:#?}");
}

/// What the runner says to drink is what is planned over the race, as long as it is not above sweat;
/// it changes the plan and the plan says so.
#[test]
fn a_habit_of_drinking_counts_up_to_what_is_sweated() {
    let row = &rows("fueling_scenarios.csv")[5];
    let with = |ml_per_h: Option<f64>| {
        let runner = RunnerFile {
            fluid_habit_ml_per_h: ml_per_h.and_then(own),
            ..body(row)
        };
        let mut exposures = race(row);
        for way in exposures.iter_mut().skip(12) {
            way.moving[0].weather.as_mut().unwrap().temp_c = 26.0;
        }
        fueling::assess(&exposures, &runner, &PlanFile::default())
    };
    let unasked = drink_ml_per_h(&with(None));
    for habit in [220.0, 300.0, 380.0] {
        let fueling = with(Some(habit));
        assert!((drink_ml_per_h(&fueling) - habit).abs() < 1.0, "{habit}");
        assert!(
            (unasked - habit).abs() > 5.0,
            "{unasked} is {habit} unasked"
        );
        let (cool, warm) = (&fueling.segments[0], &fueling.segments[20]);
        assert!(cool.fluid_ml <= warm.fluid_ml);
        assert!(super::needs::says(&fueling, "fluid-habit").contains("planned on average"));
    }
    let sweat = with(None).mean_per_h(|need| need.sweat_l_per_h * need.hours * 1000.0);
    let much = with(Some(900.0));
    assert!((drink_ml_per_h(&much) - sweat).abs() < 1.0);
    assert!(super::needs::says(&much, "fluid-habit").contains("above what is sweated"));
}

/// Drinking exactly as planned ends inside the window that the plan tells.
#[test]
fn the_mass_window_holds_who_drinks_as_planned() {
    for row in rows("fueling_scenarios.csv") {
        let fueling = fueling::assess(&race(&row), &body(&row), &PlanFile::default());
        let sum =
            |of: fn(&fueling::SegmentNeed) -> f64| -> f64 { fueling.segments.iter().map(of).sum() };
        let hours = sum(|s| s.hours);
        // by hand: 0.2 g of fuel and breath a kcal, 0.5 ml of urine a kilogram and hour
        let out_kg = 0.0002 * sum(|s| s.energy_kcal)
            + sum(|s| s.sweat_l_per_h * s.hours)
            + 0.0005 * row.number("mass_kg") * hours;
        let in_kg = sum(|s| s.fluid_ml + s.carbs_g + s.protein_g) / 1000.0;
        let loss_pct = 100.0 * (out_kg - in_kg) / row.number("mass_kg");
        let (low, high) = fueling.finish_mass.loss_window_pct;
        assert!((low..=high).contains(&loss_pct), "{row}: {loss_pct}");
        assert!(loss_pct > 0.0, "{row}: {loss_pct}");
    }
}
