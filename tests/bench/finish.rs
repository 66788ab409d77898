//! How far finishes lie from what past results promise.
//!
//! `cargo bench --bench finish -- results.csv` reads one row per finish: `runner`, `day` (a number,
//! any origin), `distance_km`, `climb_m`, `time_s`, and where there is one `target`: only rows with
//! `1` there are predicted. Every finish of 42 km and more is predicted from what its runner ran in
//! the two years before over 20 km and more; effort is the distance and nine times the climb. The
//! table tells by the number of results how large the errors are, and how many finishes lie between
//! early and late. `--smoke` runs on made-up rows.

use std::collections::BTreeMap;

use sutler::ability::{Carried, ERRORS};

/// One finish.
struct Row {
    runner: String,
    day: f64,
    distance_km: f64,
    effort_km: f64,
    time_s: f64,
    is_target: bool,
}

/// One prediction.
struct Scored {
    results: usize,
    log_off: f64,
    is_before: bool,
    is_after: bool,
}

/// Shortest race that is predicted, shortest that tells anything, kilometres, and how long it
/// does, days.
const TARGET_KM: f64 = 42.0;
const RESULT_KM: f64 = 20.0;
const FRESH_DAYS: f64 = 730.0;
/// Level metres for each metre climbed.
const CLIMB_EQUIVALENT: f64 = 9.0;

fn main() {
    let file = std::env::args().skip(1).find(|a| !a.starts_with("--"));
    let rows = file.map_or_else(made_up, |path| read(&path));
    let mut runners: BTreeMap<&str, Vec<&Row>> = BTreeMap::new();
    for row in &rows {
        runners.entry(&row.runner).or_default().push(row);
    }
    let scored: Vec<Scored> = runners.values().flat_map(|own| score(own)).collect();
    println!("| results | finishes | error % | bias % | 10 % | 90 % | inside | before | after |");
    println!("|---|---:|---:|---:|---:|---:|---:|---:|---:|");
    print("all", &scored, &|_| true);
    print("1", &scored, &|one| one.results == 1);
    print("2", &scored, &|one| one.results == 2);
    print("3 or more", &scored, &|one| one.results >= 3);
}

fn read(path: &str) -> Vec<Row> {
    let mut reader = csv::Reader::from_path(path).unwrap_or_else(|e| panic!("{path}: {e}"));
    let rows = reader.deserialize::<BTreeMap<String, String>>();
    rows.map(|row| {
        let row = row.unwrap_or_else(|e| panic!("{path}: {e}"));
        let number = |key: &str| -> f64 {
            let text = row.get(key).unwrap_or_else(|| panic!("{path}: no {key}"));
            text.parse()
                .unwrap_or_else(|e| panic!("{path}: `{text}`: {e}"))
        };
        Row {
            runner: row["runner"].clone(),
            day: number("day"),
            distance_km: number("distance_km"),
            effort_km: number("distance_km") + CLIMB_EQUIVALENT * number("climb_m") / 1000.0,
            time_s: number("time_s"),
            is_target: row.get("target").is_none_or(|target| target.trim() == "1"),
        }
    })
    .collect()
}

/// Runners who do just what the law says, each a little better or worse on either day.
fn made_up() -> Vec<Row> {
    (0..40)
        .flat_map(|runner| {
            let day_off = f64::from(runner % 9 - 4) * 0.04;
            [(0.0, 50.0, 0.0), (100.0, 50.0, day_off)].map(|(day, km, off): (f64, f64, f64)| Row {
                runner: format!("{runner}"),
                day,
                distance_km: km,
                effort_km: km,
                time_s: (6.0 + 0.1 * f64::from(runner)) * 3600.0 * off.exp(),
                is_target: true,
            })
        })
        .collect()
}

fn score(own: &[&Row]) -> Vec<Scored> {
    own.iter()
        .filter(|target| target.is_target && target.distance_km >= TARGET_KM)
        .filter_map(|target| {
            let results: Vec<Carried> = own
                .iter()
                .filter(|row| row.distance_km >= RESULT_KM)
                .filter(|row| row.day < target.day && target.day - row.day <= FRESH_DAYS)
                .map(|row| {
                    let age_y = (target.day - row.day) / 365.25;
                    ERRORS.carry(row.time_s, target.effort_km / row.effort_km, age_y)
                })
                .collect();
            let spread = ERRORS.together(&results)?;
            Some(Scored {
                results: results.len(),
                log_off: (target.time_s / spread.likely_s).ln(),
                is_before: target.time_s < spread.quantile_s(0.1),
                is_after: target.time_s > spread.quantile_s(0.9),
            })
        })
        .collect()
}

fn print(name: &str, scored: &[Scored], keep: &dyn Fn(&Scored) -> bool) {
    let of: Vec<&Scored> = scored.iter().filter(|one| keep(one)).collect();
    if of.is_empty() {
        return;
    }
    let count = of.len() as f64;
    let mut logs: Vec<f64> = of.iter().map(|one| one.log_off).collect();
    logs.sort_by(f64::total_cmp);
    let at = |share: f64| logs[((logs.len() - 1) as f64 * share).round() as usize];
    let error = of
        .iter()
        .map(|one| ((-one.log_off).exp() - 1.0).abs())
        .sum::<f64>()
        / count;
    let share =
        |is: fn(&Scored) -> bool| 100.0 * of.iter().filter(|one| is(one)).count() as f64 / count;
    let (before, after) = (share(|one| one.is_before), share(|one| one.is_after));
    println!(
        "| {name} | {} | {:.1} | {:+.1} | {:+.3} | {:+.3} | {:.0} % | {before:.0} % | {after:.0} % |",
        of.len(),
        100.0 * error,
        100.0 * at(0.5),
        at(0.1),
        at(0.9),
        100.0 - before - after,
    );
}
