//! The season in `demo-data/long-runs/`: its record is what debriefing its runs gives.

use crate::support::case::{Case, Outcome, in_repository};
use crate::support::course_maker::long_runs;
use crate::support::demo;

/// Every run but the last, in order, with what was typed beside its log.
const DEBRIEFED: [(&str, &str); 7] = [
    (
        "2026-06-20-hills",
        "--name=First time over all three tops|--mass-before=64.4|--mass-after=63.2|--temp=21",
    ),
    (
        "2026-07-04-river",
        "--name=Down the Lenn in the heat|--temp=27",
    ),
    (
        "2026-08-01-hills",
        "--name=Matej at the second top|--temp=19",
    ),
    (
        "2026-08-22-hills-river",
        "--name=Hills, then the river|--temp=17",
    ),
    ("2026-08-23-river", "--name=The day after|--temp=18"),
    ("2026-09-05-night", "--name=Into the night|--temp=12"),
    (
        "2026-09-26-hills",
        "--name=Rain on the Brunnberg|--mass-before=64.2|--mass-after=63.1|--temp=9|--rain-mm-per-h=1.5",
    ),
];
const FOLDER: &str = "demo-data/long-runs";
const RECORD: &str = "demo-data/long-runs/record.toml";

fn debriefed(case: &Case, stem: &str, typed: &str) -> Outcome {
    let recording = format!("{FOLDER}/{stem}.gpx");
    let log = format!("{FOLDER}/{stem}.csv");
    let files = ["debrief", &recording, "--log", &log];
    let plan = ["--plan", "demo-data/plan.toml", "--write", "--keep-runner"];
    let typed: Vec<&str> = typed.split('|').collect();
    case.run(&[&files[..], &plan, &typed].concat()).exits(0)
}

/// Rewrites the record instead where `SUTLER_ACCEPT` is set.
#[test]
fn the_record_is_what_debriefing_gives() {
    let case = Case::new().copied("demo-data").copied("courses");
    std::fs::remove_file(case.path(RECORD)).unwrap();
    for (stem, typed) in DEBRIEFED {
        debriefed(&case, stem, typed);
    }
    let made = case.text(RECORD);
    if std::env::var_os("SUTLER_ACCEPT").is_some() {
        std::fs::write(in_repository(RECORD), &made).unwrap();
    }
    assert_eq!(case.copied(RECORD).text(RECORD), made);
}

/// What she wrote into runner.toml before is what these runs say.
#[test]
fn the_season_agrees_with_the_runner_file() {
    let inputs = demo::hundred_miles();
    for measured in &inputs.runner.sweat {
        let run = inputs
            .record
            .iter()
            .find(|run| Some(run.date) == measured.date);
        let run = run.unwrap_or_else(|| panic!("no run of {:?}", measured.date));
        let rate = run.body.sweat_l_per_h.unwrap();
        assert!(
            (rate - measured.rate_l_per_h.value).abs() < 0.005,
            "{run:?}"
        );
        assert_eq!(run.sky.temp_c, Some(measured.temp_c));
        assert_eq!(run.body.energy_kcal_per_h, measured.energy_kcal_per_h);
    }
}

/// A point every half minute blurs either end of a stop by as much.
#[test]
fn every_stop_that_was_made_is_found() {
    let record = demo::hundred_miles().record;
    for (run, (file, stops)) in record.iter().zip(long_runs::stops()) {
        assert_eq!(run.recording.as_deref(), Some(file));
        assert_eq!(run.stops, Some(stops.len() as u32), "{file}");
        let stood_min: f64 = stops.iter().map(|(_, minutes)| minutes).sum();
        let off_min = (run.stopped_s / 60.0 - stood_min).abs();
        assert!(
            off_min <= stops.len() as f64,
            "{file}: off by {off_min} min"
        );
    }
}
