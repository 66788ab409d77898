//! Needs of a segment: the worked example, and each limit where it bites.

use sutler::conditions::Weather;
use sutler::diagnostics::Spanned;
use sutler::exposure::{Exposure, Spell};
use sutler::findings::Weight;
use sutler::fueling::{self, Fueling, SweatSource};
use sutler::inputs::runner_toml::{GutTraining, SweatMeasured};
use sutler::inputs::{PlanFile, RunnerFile};
use sutler::units::Units;

/// Weather of the worked example: the wind over a runner at 1.4 m/s is the runner's own.
pub(super) const MILD: Weather = Weather {
    temp_c: 20.0,
    humidity_pct: 50.0,
    wind_kmh: 0.0,
    rain_mm_per_h: 0.0,
    thunder: false,
    rain_chance_pct: None,
};

pub(super) fn own(value: f64) -> Option<Spanned<f64>> {
    Some(Spanned::unwritten(value))
}

pub(super) fn runner() -> RunnerFile {
    RunnerFile {
        mass_kg: own(70.0),
        height_cm: own(175.0),
        ..RunnerFile::default()
    }
}

/// A way of so many hours at a gross effort of so many kcal/h for 70 kg.
pub(super) fn way(hours: f64, kcal_per_h: f64, weather: Weather) -> Exposure {
    let standing_kcal_per_h = 1.2 * 70.0;
    let step = Spell {
        hours,
        speed_mps: 1.4,
        weather: Some(weather),
        sun_up: true,
        ..Spell::default()
    };
    Exposure {
        moving: vec![step],
        cost_j_per_kg: (kcal_per_h - standing_kcal_per_h) * hours * 4184.0 / 70.0,
        ..Exposure::default()
    }
}

/// A race of equal ways of two hours.
pub(super) fn race(hours: f64, kcal_per_h: f64, weather: Weather) -> Vec<Exposure> {
    vec![way(2.0, kcal_per_h, weather); (hours / 2.0) as usize]
}

pub(super) fn kinds(fueling: &Fueling) -> Vec<&'static str> {
    fueling.findings.iter().map(|f| f.kind.name()).collect()
}

#[track_caller]
pub(super) fn says(fueling: &Fueling, kind: &str) -> String {
    let finding = fueling.findings.iter().find(|f| f.kind.name() == kind);
    let finding = finding.unwrap_or_else(|| panic!("no `{kind}` in {:?}", kinds(fueling)));
    finding.says.show(Units::Metric)
}

/// Three long runs that put someone at so many litres per hour in the worked example's weather.
pub(super) fn measured(rate_l_per_h: f64) -> Vec<SweatMeasured> {
    [15.0, 20.0, 25.0]
        .map(|temp_c| SweatMeasured {
            date: None,
            rate_l_per_h: Spanned::unwritten(rate_l_per_h),
            temp_c,
            energy_kcal_per_h: Some(480.0),
        })
        .to_vec()
}

/// 70 kg, 1.75 m, two hours of a race of 30, 480 kcal/h, 20 °C, 50 %, 60 g/h: worked by hand from
/// the mean of both sweat models and the formulas of fluid, sodium (600 mg/L, at most 920 mg per
/// litre of sweat) and carbohydrate.
#[test]
fn a_segment_meets_the_worked_example() {
    let runner = RunnerFile {
        gut: GutTraining::Some,
        ..runner()
    };
    let fueling = fueling::assess(&race(30.0, 480.0, MILD), &runner, &PlanFile::default());
    let need = &fueling.segments[0];
    assert!((need.sweat_l_per_h - 0.369).abs() < 0.005);
    // 0.369 + 0.035 - 1.5 / 30 = 0.354 L/h
    assert!((need.fluid_ml - 708.0).abs() < 10.0);
    // upper end 0.369 + 0.30 and in the sun (0.72 * 200 + 135 - 200) g/m2 of 1.84 m2 = 0.146: 0.800
    assert!((need.carry_ml - 1600.0).abs() < 12.0);
    assert!((need.sodium_mg - 425.0).abs() < 6.0);
    assert!((need.sodium_loss_mg - 679.0).abs() < 9.0);
    assert!((need.carbs_g - 120.0).abs() < 1e-9);
    assert!((need.energy_kcal - 960.0).abs() < 1e-6);
    assert_eq!(need.temp_c, Some(20.0));
    // 19.86 °C by the Bureau of Meteorology's approximation
    assert!((need.wbgt_c.unwrap() - 19.86).abs() < 0.02);
    assert_eq!(need.wind_chill_c, None);
    assert_eq!(fueling.sweat_from, SweatSource::Predicted);
}

