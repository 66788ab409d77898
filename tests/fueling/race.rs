//! What holds over a whole race: caffeine, mass at the finish, assumptions, cautions.

use sutler::conditions::Weather;
use sutler::diagnostics::Spanned;
use sutler::exposure::{Exposure, Spell};
use sutler::findings::Weight;
use sutler::fueling::Taken;
use sutler::fueling::caffeine::{Caps, DoseChance, kept, spread};
use sutler::fueling::{self, Fueling, all_cautions};
use sutler::inputs::runner_toml::HealthFlag;
use sutler::inputs::{PlanFile, RunnerFile};
use sutler::time::Elapsed;
use sutler::units::Units;

use super::needs::{MILD, kinds, own, race, runner, says, way};

fn with_caffeine() -> PlanFile {
    let mut plan = PlanFile::default();
    plan.fueling.caffeine = true;
    plan
}

/// A race of 30 h whose hours 12 to 22 are dark.
fn through_the_night() -> Vec<Exposure> {
    let mut exposures = race(30.0, 480.0, MILD);
    for exposure in &mut exposures[6..11] {
        exposure.dark_share = 1.0;
    }
    exposures
}

fn doses_mg(fueling: &Fueling) -> Vec<f64> {
    fueling.segments.iter().map(|s| s.caffeine_mg).collect()
}

#[test]
fn caffeine_is_never_planned_unasked() {
    let fueling = fueling::assess(&through_the_night(), &runner(), &PlanFile::default());
    assert_eq!(doses_mg(&fueling), vec![0.0; 15]);
    assert!(!has_caution(&fueling, "caffeine"));
}

#[test]
fn caffeine_goes_into_the_night_first_then_late_in_the_race() {
    let fueling = fueling::assess(&through_the_night(), &runner(), &with_caffeine());
    let doses = doses_mg(&fueling);
    // 1.5 mg/kg to the 5 mg below; 20, 16 and 12 h are dark and four hours apart, and a fourth dose
    // would pass 400 mg in 24 h
    let at: Vec<usize> = (0..15).filter(|i| doses[*i] > 0.0).collect();
    assert_eq!(at, [6, 8, 10]);
    assert!(at.iter().all(|i| doses[*i] == 105.0));
    assert!(has_caution(&fueling, "caffeine"));
}

#[test]
fn caffeine_waits_for_the_second_half_where_there_is_no_night() {
    let fueling = fueling::assess(&race(14.0, 480.0, MILD), &runner(), &with_caffeine());
    let at: Vec<usize> = (0..7)
        .filter(|i| fueling.segments[*i].caffeine_mg > 0.0)
        .collect();
    assert_eq!(at, [4, 6]);
}

#[test]
fn caffeine_keeps_to_the_caps_of_the_runner() {
    let mg = |runner: RunnerFile| {
        let mut plan = with_caffeine();
        plan.fueling.caffeine_agreed = true;
        let runner = RunnerFile {
            caffeine_dose_mg: own(300.0),
            ..runner
        };
        let fueling = fueling::assess(&through_the_night(), &runner, &plan);
        let doses = doses_mg(&fueling);
        let most = doses.iter().copied().fold(0.0, f64::max);
        assert!(kinds(&fueling).contains(&"caffeine-limited"));
        (most, doses.iter().sum::<f64>())
    };
    // European Food Safety Authority 2015: 200 mg at once, 400 a day
    assert_eq!(mg(runner()), (200.0, 400.0));
    // about 3 mg/kg at once
    let light = RunnerFile {
        mass_kg: own(50.0),
        ..runner()
    };
    assert_eq!(mg(light), (150.0, 300.0));
    // 200 mg a day in pregnancy
    let pregnant = RunnerFile {
        conditions: vec![Spanned::unwritten(HealthFlag::Pregnancy)],
        ..runner()
    };
    assert_eq!(mg(pregnant), (200.0, 200.0));
    // 3 mg/kg a day under 18
    let minor = RunnerFile {
        age_years: own(17.0),
        mass_kg: own(55.0),
        ..runner()
    };
    assert_eq!(mg(minor), (165.0, 165.0));
}

#[test]
fn no_caffeine_before_a_doctor_agrees_where_one_has_to() {
    let flagged = |flag| RunnerFile {
        conditions: vec![Spanned::unwritten(flag)],
        ..runner()
    };
    let minor = RunnerFile {
        age_years: own(17.0),
        ..runner()
    };
    let ask = [
        flagged(HealthFlag::Pregnancy),
        flagged(HealthFlag::Heart),
        minor,
    ];
    for runner in ask {
        let mut plan = with_caffeine();
        let fueling = fueling::assess(&through_the_night(), &runner, &plan);
        assert_eq!(doses_mg(&fueling).iter().sum::<f64>(), 0.0);
        let refused = fueling.findings.iter();
        let mut refused = refused.filter(|f| f.kind.name() == "caffeine-refused");
        assert_eq!(refused.next().map(|f| f.weight), Some(Weight::Warning));
        plan.fueling.caffeine_agreed = true;
        let fueling = fueling::assess(&through_the_night(), &runner, &plan);
        assert!(doses_mg(&fueling).iter().sum::<f64>() > 0.0);
        assert!(!kinds(&fueling).contains(&"caffeine-refused"));
    }
}

