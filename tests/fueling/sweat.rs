//! Sweat models against published predictions, worked values, a library, and other equations.

use sutler::fueling::sweat::{
    Body, Doubt, Effort, MassBalance, heat_balance, predicted, relative_air_mps, table_fit_l_per_h,
};

use crate::support::course_maker::chance::Chance;
use crate::support::reference::{Row, rows};

/// The cases are recomputed to three decimals.
const MASS_BALANCE_TOLERANCE_L_PER_H: f64 = 0.005;
/// Two decimals in the table, and the fit's own largest residual of 0.010 to them.
const PUBLISHED_TOLERANCE_L_PER_H: f64 = 0.0105;
/// Three decimals in the table.
const FIT_TOLERANCE_L_PER_H: f64 = 0.002;
/// The step-by-step values carry three figures.
const BALANCE_TOLERANCE_L_PER_H: f64 = 0.01;
/// Same, in W/m²: one figure after the point for what is required, none for the most.
const REQUIRED_TOLERANCE_W: f64 = 0.5;
const MOST_TOLERANCE_W: f64 = 2.0;
/// The library iterates the surface of the clothes to 0.001 K only; that moves sweat by a gram or two
/// per hour.
const LIBRARY_TOLERANCE_L_PER_H: f64 = 0.002;
const LIBRARY_TOLERANCE_SKIN_C: f64 = 0.01;
const AREA_TOLERANCE_M2: f64 = 0.0002;

fn body(row: &Row) -> Body {
    Body {
        mass_kg: row.number("mass_kg"),
        height_m: row.number("height_m"),
    }
}

fn effort(row: &Row) -> Effort {
    Effort {
        energy_kcal_per_h: row.number("energy_kcal_per_h"),
        temp_c: row.number("temp_c"),
        humidity_pct: row.number("humidity_pct"),
        air_mps: row.number("air_mps"),
        sun_k: row.given("sun_k").unwrap_or(0.0),
    }
}

#[test]
fn mass_balance_meets_the_worked_cases() {
    for row in rows("fueling_sweat_mass_balance.csv") {
        let run = MassBalance {
            before_kg: row.number("before_kg"),
            after_kg: row.number("after_kg"),
            drunk_l: row.number("drunk_l"),
            eaten_kg: row.number("eaten_kg"),
            urine_l: row.number("urine_l"),
            stool_kg: 0.0,
            energy_kcal: row.number("energy_kcal"),
            hours: row.number("hours"),
        };
        row.assert_near(
            "sweat_l_per_h",
            run.sweat_l_per_h(),
            MASS_BALANCE_TOLERANCE_L_PER_H,
        );
    }
}

#[test]
fn doubtful_measurements_are_named() {
    let good = MassBalance {
        before_kg: 70.0,
        after_kg: 69.0,
        drunk_l: 1.0,
        hours: 2.0,
        ..MassBalance::default()
    };
    assert_eq!(good.doubts(), []);
    let doubts = |run: MassBalance| run.doubts();
    assert_eq!(doubts(MassBalance { hours: 0.6, ..good }), [Doubt::Short]);
    assert_eq!(
        doubts(MassBalance {
            after_kg: 66.0,
            ..good
        }),
        [Doubt::LargeLoss]
    );
    assert_eq!(
        doubts(MassBalance {
            urine_l: 1.9,
            ..good
        }),
        [Doubt::OutOfRange]
    );
}

#[test]
fn skin_area_agrees_with_the_library() {
    for row in rows("fueling_area_library.csv") {
        row.assert_near("area_m2", body(&row).area_m2(), AREA_TOLERANCE_M2);
    }
}

/// ACSM's equation for level running (VO2 = 0.2 v + 3.5 ml/kg/min, v in m/min) at 5 kcal/L.
fn acsm_kcal_per_h(mass_kg: f64, speed_kmh: f64) -> f64 {
    (0.2 * speed_kmh * 1000.0 / 60.0 + 3.5) * mass_kg / 1000.0 * 5.0 * 60.0
}

#[test]
fn table_fit_meets_the_published_predictions() {
    let table = rows("fueling_sweat_runners.csv");
    assert_eq!(table.len(), 24);
    for row in table {
        let energy = acsm_kcal_per_h(row.number("mass_kg"), row.number("speed_kmh"));
        let ours = table_fit_l_per_h(body(&row), energy, row.number("temp_c"));
        row.assert_near("sweat_l_per_h", ours, PUBLISHED_TOLERANCE_L_PER_H);
    }
}

