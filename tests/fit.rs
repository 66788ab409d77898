//! Runner out of recordings: what is put in comes out, doubt keeps them usual, and what is no
//! run is named and left out.

mod command;
mod figures;
mod refused;
mod runner_file;
mod standing;

use sutler::diagnostics::Diagnostic;
use sutler::fit::{Fit, Recording};
use sutler::inputs::Track;

use crate::support::recorded::{Recorded, Runner};

/// A runner who differs from the usual in everything.
const UNUSUAL: Runner = Runner {
    fade: 1.3,
    stop_multiplier: 1.6,
};

#[track_caller]
fn recording(name: &str, track: &Track) -> Recording {
    Recording::read(name, track).unwrap_or_else(|why| panic!("{}", why.message))
}

/// The recordings of a runner's days.
fn days(runner: Runner, seeds: std::ops::Range<u64>) -> Vec<Recording> {
    seeds
        .map(|seed| {
            recording(
                &format!("day-{seed}.gpx"),
                &Recorded::day(seed, runner).track(),
            )
        })
        .collect()
}

#[track_caller]
fn fitted(recordings: Vec<Recording>) -> Fit {
    let mut left_out: Vec<Diagnostic> = Vec::new();
    let fit = Fit::of(recordings, &mut left_out).expect("there is a recording");
    assert!(left_out.is_empty(), "{left_out:?}");
    fit
}