#[test]
fn no_caffeine_before_the_hour_that_the_plan_gives() {
    let mut plan = with_caffeine();
    plan.fueling.caffeine_from = Some(Spanned::unwritten(Elapsed::from_secs(15 * 3600)));
    let doses = doses_mg(&fueling::assess(&through_the_night(), &runner(), &plan));
    // without it the first of three comes at 12 h
    let at: Vec<usize> = (0..15).filter(|i| doses[*i] > 0.0).collect();
    assert_eq!(at.len(), 3);
    assert!(at[0] >= 8, "{at:?}");
}

#[test]
fn no_caffeine_in_the_first_quarter_however_dark() {
    let chances = [0.0, 6.0, 12.0, 18.0].map(|at_h| DoseChance {
        at_h,
        dark_share: if at_h < 9.0 { 1.0 } else { 0.0 },
    });
    let caps = Caps::of(&runner(), &PlanFile::default(), 70.0);
    // of 24 h the first six are the first quarter
    assert_eq!(
        spread(&chances, (0.0, 24.0), 100.0, caps),
        [0.0, 100.0, 100.0, 100.0]
    );
}

/// European Food Safety Authority 2015: 400 mg in 24 hours, whatever each chance gives.
#[test]
fn doses_of_any_size_stay_within_the_day() {
    let chances: Vec<DoseChance> = (0..12)
        .map(|i| DoseChance {
            at_h: f64::from(i) * 4.0,
            dark_share: 1.0,
        })
        .collect();
    let caps = Caps::of(&runner(), &PlanFile::default(), 70.0);
    let taken = Taken {
        packed_mg: (0..12).map(|i| [150.0, 90.0, 200.0][i % 3]).collect(),
        ..Taken::default()
    };
    let given = kept(&chances, 48.0, caps, &taken);
    assert!(given.iter().sum::<f64>() > 400.0, "{given:?}");
    for first in 0..12 {
        let day: f64 = given[first..].iter().take(6).sum();
        assert!(day <= 400.0, "{given:?}");
    }
}

#[test]
fn caffeine_that_fits_nowhere_is_said() {
    let fueling = fueling::assess(&[way(3.0, 600.0, MILD)], &runner(), &with_caffeine());
    assert_eq!(doses_mg(&fueling), [0.0]);
    assert!(says(&fueling, "caffeine-limited").contains("no segment"));
}

#[test]
fn the_last_hour_gets_no_caffeine() {
    let chances = [0.0, 5.0, 9.5].map(|at_h| DoseChance {
        at_h,
        dark_share: 0.0,
    });
    let caps = Caps::of(&runner(), &PlanFile::default(), 70.0);
    assert_eq!(
        spread(&chances, (0.0, 10.0), 100.0, caps),
        [0.0, 100.0, 0.0]
    );
}

/// 68.8 kg over 161 km: Hoffman, Goulet and Maughan 2018 give 1.9 to 5.0 % for balance.
#[test]
fn the_finish_window_lies_within_the_published_loss() {
    let runner = RunnerFile {
        mass_kg: own(68.8),
        ..runner()
    };
    let fueling = fueling::assess(&race(27.0, 480.0, MILD), &runner, &PlanFile::default());
    let loss_pct = fueling.finish_mass.expected_loss_kg / 68.8 * 100.0;
    assert!((1.9..=5.0).contains(&loss_pct), "{loss_pct}");
    let (low, high) = fueling.finish_mass.loss_window_pct;
    assert!((low - (loss_pct - 1.0)).abs() < 1e-9 && (high - (loss_pct + 1.0)).abs() < 1e-9);
    assert!(says(&fueling, "mass-window").contains("at 68.8 kg or more on the way, stop drinking"));
}

#[test]
fn a_plan_that_dries_the_runner_out_says_so() {
    let hot = Weather {
        temp_c: 38.0,
        humidity_pct: 60.0,
        ..MILD
    };
    let fueling = fueling::assess(&race(12.0, 800.0, hot), &runner(), &PlanFile::default());
    assert!(kinds(&fueling).contains(&"mass-loss-high"));
    let mild = fueling::assess(&race(12.0, 480.0, MILD), &runner(), &PlanFile::default());
    assert!(!kinds(&mild).contains(&"mass-loss-high"));
}