#[test]
fn table_fit_meets_the_formula() {
    for row in rows("fueling_sweat_table_fit.csv") {
        let energy = row.number("energy_kcal_per_h");
        let ours = table_fit_l_per_h(body(&row), energy, row.number("temp_c"));
        row.assert_near("sweat_l_per_h", ours, FIT_TOLERANCE_L_PER_H);
    }
}

#[test]
fn heat_balance_meets_the_standard_s_equations() {
    for row in rows("fueling_sweat_models.csv") {
        let ours = heat_balance(body(&row), effort(&row));
        row.assert_near(
            "required_w_per_m2",
            ours.required_w_per_m2,
            REQUIRED_TOLERANCE_W,
        );
        row.assert_near("most_w_per_m2", ours.most_w_per_m2, MOST_TOLERANCE_W);
        row.assert_near("by_balance", ours.sweat_l_per_h, BALANCE_TOLERANCE_L_PER_H);
        let mean = predicted(body(&row), effort(&row)).l_per_h;
        row.assert_near("mean", mean, BALANCE_TOLERANCE_L_PER_H);
    }
}

/// The best published equations are good to 0.30 L/h (2024, PMID 39205641); where both models lie
/// far apart the band is half their distance and 0.15 L/h.
#[test]
fn band_is_a_third_of_a_litre_or_wider_where_models_differ() {
    let near = &rows("fueling_sweat_models.csv")[0];
    assert_eq!(predicted(body(near), effort(near)).either_way_l_per_h, 0.30);
    // by table 0.676, by balance 0.952 on the same page; hotter they part further
    let hot = Effort {
        temp_c: 36.0,
        ..effort(&rows("fueling_sweat_models.csv")[3])
    };
    let body = body(near);
    let apart = heat_balance(body, hot).sweat_l_per_h
        - table_fit_l_per_h(body, hot.energy_kcal_per_h, hot.temp_c);
    assert!(apart > 0.4, "{apart}");
    let rate = predicted(body, hot);
    assert!((rate.either_way_l_per_h - (apart / 2.0 + 0.15)).abs() < 1e-9);
    let (low, high) = rate.band_l_per_h();
    assert!((high - low - 2.0 * rate.either_way_l_per_h).abs() < 1e-9);
}

/// 70 kg, 1.75 m, 8 km/h on the level, 20 °C, 50 %: computed step by step from ISO 7933:2004 apart
/// from this program.
#[test]
fn heat_balance_meets_the_worked_example() {
    let ours = heat_balance(
        Body {
            mass_kg: 70.0,
            height_m: 1.75,
        },
        Effort {
            energy_kcal_per_h: acsm_kcal_per_h(70.0, 8.0),
            temp_c: 20.0,
            humidity_pct: 50.0,
            air_mps: 8.0 / 3.6,
            sun_k: 0.0,
        },
    );
    assert!((ours.skin_c - 33.10).abs() < 0.01);
    assert!((ours.clothing_c - 29.13).abs() < 0.01);
    assert!((ours.required_w_per_m2 - 179.5).abs() < 0.2);
    assert!((ours.most_w_per_m2 - 1032.0).abs() < 1.0);
    assert!((ours.sweat_l_per_h - 0.498).abs() < 0.001);
}

#[test]
fn heat_balance_agrees_with_the_library() {
    let table = rows("fueling_heat_balance_library.csv");
    assert!(table.len() >= 60);
    for row in table {
        let ours = heat_balance(body(&row), effort(&row));
        row.assert_near("skin_c", ours.skin_c, LIBRARY_TOLERANCE_SKIN_C);
        row.assert_near(
            "sweat_l_per_h",
            ours.sweat_l_per_h,
            LIBRARY_TOLERANCE_L_PER_H,
        );
    }
}

/// Sweat by Shapiro 1982 and as Gonzalez and others 2009 (J Appl Physiol 107:379) corrected it, g
/// per m² and hour, from required and greatest evaporation, W/m².
fn shapiro(required: f64, most: f64) -> (f64, f64) {
    let ose = 27.9 * required * most.powf(-0.455);
    (ose, 147.0 * (0.0012 * ose).exp())
}

