//! Runs of known sweat, and a season of them together.

use proptest::prelude::*;
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use sutler::debrief::{debrief, propose};
use sutler::diagnostics::{Notes, SourceFile, Sources, Spanned};
use sutler::fueling::sweat::Body;
use sutler::inputs::runner_toml::SweatMeasured;
use sutler::inputs::{RunRecord, RunnerFile, Texts};

use super::{day, debriefed, facts};

const BODY: Body = Body {
    mass_kg: 70.0,
    height_m: 1.75,
};

/// The display shows the nearest tenth of a kilogram, and a flask is read wrong by up to a tenth.
#[test]
fn nine_in_ten_runs_of_known_sweat_are_within_what_is_stated() {
    let mut held = 0;
    let seeds = 400;
    for seed in 0..seeds {
        let mut chance = ChaCha8Rng::seed_from_u64(seed);
        let mut between = |low: f64, high: f64| chance.random_range(low..high);
        let (hours, l_per_h) = (between(1.0, 7.0), between(0.4, 1.6));
        let before_kg = between(50.0, 90.0);
        let (drank_l, urine_l) = (hours * between(0.2, 0.8), between(0.0, 0.4));
        let after_kg = before_kg + drank_l - urine_l - l_per_h * hours;
        let (drank_read, urine_read) = (between(0.9, 1.1), between(0.9, 1.1));
        let minutes_off = between(-3.0, 3.0);
        let shown = |kg: f64| Some((kg * 10.0).round() / 10.0);
        let mut facts = facts("1:00", shown(before_kg), shown(after_kg));
        let seconds = (hours * 60.0 + minutes_off) * 60.0;
        facts.time = Some(sutler::time::Elapsed::from_s(seconds));
        let log = format!(
            "kind,what,water_ml,urine_ml\n{}urine,,,{:.0}\n",
            format!("drink,water,{:.0},\n", drank_l * drank_read * 250.0).repeat(4),
            urine_l * urine_read * 1000.0
        );
        let sweat = debriefed(&facts, &log).0.sweat.unwrap();
        let (low, high) = sweat.band_l_per_h();
        held += u64::from((low..=high).contains(&l_per_h));
        assert!(sweat.uncertainty_l_per_h < 0.2, "seed {seed}: {sweat:?}");
    }
    assert!(held * 10 >= seeds * 9, "{held} of {seeds}");
}

/// Runs by date and rate, all else the same; the log drinks what makes up for the rest.
fn season(runs: &[(u32, u32, f64)]) -> Vec<RunRecord> {
    let of = |(month, date, l_per_h): &(u32, u32, f64)| {
        let mut facts = facts("4:00", Some(70.0), Some(69.0));
        facts.date = day(*month, *date);
        facts.sky.temp_c = Some(18.0);
        let log = format!(
            "kind,what,water_ml,stomach\ndrink,water,{0:.0},\ndrink,water,{0:.0},\nstomach,,,9\n",
            (l_per_h * 4.0 - 1.0) * 500.0
        );
        debriefed(&facts, &log).0.run
    };
    runs.iter().map(of).collect()
}

#[test]
fn an_outlier_is_named_and_left_out() {
    let runs = season(&[
        (5, 1, 0.9),
        (5, 20, 0.95),
        (6, 10, 0.92),
        (7, 1, 2.0),
        (7, 20, 0.88),
    ]);
    let proposal = propose(&runs, &[], &RunnerFile::default(), BODY, 600.0);
    let outliers: Vec<_> = proposal.sweat_outliers.iter().map(|far| far.date).collect();
    assert_eq!(outliers, [day(7, 1)]);
    let dates: Vec<_> = proposal.sweat.iter().map(|run| run.date).collect();
    assert_eq!(dates, [day(5, 1), day(5, 20), day(6, 10), day(7, 20)]);
}