#[test]
fn everything_assumed_is_named() {
    let step = Spell {
        hours: 2.0,
        speed_mps: 1.4,
        weather: None,
        sun_up: true,
        ..Spell::default()
    };
    let blind = [Exposure {
        moving: vec![step; 4],
        cost_j_per_kg: 190_000.0,
        ..Exposure::default()
    }];
    let fueling = fueling::assess(&blind, &RunnerFile::default(), &PlanFile::default());
    let assumed: Vec<String> = fueling
        .assumed
        .iter()
        .map(|phrase| phrase.show(Units::Metric))
        .collect();
    assert_eq!(
        assumed,
        [
            "body mass 70.0 kg",
            "body height 175 cm",
            "weather 15 °C, 50 % humidity, wind 5 km/h",
            "sweat rate by prediction, not measured",
            "920 mg of sodium per litre of sweat",
            "carbohydrate 40 g/h for an untrained gut",
        ]
    );
    let need = &fueling.segments[0];
    assert_eq!(
        (need.temp_c, need.wbgt_c, need.wind_chill_c),
        (None, None, None)
    );
    // as if that weather were the forecast
    let forecast = Weather {
        temp_c: 15.0,
        wind_kmh: 5.0,
        ..MILD
    };
    let mut told = blind.clone();
    for step in &mut told[0].moving {
        step.weather = Some(forecast);
    }
    let told = fueling::assess(&told, &RunnerFile::default(), &PlanFile::default());
    assert!((told.segments[0].fluid_ml - need.fluid_ml).abs() < 1e-9);
}

fn has_caution(fueling: &Fueling, kind: &str) -> bool {
    fueling.cautions.iter().any(|c| c.kind.name() == kind)
}

#[test]
fn cautions_for_always_are_always_there_and_first() {
    let fueling = fueling::assess(&race(6.0, 480.0, MILD), &runner(), &PlanFile::default());
    let always: Vec<_> = all_cautions().filter(|c| c.when == "always").collect();
    assert!(always.len() >= 5);
    assert_eq!(fueling.cautions, always);
}

#[test]
fn every_other_caution_has_its_trigger() {
    let weather = |change: fn(&mut Weather)| {
        let mut weather = MILD;
        change(&mut weather);
        race(6.0, 480.0, weather)
    };
    let plain = || race(6.0, 480.0, MILD);
    let mut night = plain();
    night[2].dark_share = 0.4;
    night[2].walk_share = 0.9;
    for step in &mut night[2].moving {
        step.weather = None;
    }
    let mut high = plain();
    high[1].moving[0].elevation_m = 2600.0;
    let of_age = |years| RunnerFile {
        age_years: own(years),
        ..runner()
    };
    let diabetic = RunnerFile {
        conditions: vec![Spanned::unwritten(HealthFlag::Diabetes)],
        ..runner()
    };
    let cases = [
        ("heat-illness", weather(|w| w.temp_c = 25.0), runner()),
        ("extreme-heat", weather(|w| w.temp_c = 33.0), runner()),
        (
            "cold",
            weather(|w| (w.temp_c, w.wind_kmh) = (-10.0, 20.0)),
            runner(),
        ),
        (
            "cold",
            weather(|w| (w.temp_c, w.rain_mm_per_h, w.wind_kmh) = (10.0, 2.0, 30.0)),
            runner(),
        ),
        ("cold", night, runner()),
        ("altitude", high, runner()),
        ("thunderstorm", weather(|w| w.thunder = true), runner()),
        ("health-conditions", plain(), diabetic),
        ("age-over-50", plain(), of_age(51.0)),
        ("minor", plain(), of_age(17.0)),
    ];
    let base = fueling::assess(&plain(), &runner(), &PlanFile::default());
    for (kind, exposures, runner) in cases {
        assert!(!has_caution(&base, kind), "`{kind}` without a cause");
        let fueling = fueling::assess(&exposures, &runner, &PlanFile::default());
        assert!(has_caution(&fueling, kind), "no `{kind}`");
    }
}

/// What advice must never be found in any caution.
#[test]
fn no_caution_advises_what_it_must_not() {
    for caution in all_cautions() {
        let text = caution.text.to_lowercase();
        for banned in [
            "glycerol",
            "salt tablet",
            "take salt",
            "fasting",
            "intravenous",
        ] {
            assert!(!text.contains(banned), "{}: {banned}", caution.kind.name());
        }
        assert!(
            !text.contains("  "),
            "{}: a break in the words",
            caution.kind.name()
        );
        assert!(text.ends_with('.'), "{}: cut short", caution.kind.name());
    }
}

#[test]
fn no_race_needs_nothing() {
    let fueling = fueling::assess(&[], &runner(), &PlanFile::default());
    assert!(fueling.segments.is_empty() && fueling.findings.is_empty());
    assert!(!fueling.cautions.is_empty());
}