#[test]
fn a_stop_adds_time_and_little_sweat_but_nothing_to_carry() {
    let plain = fueling::assess(&race(30.0, 480.0, MILD), &runner(), &PlanFile::default());
    let mut exposures = race(30.0, 480.0, MILD);
    exposures[1].stop = vec![Spell {
        hours: 0.5,
        speed_mps: 0.0,
        weather: Some(MILD),
        sun_up: true,
        ..Spell::default()
    }];
    let stopped = fueling::assess(&exposures, &runner(), &PlanFile::default());
    let (with, without) = (&stopped.segments[1], &plain.segments[1]);
    assert!((with.hours - 2.5).abs() < 1e-9);
    assert!(with.sweat_l_per_h < without.sweat_l_per_h);
    assert!(with.fluid_ml > without.fluid_ml);
    // half an hour of race more spreads the spare water a little thinner, and no more than that
    assert!((with.carry_ml - without.carry_ml).abs() < 0.02 * without.carry_ml);
    // standing: 1.2 kcal/kg/h
    assert!((with.energy_kcal - without.energy_kcal - 42.0).abs() < 1e-9);
    assert!((with.carbs_g - 2.5 * 40.0).abs() < 1e-9);
}

#[test]
fn fluid_stops_at_a_litre_an_hour_whatever_was_measured_or_rehearsed() {
    let hot = Weather {
        temp_c: 33.0,
        humidity_pct: 60.0,
        ..MILD
    };
    let hot_day = |runner: &RunnerFile| {
        fueling::assess(&race(24.0, 800.0, hot), runner, &PlanFile::default())
    };
    let predicted = hot_day(&runner());
    assert!(predicted.segments[0].sweat_l_per_h > 1.3);
    assert!((predicted.segments[0].fluid_ml - 2000.0).abs() < 1e-6);
    assert!(kinds(&predicted).contains(&"fluid-limited"));
    assert!(kinds(&predicted).contains(&"fluid-rate-high"));

    for (rate_l_per_h, rehearsed_ml_per_h) in [(1.8, 1200.0), (2.6, 2500.0)] {
        let both = RunnerFile {
            fluid_rehearsed_ml_per_h: own(rehearsed_ml_per_h),
            sweat: measured(rate_l_per_h),
            ..runner()
        };
        let own = hot_day(&both);
        assert_eq!(own.sweat_from, SweatSource::Corrected(3));
        // two hours a segment
        assert!((own.segments[0].fluid_ml - 2000.0).abs() < 1e-6);
    }
}

/// What was held on a long run is not exceeded unplanned, and in heat not undercut beyond what people
/// drink freely, two thirds of sweat (McDermott and others 2017, J. Athl. Train. 52:877, from memory).
#[test]
fn drink_stays_with_what_was_rehearsed() {
    let planned = |weather: Weather, held_ml_per_h: Option<f64>| {
        let runner = RunnerFile {
            fluid_rehearsed_ml_per_h: held_ml_per_h.and_then(own),
            ..runner()
        };
        fueling::assess(&race(24.0, 800.0, weather), &runner, &PlanFile::default())
    };
    let said = |fueling: &Fueling| kinds(fueling).contains(&"fluid-unrehearsed");
    // a litre and more of sweat an hour: 2 h of it, two thirds drunk
    let hot = Weather {
        temp_c: 23.0,
        ..MILD
    };
    let little = planned(hot, Some(300.0));
    let first = &little.segments[0];
    let freely_ml = 0.67 * 2.0 * 1000.0 * first.sweat_l_per_h;
    assert!(first.sweat_l_per_h > 0.6);
    assert!((first.fluid_ml - freely_ml).abs() < 1e-6, "{first:?}");
    assert!(said(&little));
    // no less than that, and no more than was held, where nothing else asks for less
    let unheard = planned(hot, None).segments[0].fluid_ml;
    for held_ml_per_h in [400.0, 500.0, 600.0, 900.0] {
        let held = planned(hot, Some(held_ml_per_h));
        let most_ml = freely_ml.max(2.0 * held_ml_per_h).min(unheard);
        assert!(
            (held.segments[0].fluid_ml - most_ml).abs() < 1e-6,
            "{held_ml_per_h}"
        );
        assert_eq!(
            said(&held),
            most_ml > 1.1 * 2.0 * held_ml_per_h,
            "{held_ml_per_h}"
        );
    }
}

#[test]
fn measured_sweat_that_asks_for_more_than_is_safe_is_refused_and_said() {
    let of = |rate_l_per_h| {
        let runner = RunnerFile {
            sweat: measured(rate_l_per_h),
            ..runner()
        };
        fueling::assess(&race(24.0, 480.0, MILD), &runner, &PlanFile::default())
    };
    let heavy = of(2.6);
    let found = heavy
        .findings
        .iter()
        .find(|f| f.kind.name() == "fluid-alarm");
    assert_eq!(found.map(|f| f.weight), Some(Weight::Failure));
    let says = says(&heavy, "fluid-alarm");
    assert!(says.contains("more than 1200 ml/h is refused"), "{says}");
    assert!(says.contains("1000 ml/h is planned"), "{says}");
    assert!(!kinds(&of(0.8)).contains(&"fluid-alarm"));
}

