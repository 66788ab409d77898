//! How well splits agree with races in which many runners were timed at many points.
//!
//! `cargo bench --bench races -- FOLDER` predicts the passages of every finisher from the finish
//! and nothing else, on level ground, and prints how far they are off: the error in percent of the
//! finish time, positive where predicted later than true, by part of the way, by finish and by
//! edition. Then how many passages the windows hold on the condition of the finish, and how well
//! the rest is foretold of a runner with a target 7 % too fast, seen to a quarter, half and three
//! quarters of the way; and from one early passage alone, by how early it is. `--figures drift=0.2,start=0.1` tries other figures; `--left-out` fits those
//! of drift and start on the other editions before each is foretold.
//!
//! FOLDER, or each folder in it, is one edition and holds two tables:
//!
//! - `points.csv`: `name,distance_km`, a row for every timed point in order, the finish last;
//! - `passages.csv`: `runner`, then a column for every point (`P1`, `P2` ... or any name) with the
//!   seconds since the start. Cells may be empty; runners without a finish are left out.
//!
//! So that night counts, `--start 2025-08-16T06:00 --timezone Europe/Berlin --at 52.5,13.3` says
//! when and where all editions were started. `--every N` takes every N-th runner.
//!
//! Without a folder, and with `--smoke`, a race nobody ran is made up and scored: even effort,
//! which the prediction has to be off by as much as runners fade.

use std::path::PathBuf;

#[path = "races/edition.rs"]
mod edition;
#[path = "races/given_finish.rs"]
mod given_finish;
#[path = "races/held.rs"]
mod held;
#[path = "races/left_out.rs"]
mod left_out;
#[path = "races/solved.rs"]
mod solved;
#[path = "races/table.rs"]
mod table;

use sutler::arrivals::figures::Straying;

use edition::{Edition, Setting};

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let value = |name: &str| {
        let at = arguments.iter().position(|argument| argument == name)?;
        arguments.get(at + 1).cloned()
    };
    let setting = Setting {
        start: value("--start"),
        timezone: value("--timezone"),
        at_deg: value("--at").map_or((46.0, 7.0), |text| position(&text)),
        every: value("--every").map_or(1, |n| n.parse().expect("--every takes a number")),
    };
    let folder = arguments.first().filter(|a| !a.starts_with("--"));
    let editions = match folder {
        Some(folder) => edition::read(&PathBuf::from(folder), &setting),
        None => vec![Edition::made(&setting)],
    };
    given_finish::print(&editions);
    let solved = solved::all(&editions);
    if arguments.iter().any(|argument| argument == "--left-out") {
        left_out::print(&solved);
        return;
    }
    let figures = value("--figures").map_or_else(Straying::default, |text| figures(&text));
    let solved: Vec<_> = solved.iter().collect();
    held::print_held(&held::held(&solved, &figures));
    held::print_foretold(&held::foretold(&solved, &figures));
    held::print_early(&held::foretold_early(&solved, &figures));
}

/// Others than the fitted figures, by their names.
fn figures(text: &str) -> Straying {
    let mut figures = Straying::default();
    for part in text.split(',') {
        let (name, value) = part.split_once('=').expect("--figures takes name=number");
        let value: f64 = value.trim().parse().expect("--figures takes numbers");
        match name.trim() {
            "drift" => figures.drift = value,
            "drift_power" => figures.drift_power = value,
            "start" => figures.start = value,
            "start_over" => figures.start_over = value,
            "stretches" => figures.stretches = value,
            "by_speed" => figures.by_speed = value,
            "ground" => figures.ground = value,
            _ => panic!("--figures knows no {name}"),
        }
    }
    figures
}

fn position(text: &str) -> (f64, f64) {
    let parts = text.split_once(',').expect("--at takes LAT,LON");
    let degrees = |part: &str| part.trim().parse().expect("--at takes degrees");
    (degrees(parts.0), degrees(parts.1))
}
