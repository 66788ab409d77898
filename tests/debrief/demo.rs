//! The season in `demo-data/long-runs/`: its record is what debriefing its runs gives.

use crate::support::case::{Case, Outcome, in_repository};

/// Every run but the last, in order, with what was not written into its log.
const DEBRIEFED: [(&str, &[&str]); 7] = [
    (
        "2026-06-20-hills",
        &["--mass-before=64.4", "--mass-after=63.2", "--temp=21"],
    ),
    ("2026-07-04-river", &["--temp=27"]),
    ("2026-08-01-hills", &["--temp=19"]),
    ("2026-08-22-hills-river", &["--temp=17"]),
    ("2026-08-23-river", &["--temp=18"]),
    ("2026-09-05-night", &["--temp=12"]),
    (
        "2026-09-26-hills",
        &[
            "--mass-before=64.2",
            "--mass-after=63.1",
            "--temp=9",
            "--rain-mm-per-h=1.5",
        ],
    ),
];
const FOLDER: &str = "demo-data/long-runs";
const RECORD: &str = "demo-data/long-runs/record.toml";

fn debriefed(case: &Case, stem: &str, measured: &[&str]) -> Outcome {
    let recording = format!("{FOLDER}/{stem}.gpx");
    let log = format!("{FOLDER}/{stem}.csv");
    let files = ["debrief", &recording, "--log", &log];
    let plan = ["--plan", "demo-data/plan.toml"];
    case.run(&[&files[..], &plan, measured].concat()).exits(0)
}

/// Rewrites the record instead where `SUTLER_ACCEPT` is set.
#[test]
fn the_record_is_what_debriefing_gives() {
    let case = Case::new().copied("demo-data").copied("courses");
    std::fs::remove_file(case.path(RECORD)).unwrap();
    for (stem, measured) in DEBRIEFED {
        debriefed(&case, stem, measured);
    }
    let made = case.text(RECORD);
    if std::env::var_os("SUTLER_ACCEPT").is_some() {
        std::fs::write(in_repository(RECORD), &made).unwrap();
    }
    assert_eq!(case.copied(RECORD).text(RECORD), made);
}