#[test]
fn a_small_runner_in_the_cold_is_not_given_a_floor_to_drink_up_to() {
    let runner = RunnerFile {
        mass_kg: own(48.0),
        height_cm: own(158.0),
        ..RunnerFile::default()
    };
    let cold = Weather {
        temp_c: 2.0,
        ..MILD
    };
    let fueling = fueling::assess(&race(30.0, 350.0, cold), &runner, &PlanFile::default());
    let need = &fueling.segments[0];
    // far below the 450 ml/h that guidelines for ultras begin with
    assert!(need.fluid_ml / need.hours < 250.0);
    assert!(need.fluid_ml <= need.sweat_l_per_h * need.hours * 1000.0);
}

#[test]
fn carbohydrate_follows_training_and_the_plan_and_stops_at_limits() {
    let rate = |runner: RunnerFile, asked: Option<f64>| {
        let mut plan = PlanFile::default();
        plan.fueling.carbs_g_per_h = asked.map(Spanned::unwritten);
        let fueling = fueling::assess(&race(20.0, 480.0, MILD), &runner, &plan);
        let g_per_h = fueling.segments[0].carbs_g / fueling.segments[0].hours;
        ((g_per_h * 10.0).round() / 10.0, kinds(&fueling))
    };
    let of = |gut| RunnerFile { gut, ..runner() };
    assert_eq!(rate(of(GutTraining::Untrained), None).0, 40.0);
    assert_eq!(rate(of(GutTraining::Some), None).0, 60.0);
    assert_eq!(rate(of(GutTraining::Trained), None).0, 75.0);

    let own_rate = RunnerFile {
        carbs_g_per_h: own(55.0),
        ..runner()
    };
    assert_eq!(rate(own_rate.clone(), None).0, 55.0);
    assert_eq!(rate(own_rate, Some(65.0)).0, 65.0);

    let (g_per_h, found) = rate(of(GutTraining::Trained), Some(110.0));
    assert_eq!(g_per_h, 90.0);
    assert!(found.contains(&"carbs-limited"));

    let (g_per_h, found) = rate(runner(), Some(80.0));
    assert_eq!(g_per_h, 80.0);
    assert!(found.contains(&"carbs-unrehearsed") && !found.contains(&"carbs-limited"));

    let rehearsed = |most| RunnerFile {
        carbs_rehearsed_g_per_h: own(most),
        ..runner()
    };
    // 90 g/h is the most for anybody (Thomas, Erdman and Burke 2016)
    assert_eq!(rate(rehearsed(105.0), Some(100.0)).0, 90.0);
    assert_eq!(rate(rehearsed(150.0), Some(140.0)).0, 90.0);
    assert_eq!(rate(rehearsed(70.0), Some(85.0)).0, 85.0);
}

#[test]
fn short_races_ask_for_less_to_eat() {
    let rate = |hours: f64| {
        let exposures = [way(hours, 700.0, MILD)];
        let gut = GutTraining::Trained;
        let fueling = fueling::assess(
            &exposures,
            &RunnerFile { gut, ..runner() },
            &PlanFile::default(),
        );
        (
            fueling.segments[0].carbs_g / hours,
            fueling.segments[0].protein_g / hours,
        )
    };
    // Thomas, Erdman and Burke 2016: none below 45 min, little to 75 min, 30 to 60 g/h to 2.5 h
    assert_eq!(rate(0.5).0, 0.0);
    assert_eq!(rate(1.0).0, 30.0);
    assert_eq!(rate(2.0).0, 60.0);
    assert_eq!(rate(5.0).0, 75.0);
    assert_eq!(rate(2.0).1, 0.0);
    // Tiller and others 2019: 5 to 10 g/h of protein in ultras
    assert!((5.0..=10.0).contains(&rate(10.0).1));
}

#[test]
fn sodium_is_held_to_the_measured_loss() {
    let runner = RunnerFile {
        sweat_sodium_mg_per_l: own(300.0),
        ..runner()
    };
    let fueling = fueling::assess(&race(30.0, 480.0, MILD), &runner, &PlanFile::default());
    let need = &fueling.segments[0];
    assert!((need.sodium_loss_mg - need.sweat_l_per_h * 2.0 * 300.0).abs() < 1e-9);
    assert_eq!(need.sodium_mg, need.sodium_loss_mg);
    assert!(kinds(&fueling).contains(&"sodium-capped"));
}