/// Required and greatest evaporation as those equations take them, W/m²: skin at 36 °C, shorts and
/// T-shirt (clothing terms from memory), vapour pressure by Antoine's equation for water, mmHg.
fn shapiro_evaporation(effort: Effort, area_m2: f64) -> (f64, f64) {
    let clo = 0.74 * effort.air_mps.powf(-0.28);
    let permeability = 0.94 * effort.air_mps.powf(0.28);
    let saturated = 10.0_f64.powf(8.07131 - 1730.63 / (233.426 + effort.temp_c));
    let vapour_mmhg = effort.humidity_pct / 100.0 * saturated;
    (
        effort.energy_kcal_per_h * 1.163 / area_m2 + 6.45 * (effort.temp_c - 36.0) / clo,
        14.21 * permeability * (44.0 - vapour_mmhg),
    )
}

#[test]
fn shapiro_s_equations_are_as_published() {
    for row in rows("fueling_sweat_equations.csv") {
        let (ose, osec) = shapiro(row.number("required_w_per_m2"), row.number("most_w_per_m2"));
        row.assert_near("ose_g_per_m2_h", ose, 0.2);
        row.assert_near("osec_g_per_m2_h", osec, 0.2);
    }
}

/// A third model, in its own domain (15 to 46 °C, up to 450 W/m²): the first form reads high, the
/// corrected one low at hard efforts. Ours lies between, within their standard error of 100 g per
/// m² and hour.
#[test]
fn prediction_lies_between_two_other_equations() {
    const STANDARD_ERROR_G: f64 = 100.0;
    let body = Body {
        mass_kg: 70.0,
        height_m: 1.75,
    };
    for energy_kcal_per_h in [380.0, 480.0, 580.0, 700.0] {
        for temp_c in [15.0, 20.0, 25.0, 30.0, 35.0] {
            for humidity_pct in [30.0, 50.0, 70.0] {
                let effort = Effort {
                    energy_kcal_per_h,
                    temp_c,
                    humidity_pct,
                    air_mps: 1.4,
                    sun_k: 0.0,
                };
                let (required, most) = shapiro_evaporation(effort, body.area_m2());
                let (high, low) = shapiro(required, most);
                let ours = predicted(body, effort).l_per_h / body.area_m2() * 1000.0;
                assert!(
                    low.min(high) - STANDARD_ERROR_G <= ours
                        && ours <= high.max(low) + STANDARD_ERROR_G,
                    "{effort:?}: {low} to {high} g/m²/h, ours {ours}"
                );
            }
        }
    }
}

#[test]
fn wind_adds_to_own_speed_by_two_thirds() {
    assert_eq!(relative_air_mps(2.0, 0.0), 2.0);
    // 27 km/h at 10 m is 5 m/s at the body; at right angles to 2 m/s
    assert!((relative_air_mps(2.0, 27.0) - 29.0_f64.sqrt()).abs() < 1e-12);
}

/// What is stated is what happens: runs weighed on a scale in steps, with bottles read and a watch
/// stopped a little off, are within 1.645 deviations of the truth in nine of ten (normal law).
#[test]
fn a_sweat_rate_is_as_sure_as_it_says() {
    const SEEDS: u64 = 2000;
    let within = (0..SEEDS).filter(|seed| {
        let mut chance = Chance::new(*seed, 11);
        let truth = MassBalance {
            before_kg: chance.between(50.0, 90.0),
            after_kg: 0.0,
            drunk_l: chance.between(0.5, 3.0),
            hours: chance.between(1.0, 6.0),
            ..MassBalance::default()
        };
        let sweat_l_per_h = chance.between(0.3, 1.5);
        let after_kg = truth.before_kg + truth.drunk_l - sweat_l_per_h * truth.hours;
        let step_kg = [0.05, 0.1, 0.2][(seed % 3) as usize];
        let (volumes_l, hours) = (chance.between(0.0, 0.1), chance.between(0.0, 0.05));
        let shown = |kg: f64| (kg / step_kg).round() * step_kg;
        let read = MassBalance {
            before_kg: shown(truth.before_kg),
            after_kg: shown(after_kg),
            drunk_l: truth.drunk_l + volumes_l * chance.bell(),
            hours: truth.hours + hours * chance.bell(),
            ..truth
        };
        let stated = read.uncertainty_l_per_h(step_kg, volumes_l, hours);
        (read.sweat_l_per_h() - sweat_l_per_h).abs() <= 1.645 * stated
    });
    let share = within.count() as f64 / SEEDS as f64;
    assert!((0.88..=0.93).contains(&share), "{share}");
}
