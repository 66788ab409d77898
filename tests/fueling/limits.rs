//! What must hold for any runner in any weather at any pace.

use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;

use sutler::conditions::Weather;
use sutler::diagnostics::Spanned;
use sutler::exposure::{Exposure, Spell};
use sutler::fueling::sweat::{
    Body, Effort, HIGHEST_MEASURED_L_PER_H, LOWEST_L_PER_H, heat_balance, predicted,
    table_fit_l_per_h,
};
use sutler::fueling::{self, Fueling};
use sutler::inputs::runner_toml::{GutTraining, HealthFlag, SweatMeasured};
use sutler::inputs::{PlanFile, RunnerFile};

/// Sums of products carry this relative rounding at most.
const ROUNDING: f64 = 1e-9;

fn config(seed: u64) -> ProptestConfig {
    ProptestConfig {
        cases: 2000,
        rng_seed: RngSeed::Fixed(seed),
        failure_persistence: None,
        ..ProptestConfig::default()
    }
}

fn weather() -> impl Strategy<Value = Weather> {
    (
        -35.0..48.0,
        0.0..=100.0,
        0.0..90.0,
        0.0..20.0,
        any::<bool>(),
    )
        .prop_map(
            |(temp_c, humidity_pct, wind_kmh, rain_mm_per_h, thunder)| Weather {
                temp_c,
                humidity_pct,
                wind_kmh,
                rain_mm_per_h,
                thunder,
                rain_chance_pct: None,
            },
        )
}

prop_compose! {
    fn exposure()(
        stop_h in prop_oneof![Just(0.0), 0.01..2.0],
        moving_h in prop_oneof![0.01..6.0, Just(0.0)],
        speed_mps in 0.3..6.0,
        kcal_per_kg_h in 1.0..16.0,
        skies in vec(option::weighted(0.9, weather()), 3),
        sun_up in any::<bool>(),
        dark_share in 0.0..=1.0,
        walk_share in 0.0..=1.0,
    ) -> Exposure {
        let step = |hours, speed_mps, weather| Spell { hours, speed_mps, weather, sun_up, ..Spell::default() };
        Exposure {
            stop: if stop_h > 0.0 { vec![step(stop_h, 0.0, skies[0])] } else { Vec::new() },
            moving: skies[1..].iter().map(|sky| step(moving_h / 2.0, speed_mps, *sky)).collect(),
            cost_j_per_kg: kcal_per_kg_h * 4184.0 * moving_h,
            dark_share,
            walk_share,
        }
    }
}

fn own_run() -> impl Strategy<Value = SweatMeasured> {
    (0.05..5.0, -5.0..40.0, option::of(200.0..1200.0)).prop_map(
        |(rate_l_per_h, temp_c, energy_kcal_per_h)| SweatMeasured {
            date: None,
            rate_l_per_h: Spanned::unwritten(rate_l_per_h),
            temp_c,
            energy_kcal_per_h,
        },
    )
}

fn maybe(range: std::ops::Range<f64>) -> impl Strategy<Value = Option<Spanned<f64>>> {
    option::of(range.prop_map(Spanned::unwritten))
}

prop_compose! {
    fn runner()(
        mass_kg in maybe(35.0..150.0),
        height_cm in maybe(140.0..210.0),
        age_years in maybe(12.0..85.0),
        flags in vec(prop::sample::select(vec![HealthFlag::Pregnancy, HealthFlag::Heart, HealthFlag::Kidney]), 0..2),
        sweat in vec(own_run(), 0..6),
        sodium in maybe(200.0..2400.0),
        gut in prop::sample::select(vec![GutTraining::Untrained, GutTraining::Some, GutTraining::Trained]),
        carbs_g_per_h in maybe(0.0..150.0),
        carbs_rehearsed_g_per_h in maybe(0.0..150.0),
        fluid_rehearsed_ml_per_h in maybe(0.0..3000.0),
        fluid_habit_ml_per_h in maybe(0.0..3000.0),
        caffeine_dose_mg in maybe(0.0..500.0),
    ) -> RunnerFile {
        RunnerFile {
            mass_kg, height_cm, age_years, sweat, gut, carbs_g_per_h, carbs_rehearsed_g_per_h,
            fluid_rehearsed_ml_per_h, fluid_habit_ml_per_h, caffeine_dose_mg,
            conditions: flags.into_iter().map(Spanned::unwritten).collect(),
            sweat_sodium_mg_per_l: sodium,
            ..RunnerFile::default()
        }
    }
}