#[test]
fn intake_follows_what_is_spent() {
    for (mass_kg, hours) in [(45.0, 34.0), (45.0, 40.0), (50.0, 40.0), (55.0, 37.0)] {
        let small = RunnerFile {
            mass_kg: own(mass_kg),
            ..runner()
        };
        let mut plan = PlanFile::default();
        plan.fueling.carbs_g_per_h = own(90.0);
        // 3.4 kcal an hour for each kilogram, standing included: a walk (our choice)
        let fueling = fueling::assess(&race(hours, 3.4 * mass_kg, MILD), &small, &plan);
        let spent: f64 = fueling.segments.iter().map(|s| s.energy_kcal).sum();
        let eaten_g: f64 = fueling
            .segments
            .iter()
            .map(|s| s.carbs_g + s.protein_g)
            .sum();
        // 4 kcal a gram (Atwater)
        assert!(
            4.0 * eaten_g < spent,
            "{mass_kg} kg, {hours} h: {eaten_g} g, {spent} kcal"
        );
        assert!(kinds(&fueling).contains(&"carbs-above-spent"));
        assert!(fueling.finish_mass.expected_loss_kg > 0.0);
    }
}

#[test]
fn hot_ways_are_findings_at_the_worst_segment() {
    let at = |temp_c, humidity_pct, wind_kmh| Weather {
        temp_c,
        humidity_pct,
        wind_kmh,
        ..MILD
    };
    let mut exposures = race(8.0, 480.0, MILD);
    exposures[2] = way(2.0, 480.0, at(35.0, 30.0, 5.0));
    let fueling = fueling::assess(&exposures, &runner(), &PlanFile::default());
    let about = |kind: &str| {
        let finding = fueling
            .findings
            .iter()
            .find(|f| f.kind.name() == kind)
            .unwrap();
        (format!("{:?}", finding.about), finding.weight)
    };
    // 30.39 °C by the Bureau of Meteorology's approximation
    assert_eq!(
        about("heat-black"),
        ("Segment(2)".to_owned(), Weight::Warning)
    );
    assert!(says(&fueling, "heat-black").contains("30 °C, black flag"));
}

#[test]
fn findings_speak_the_reader_s_units() {
    let hot = Weather {
        temp_c: 33.0,
        humidity_pct: 60.0,
        ..MILD
    };
    let fueling = fueling::assess(&race(24.0, 800.0, hot), &runner(), &PlanFile::default());
    let finding = fueling
        .findings
        .iter()
        .find(|f| f.kind.name() == "fluid-limited")
        .unwrap();
    // 1 L is 33.8 US fluid ounces
    assert!(finding.says.show(Units::Imperial).contains("34 fl oz/h"));
    assert!(finding.says.show(Units::Metric).contains("1000 ml/h"));
}

/// Gonzalez and others 2012: in the sun 0.72 S + 135 g/m²/h for S in the shade.
#[test]
fn in_mild_air_the_sun_lifts_the_upper_end_of_the_band_alone() {
    let sunny = fueling::assess(&race(30.0, 480.0, MILD), &runner(), &PlanFile::default());
    let mut exposures = race(30.0, 480.0, MILD);
    for exposure in &mut exposures {
        exposure.moving[0].sun_up = false;
    }
    let shady = fueling::assess(&exposures, &runner(), &PlanFile::default());
    let (sun, shade) = (&sunny.segments[0], &shady.segments[0]);
    assert_eq!(sun.fluid_ml, shade.fluid_ml);
    assert!(sun.carry_ml > shade.carry_ml);
    assert_eq!(sun.sweat_l_per_h, shade.sweat_l_per_h);
    assert_eq!(sun.sweat_band_l_per_h.0, shade.sweat_band_l_per_h.0);
    // 70 kg and 1.75 m have 1.8438 m² (Du Bois)
    let shade_g = shade.sweat_l_per_h * 1000.0 / 1.8438;
    let more_l = (0.72 * shade_g + 135.0 - shade_g) * 1.8438 / 1000.0;
    let lifted_l = sun.sweat_band_l_per_h.1 - shade.sweat_band_l_per_h.1;
    assert!((lifted_l - more_l).abs() < 1e-4, "{lifted_l} {more_l}");
    // own runs were made in whatever sun there was
    let known = RunnerFile {
        sweat: measured(0.6),
        ..runner()
    };
    let bands = |exposures: &[Exposure]| {
        let fueling = fueling::assess(exposures, &known, &PlanFile::default());
        fueling.segments[0].sweat_band_l_per_h
    };
    assert_eq!(bands(&race(30.0, 480.0, MILD)), bands(&exposures));
}