/// A second run like it bears a far one out, in the record or in the runner file.
#[test]
fn a_second_run_bears_a_far_one_out() {
    let far = |runs: &[(u32, u32, f64)], written: Option<f64>| {
        let runner = RunnerFile {
            sweat: written.map(measured_in_july).into_iter().collect(),
            ..RunnerFile::default()
        };
        let proposal = propose(&season(runs), &[], &runner, BODY, 600.0);
        assert_eq!(
            proposal.sweat.len() + proposal.sweat_outliers.len(),
            runs.len()
        );
        proposal.sweat_outliers.len()
    };
    assert_eq!(far(&[(8, 1, 2.0)], None), 1);
    assert_eq!(far(&[(8, 1, 2.0)], Some(0.9)), 1);
    assert_eq!(far(&[(8, 1, 2.0)], Some(1.9)), 0);
    assert_eq!(far(&[(8, 1, 2.0), (8, 9, 1.8)], None), 0);
}

fn measured_in_july(l_per_h: f64) -> SweatMeasured {
    SweatMeasured {
        date: Some(day(7, 1)),
        rate_l_per_h: Spanned::unwritten(l_per_h),
        temp_c: 18.0,
        energy_kcal_per_h: None,
    }
}

/// More drunk than lost is no rate to practise, however well it went down.
#[test]
fn drinking_that_gained_mass_is_never_proposed() {
    let log = "kind,what,water_ml,stomach\ndrink,water,2900,\nstomach,,,10\n";
    let held = |after_kg| {
        let run = debriefed(&facts("4:00", Some(70.0), Some(after_kg)), log)
            .0
            .run;
        propose(&[run], &[], &RunnerFile::default(), BODY, 600.0).fluid_ml_per_h
    };
    assert_eq!(held(69.5), Some((725.0, day(8, 30))));
    assert_eq!(held(70.0), None);
    assert_eq!(held(70.4), None);
}

proptest! {
    #![proptest_config(ProptestConfig { rng_seed: proptest::test_runner::RngSeed::Fixed(47), ..ProptestConfig::with_cases(64) })]

    /// Whatever is written down, the record reads back what was put in.
    #[test]
    fn the_record_reads_back(
        name in "[^\u{0}-\u{1f}\u{7f}-\u{9f}]{0,30}[a-z]",
        before in 40.0..120.0f64, lost in -2.0..4.0f64, drank in 0.0..2900.0f64, score in 0u32..=10,
    ) {
        let mut facts = facts("5:30", Some(before), Some(before - lost));
        facts.name = name.trim().to_owned();
        let log = format!("kind,what,water_ml,stomach\ndrink,water,{drank:.0},\nstomach,,,{score}\n");
        let run = debriefed(&facts, &log).0.run;
        let text = sutler::reports::with_run("", &run).unwrap();
        let again = sutler::reports::with_run(&text, &run).unwrap();
        prop_assert!(again.starts_with(text.trim_end()));
        let texts = Texts { record: Some(SourceFile::new("record.toml", again)), ..Texts::default() };
        let (mut sources, mut notes) = (Sources::default(), Notes::new());
        let read = sutler::inputs::read(texts, &mut sources, &mut notes).record;
        prop_assert!(!notes.has_errors(), "{:?}", notes.all());
        prop_assert_eq!(read.len(), 2);
        prop_assert_eq!(&read[0].name.value, &run.name.value);
        prop_assert_eq!(&read[0].fingerprint, &run.fingerprint);
        prop_assert_eq!(read[0].stomach, run.stomach);
        prop_assert_eq!(read[0].intake.drank_ml, run.intake.drank_ml);
    }
}

/// A run of which only the length is known is still one.
#[test]
fn a_length_alone_is_a_run() {
    let (none, some) = (Vec::new(), facts("3:00", None, None));
    let run = debrief(&some, None, None, &none, None, &mut Notes::new())
        .unwrap()
        .run;
    assert!((run.hours() - 3.0).abs() < 1e-12 && run.body.sweat_l_per_h.is_none());
    let mut unknown = some;
    unknown.time = None;
    let mut notes = Notes::new();
    assert!(debrief(&unknown, None, None, &none, None, &mut notes).is_none());
    assert!(notes.has_errors());
}