prop_compose! {
    fn plan()(
        caffeine in any::<bool>(),
        agreed in any::<bool>(),
        carbs_g_per_h in maybe(0.0..200.0),
        reserve_share in maybe(0.0..1.0),
    ) -> PlanFile {
        let mut plan = PlanFile::default();
        plan.fueling.caffeine = caffeine;
        plan.fueling.caffeine_agreed = agreed;
        plan.fueling.carbs_g_per_h = carbs_g_per_h;
        plan.fueling.reserve_share = reserve_share;
        plan
    }
}

/// Every number there is, by name.
fn numbers(fueling: &Fueling) -> Vec<(&'static str, f64)> {
    let mass = fueling.finish_mass;
    let mut all = vec![
        ("window low", mass.loss_window_pct.0),
        ("window high", mass.loss_window_pct.1),
        ("start", mass.start_kg),
    ];
    for s in &fueling.segments {
        all.extend([
            ("hours", s.hours),
            ("sweat", s.sweat_l_per_h),
            ("band low", s.sweat_band_l_per_h.0),
            ("band high", s.sweat_band_l_per_h.1),
            ("fluid", s.fluid_ml),
            ("carry", s.carry_ml),
            ("sodium", s.sodium_mg),
            ("sodium loss", s.sodium_loss_mg),
            ("carbs", s.carbs_g),
            ("protein", s.protein_g),
            ("energy", s.energy_kcal),
            ("caffeine", s.caffeine_mg),
        ]);
    }
    all
}

proptest! {
    #![proptest_config(config(1))]

    #[test]
    fn no_number_is_negative_or_undefined(
        exposures in vec(exposure(), 1..8), runner in runner(), plan in plan()
    ) {
        for (name, number) in numbers(&fueling::assess(&exposures, &runner, &plan)) {
            prop_assert!(number.is_finite() && number >= 0.0, "{name}: {number}");
        }
    }
}

proptest! {
    #![proptest_config(config(2))]

    #[test]
    fn fluid_never_exceeds_sweat_nor_sodium_its_loss(
        exposures in vec(exposure(), 1..8), runner in runner(), plan in plan()
    ) {
        let fueling = fueling::assess(&exposures, &runner, &plan);
        for s in &fueling.segments {
            let sweat_ml = s.sweat_l_per_h * s.hours * 1000.0;
            prop_assert!(s.fluid_ml <= sweat_ml * (1.0 + ROUNDING), "{s:?}");
            prop_assert!(s.sodium_mg <= s.sodium_loss_mg * (1.0 + ROUNDING), "{s:?}");
            prop_assert!(s.sweat_band_l_per_h.0 <= s.sweat_l_per_h);
            prop_assert!(s.sweat_l_per_h <= s.sweat_band_l_per_h.1);
            prop_assert!(s.sweat_l_per_h <= HIGHEST_MEASURED_L_PER_H);
            prop_assert!(s.sweat_l_per_h >= LOWEST_L_PER_H - ROUNDING || s.hours == 0.0);
            prop_assert!(s.fluid_ml <= 1000.0 * s.hours * (1.0 + ROUNDING), "{s:?}");
            prop_assert!(s.way_ml <= s.fluid_ml * (1.0 + ROUNDING), "{s:?}");
            prop_assert!(s.carry_ml >= s.way_ml * (1.0 - ROUNDING), "{s:?}");
        }
        // who drinks and eats as planned ends lighter than the start, and inside the window
        let mass = fueling.finish_mass;
        let loss_pct = 100.0 * mass.expected_loss_kg / mass.start_kg;
        let hours: f64 = fueling.segments.iter().map(|s| s.hours).sum();
        prop_assert!(mass.expected_loss_kg > 0.0 || hours == 0.0, "{mass:?}");
        prop_assert!(mass.loss_window_pct.0 <= loss_pct && loss_pct <= mass.loss_window_pct.1);
    }
}

proptest! {
    #![proptest_config(config(3))]

    #[test]
    fn carbohydrate_stays_at_90_and_intake_below_what_is_spent(
        exposures in vec(exposure(), 1..8), runner in runner(), plan in plan()
    ) {
        let (mut eaten_g, mut spent_kcal) = (0.0, 0.0);
        for s in &fueling::assess(&exposures, &runner, &plan).segments {
            let most = 90.0 * s.hours;
            prop_assert!(s.carbs_g <= most * (1.0 + ROUNDING), "{} of {most}", s.carbs_g);
            eaten_g += s.carbs_g + s.protein_g;
            spent_kcal += s.energy_kcal;
        }
        prop_assert!(4.0 * eaten_g <= spent_kcal * (1.0 + ROUNDING), "{eaten_g} g, {spent_kcal} kcal");
    }
}

