//! Pacing's formulas against what was published.

use sutler::pacing::cost::{
    BUILT_IN, by_name, downhill_ratio, naismith_hours, run_cost_j_per_kg_m, tobler_kmh,
    walk_cost_j_per_kg_m, walk_saving, walking_power_w_per_kg,
};
use sutler::pacing::factors::{altitude, heat, transition_speed_mps};

use crate::support::reference;

/// Hand-computed rows carry four decimals.
const FOUR_DECIMALS: f64 = 1e-4;
/// Rows of slope time carry four decimals of a product of rounded ones.
const SLOPE_TIME: f64 = 5e-4;
/// Rows with three decimals.
const THREE_DECIMALS: f64 = 1e-3;
/// Power rows are rounded to 0.001 W/kg from coefficients of three digits.
const POWER_W_PER_KG: f64 = 2e-3;

#[test]
fn treadmill_polynomials_give_the_published_values() {
    for row in reference::rows("minetti_2002.csv") {
        let gradient = row.number("gradient");
        row.assert_near("poly_run", run_cost_j_per_kg_m(gradient), FOUR_DECIMALS);
        row.assert_near("poly_walk", walk_cost_j_per_kg_m(gradient), FOUR_DECIMALS);
        // the paper's fit is within 11 % of its own measurements of running
        let measured = row.number("measured_run");
        row.assert_near(
            "measured_run",
            run_cost_j_per_kg_m(gradient),
            0.12 * measured,
        );
    }
}

#[test]
fn walking_polynomial_is_wrong_on_the_level_as_published() {
    let level = reference::rows("minetti_2002.csv")
        .into_iter()
        .find(|row| row.number("gradient") == 0.0)
        .expect("the table has the level");
    assert!(walk_cost_j_per_kg_m(0.0) > 1.5 * level.number("measured_walk"));
}

#[test]
fn descents_follow_race_records() {
    for row in reference::rows("downhill_records.csv") {
        row.assert_near(
            "ratio",
            downhill_ratio(row.number("gradient")),
            FOUR_DECIMALS,
        );
    }
}

#[test]
fn slope_time_of_the_default_model() {
    let model = by_name("graded").expect("the default model is built in");
    for row in reference::rows("slope_time.csv") {
        let gradient = row.number("gradient");
        let run = (model.ratio)(gradient, 1.10);
        row.assert_near("run", run, SLOPE_TIME);
        if row.maybe("walk").is_some() {
            row.assert_near("walk", run * (1.0 - walk_saving(gradient)), SLOPE_TIME);
        }
    }
}

#[test]
fn walkers_rules_to_compare_with() {
    for row in reference::rows("walkers_rules.csv") {
        let gradient = row.number("gradient");
        let ours = match row.text("model") {
            "tobler" => tobler_kmh(gradient),
            "naismith" => naismith_hours(20_000.0, 20_000.0 * gradient),
            other => panic!("{row}: no model {other}"),
        };
        row.assert_near("value", ours, THREE_DECIMALS);
    }
}

#[test]
fn graded_walking_power() {
    for row in reference::rows("graded_walking.csv") {
        let ours = walking_power_w_per_kg(row.number("speed_mps"), row.number("grade_pct") / 100.0);
        row.assert_near("power_w_per_kg", ours, POWER_W_PER_KG);
    }
}

#[test]
fn height_and_warmth() {
    for row in reference::rows("environment_factors.csv") {
        let value = row.number("value");
        let ours = match row.text("factor") {
            "altitude" => altitude(value, 0.040),
            "heat" => heat(value, 0.008),
            other => panic!("{row}: no factor {other}"),
        };
        row.assert_near("expected", ours, FOUR_DECIMALS);
    }
}

/// 2.0 m/s on the level (Baker, Long, Srinivasan, arXiv 2501.00720) and 0.8 m/s at 30 degrees
/// (Ortiz et al. 2017, doi 10.1007/s00421-017-3677-y).
#[test]
fn gaits_change_at_the_published_speeds() {
    let at_30_deg = 30.0_f64.to_radians().tan();
    assert!((transition_speed_mps(0.0) - 2.0).abs() < 1e-12);
    assert!((transition_speed_mps(at_30_deg) - 0.8).abs() < 1e-9);
}

/// Every model: 1 on the level, positive and without jumps over all the gradients of a course.
#[test]
fn cost_models_are_ratios_without_jumps() {
    for model in BUILT_IN {
        let ratio = |gradient: f64| (model.ratio)(gradient, 1.10);
        assert!((ratio(0.0) - 1.0).abs() < 1e-6, "{}", model.name);
        let mut before = ratio(-0.46);
        for thousandth in -460..=460 {
            let now = ratio(f64::from(thousandth) / 1000.0);
            assert!(
                now.is_finite() && now > 0.0,
                "{} at {thousandth}",
                model.name
            );
            assert!(
                (now - before).abs() < 0.05,
                "{} jumps at {thousandth}",
                model.name
            );
            before = now;
        }
        let measured = model.measured.range();
        assert!(
            measured.contains(&0.0) && !model.source.is_empty(),
            "{}",
            model.name
        );
    }
}
