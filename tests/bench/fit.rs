//! How fitting 25 recordings compares with reading their files, and what the fit makes of them.
//!
//! `cargo bench --bench fit`; with `-- --smoke`, one round of few; with `-- FOLDER`, on the
//! recordings in it instead of made ones.
#![allow(
    missing_docs,
    dead_code,
    clippy::unwrap_used,
    clippy::missing_panics_doc,
    unreachable_pub
)]

#[path = "../support/mod.rs"]
mod support;

use std::path::Path;
use std::time::Instant;

use rayon::prelude::*;
use sutler::diagnostics::{Notes, Sources};
use sutler::fit::{Fit, Recording, Summary};
use sutler::inputs::{Track, route_gpx};

use support::recorded::{Recorded, Runner};

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let smoke = arguments.iter().any(|a| a == "--smoke");
    let folder = arguments.iter().find(|a| !a.starts_with("--"));
    let files = match folder {
        Some(folder) => in_folder(Path::new(folder)),
        None => made(if smoke { 3 } else { 25 }),
    };
    let rounds = if smoke { 1 } else { 10 };
    // interleaved, so that a busy machine slows all alike
    let (mut reading_s, mut building_s, mut fitting_s) = (Vec::new(), Vec::new(), Vec::new());
    let mut last = None;
    for _ in 0..rounds {
        let mut tracks: Vec<Track> = Vec::new();
        reading_s.push(timed(|| tracks = files.par_iter().map(read).collect()));
        let mut recordings: Vec<Recording> = Vec::new();
        building_s.push(timed(|| {
            recordings = (tracks.par_iter().zip(&files))
                .filter_map(|(track, (name, _))| Recording::read(name, track).ok())
                .collect();
        }));
        fitting_s.push(timed(|| last = Fit::of(recordings, &mut Vec::new())));
    }
    let [reading_s, building_s, fitting_s] = [reading_s, building_s, fitting_s].map(median);
    let fit = last.expect("there is a recording that can be used");
    println!("{} of {} recordings used", fit.runs.len(), files.len());
    println!("reading the files     {:8.1} ms", reading_s * 1e3);
    println!("stops and courses     {:8.1} ms", building_s * 1e3);
    println!("fit, each left out    {:8.1} ms", fitting_s * 1e3);
    println!(
        "ratio to reading      {:8.2}",
        (building_s + fitting_s) / reading_s
    );
    let (before, after) = (fit.own.default_error, fit.own.own_error);
    show("default", before);
    if let Some(after) = after {
        show("fitted", after);
    }
    println!("{:?}: {:?}", fit.own.verdict, fit.own.fade);
}

fn show(name: &str, errors: Summary) {
    println!(
        "{name:8} splits off by {:.2} % on average, half {:.2}, nine in ten {:.2}",
        errors.mean_pct, errors.median_pct, errors.p90_pct
    );
}

/// The days of a runner who differs from the usual.
fn made(count: u64) -> Vec<(String, Vec<u8>)> {
    let runner = Runner {
        fade: 1.1,
        stop_multiplier: 0.6,
    };
    (0..count)
        .map(|seed| {
            let text = Recorded::day(seed, runner).gpx();
            (format!("day-{seed}.gpx"), text.into_bytes())
        })
        .collect()
}

fn in_folder(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let mut paths: Vec<_> = std::fs::read_dir(folder)
        .unwrap_or_else(|e| panic!("{}: {e}", folder.display()))
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "gpx"))
        .collect();
    paths.sort();
    paths
        .into_iter()
        .map(|path| (path.display().to_string(), std::fs::read(&path).unwrap()))
        .collect()
}

fn read((name, bytes): &(String, Vec<u8>)) -> Track {
    let file = route_gpx::decode(name, bytes.clone()).expect("it is text");
    let id = Sources::default().add(file.clone());
    route_gpx::read(&file, id, &mut Notes::new())
}

fn timed(work: impl FnOnce()) -> f64 {
    let start = Instant::now();
    work();
    start.elapsed().as_secs_f64()
}

fn median(mut seconds: Vec<f64>) -> f64 {
    seconds.sort_by(f64::total_cmp);
    seconds[seconds.len() / 2]
}