proptest! {
    #![proptest_config(config(4))]

    #[test]
    fn caffeine_keeps_every_cap(
        exposures in vec(exposure(), 1..25), runner in runner(), mut plan in plan()
    ) {
        plan.fueling.caffeine = true;
        let fueling = fueling::assess(&exposures, &runner, &plan);
        let mass_kg = runner.mass_kg.map_or(70.0, |m| m.value);
        let minor = runner.age_years.is_some_and(|a| a.value < 18.0);
        let has = |flag| runner.conditions.iter().any(|own| own.value == flag);
        let asks_a_doctor = minor || has(HealthFlag::Pregnancy) || has(HealthFlag::Heart);
        let a_day_mg: f64 = match has(HealthFlag::Pregnancy) {
            _ if asks_a_doctor && !plan.fueling.caffeine_agreed => 0.0,
            true => 200.0,
            false => 400.0,
        };
        let a_day_mg = if minor { a_day_mg.min(3.0 * mass_kg) } else { a_day_mg };
        let mut at_h = 0.0;
        let mut doses: Vec<(f64, f64)> = Vec::new();
        for s in &fueling.segments {
            prop_assert!(s.caffeine_mg <= (3.0 * mass_kg).min(200.0) + ROUNDING);
            if s.caffeine_mg > 0.0 {
                doses.push((at_h, s.caffeine_mg));
            }
            at_h += s.hours;
        }
        for pair in doses.windows(2) {
            prop_assert!(pair[1].0 - pair[0].0 >= 4.0 - ROUNDING);
        }
        for (from_h, _) in &doses {
            let window = |(h, _): &&(f64, f64)| (0.0..24.0 - ROUNDING).contains(&(h - from_h));
            let sum: f64 = doses.iter().filter(window).map(|d| d.1).sum();
            prop_assert!(sum <= a_day_mg + ROUNDING, "{sum} mg from {from_h} h");
        }
    }
}

fn body() -> impl Strategy<Value = Body> {
    (40.0..120.0, 1.45..2.05).prop_map(|(mass_kg, height_m)| Body { mass_kg, height_m })
}

proptest! {
    #![proptest_config(config(5))]

    /// In the range of the standard: 15 to 50 °C, air to 3 m/s.
    #[test]
    fn hotter_never_lowers_predicted_sweat(
        body in body(), kcal_per_kg_h in 4.0..14.0, humidity_pct in 0.0..=100.0,
        air_mps in 0.1..3.0, temp_c in 15.0..49.0, warmer_c in 0.01..1.0,
    ) {
        let at = |temp_c| Effort {
            energy_kcal_per_h: kcal_per_kg_h * body.mass_kg, temp_c, humidity_pct, air_mps, sun_k: 0.0,
        };
        let (cool, warm) = (at(temp_c), at(temp_c + warmer_c));
        prop_assert!(predicted(body, warm).l_per_h >= predicted(body, cool).l_per_h);
        prop_assert!(heat_balance(body, warm).sweat_l_per_h >= heat_balance(body, cool).sweat_l_per_h);
    }
}

proptest! {
    #![proptest_config(config(6))]

    #[test]
    fn harder_or_damper_never_lowers_predicted_sweat(
        body in body(), kcal_per_kg_h in 4.0..13.0, harder in 0.01..1.0,
        humidity_pct in 0.0..99.0, damper_pct in 0.01..1.0,
        air_mps in 0.1..3.0, temp_c in 20.0..40.0,
    ) {
        let at = |kcal_per_kg_h: f64, humidity_pct| Effort {
            energy_kcal_per_h: kcal_per_kg_h * body.mass_kg, temp_c, humidity_pct, air_mps, sun_k: 0.0,
        };
        let base = predicted(body, at(kcal_per_kg_h, humidity_pct)).l_per_h;
        prop_assert!(predicted(body, at(kcal_per_kg_h + harder, humidity_pct)).l_per_h >= base);
        let (energy, harder) = (kcal_per_kg_h * body.mass_kg, harder * body.mass_kg);
        prop_assert!(
            table_fit_l_per_h(body, energy + harder, temp_c) >= table_fit_l_per_h(body, energy, temp_c)
        );
        // warm enough that breath and skin do not gain more from damp air than sweating loses
        if temp_c >= 30.0 {
            let damp = predicted(body, at(kcal_per_kg_h, humidity_pct + damper_pct)).l_per_h;
            prop_assert!(damp >= base - 1e-3, "{damp} after {base}");
        }
    }
}
