//! A long run debriefed: against cases worked by hand, against runs of known sweat, and as typed.

#[path = "debrief/command.rs"]
mod command;
#[path = "debrief/demo.rs"]
mod demo;
#[path = "debrief/season.rs"]
mod season;

use chrono::NaiveDate;
use sutler::debrief::{Debrief, NoSweat, RunFacts, debrief};
use sutler::diagnostics::{Notes, SourceFile, Sources};
use sutler::inputs::record_toml::{BodyRecord, RunSky};
use sutler::inputs::{self, Inputs, Texts};
use sutler::time::Elapsed;

fn day(month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, month, day).unwrap()
}

/// A run without a recording.
fn facts(hours: &str, before_kg: Option<f64>, after_kg: Option<f64>) -> RunFacts {
    RunFacts {
        date: day(8, 30),
        name: "Ridge".to_owned(),
        recording: None,
        fingerprint: "0".to_owned(),
        time: Some(Elapsed::parse(hours).unwrap()),
        start: chrono::NaiveTime::from_hms_opt(23, 0, 0),
        body: BodyRecord {
            before_kg,
            after_kg,
            ..BodyRecord::default()
        },
        sky: RunSky::default(),
    }
}

fn read(log: &str, pantry: &str) -> (Inputs, Notes) {
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let texts = Texts {
        log: Some(SourceFile::new("intake.csv", log)),
        pantry: Some(SourceFile::new("pantry.csv", pantry)),
        ..Texts::default()
    };
    let inputs = inputs::read(texts, &mut sources, &mut notes);
    assert!(!notes.has_errors(), "{:?}", notes.all());
    (inputs, notes)
}

const PANTRY: &str = "name,kind,mass_g,water_ml,carbs_g,sodium_mg,caffeine_mg\n\
    mix,drink,30,500,28,200,\ngel,gel,40,12,25,50,25\ncola,station,250,225,26,10,22\n";

fn debriefed(facts: &RunFacts, log: &str) -> (Debrief, Notes) {
    let (inputs, _) = read(log, PANTRY);
    let mut notes = Notes::new();
    let debrief = debrief(
        facts,
        None,
        Some(&inputs.log),
        &inputs.pantry,
        None,
        &mut notes,
    );
    (debrief.unwrap(), notes)
}

/// McDermott and others 2017 (J. Athl. Train. 52:877) work sweat out as mass lost and fluid drunk,
/// less urine, over the hours. Here by hand: 1.3 kg + 0.8 L - 0.2 L is 1.9 L in 2 h.
#[test]
fn sweat_is_mass_lost_and_fluid_drunk_less_urine() {
    let log = "kind,what,water_ml,urine_ml\ndrink,water,800,\nurine,,,200\n";
    let (debrief, _) = debriefed(&facts("2:00", Some(70.2), Some(68.9)), log);
    let sweat = debrief.sweat.unwrap();
    assert!((sweat.l_per_h - 0.95).abs() < 1e-9, "{sweat:?}");
    // by hand: steps 0.1²/6, flasks (0.08/√3)², urine (0.02/√3)², over 2 h; time 0.95/60
    let litres = (0.01_f64 / 6.0 + 0.0064 / 3.0 + 0.0004 / 3.0).sqrt();
    let expected = (litres / 2.0).hypot(0.95 / 60.0);
    assert!(
        (sweat.uncertainty_l_per_h - expected).abs() < 1e-9,
        "{sweat:?}"
    );
    assert_eq!(debrief.run.body.urine_ml, Some(200.0));
}

/// By hand: 250 ml of mix is half a serving; a cup of cola that was drunk has 25 g that is no water.
#[test]
fn what_went_in_adds_up() {
    let log = "elapsed,kind,what,servings,water_ml,carbs_g,sodium_mg,note\n\
        0:10,drink,mix,,250,,,\n0:50,food,Gel,2,,,,tastes of tin\n1:20,drink,cola,1,,,,\n\
        1:59,refused,gel,1,,,,\n2:10,food,soup,,200,3,850,\n";
    let (debrief, notes) = debriefed(&facts("2:30", None, None), log);
    assert!(notes.is_empty(), "{:?}", notes.all());
    let intake = debrief.run.intake;
    assert_eq!(intake.drank_ml, Some(250.0 + 225.0));
    assert_eq!(intake.food_water_ml, Some(2.0 * 12.0 + 200.0));
    assert_eq!(intake.carbs_g, Some(14.0 + 50.0 + 26.0 + 3.0));
    assert_eq!(intake.sodium_mg, Some(100.0 + 100.0 + 10.0 + 850.0));
    assert_eq!(intake.caffeine_mg, Some(50.0 + 22.0));
    assert_eq!(intake.eaten_g, Some(15.0 + 80.0 + 25.0));
    let by_hour: Vec<Option<f64>> = debrief.hours.iter().map(|h| h.intake.carbs_g).collect();
    assert_eq!(by_hour, [Some(64.0), Some(26.0), Some(3.0)]);
    assert!((debrief.hours[2].length_h - 0.5).abs() < 1e-12);
    let eaten: Vec<(&str, f64, bool)> = (debrief.run.foods.iter())
        .map(|f| (f.name.value.as_str(), f.servings, f.refused))
        .collect();
    let expected = [
        ("mix", 0.5, false),
        ("gel", 2.0, false),
        ("cola", 1.0, false),
        ("gel", 1.0, true),
    ];
    assert_eq!(eaten, expected);
    assert_eq!(debrief.sweat, Err(NoSweat::NoScale));
}

/// The run started at 23:00, so half past midnight is an hour and a half later.
#[test]
fn clock_times_count_from_the_start_over_midnight() {
    let log = "clock,kind,what,water_ml,stomach\n23:10,drink,water,100,\n00:30,stomach,,,6\n\
        00:40,stomach,,,8\n";
    let (debrief, _) = debriefed(&facts("2:00", None, None), log);
    let at: Vec<i64> = debrief
        .remarks
        .iter()
        .map(|(at, _)| at.unwrap().as_secs())
        .collect();
    assert_eq!(at, [5400, 6000]);
    assert_eq!(debrief.run.stomach, Some(6.0));
}

#[test]
fn an_unknown_food_is_said_and_water_is_not() {
    let log = "kind,what,servings,water_ml\nfood,pie,1,\ndrink,Water,,300\n";
    let (debrief, notes) = debriefed(&facts("2:00", None, None), log);
    assert_eq!(notes.all().len(), 1);
    assert!(
        notes.all()[0]
            .message
            .contains("`pie` is not in the pantry")
    );
    assert_eq!(debrief.run.intake.carbs_g, Some(0.0));
}

#[test]
fn without_a_log_the_scale_says_nothing() {
    let facts = facts("2:00", Some(70.0), Some(69.0));
    let debrief = debrief(&facts, None, None, &[], None, &mut Notes::new()).unwrap();
    assert_eq!(debrief.sweat, Err(NoSweat::NoLog));
    assert_eq!(debrief.run.intake.drank_ml, None);
}

/// What a rehearsal's sheet has written at the top of a log is read.
#[test]
fn the_head_of_the_sheet_is_the_head_of_a_log() {
    use sutler::inputs::intake_csv;
    let rows = "0:30,drink,water,,250,,,,\n1:00,urine,,,,200,,,\n2:00,stomach,,,,,8,,\n\
        2:10,gear,lamp,,,,,dark,too dim\n";
    let (inputs, notes) = read(&format!("{}\n{rows}", intake_csv::HEAD), PANTRY);
    assert!(notes.is_empty(), "{:?}", notes.all());
    assert_eq!(inputs.log.len(), rows.lines().count());
}
