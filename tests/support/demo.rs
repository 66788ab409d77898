//! The shipped courses and runner's files as inputs.

use std::path::Path;

use sutler::diagnostics::{Notes, SourceFile, Sources, render};
use sutler::inputs::{self, Inputs, Texts, route_gpx};

/// The course folder's texts, with a plan of its own and the plain list of gear.
#[track_caller]
pub fn course(name: &str, plan: &str) -> Inputs {
    let file = |file: &str| read(&format!("courses/{name}/{file}"));
    inputs(Texts {
        plan: Some(SourceFile::new("plan.toml", plan)),
        course: file("course.toml"),
        route: file("route.gpx"),
        stations: file("stations.csv"),
        surfaces: file("surfaces.csv"),
        gear: read("demo-data/gear-basic.csv"),
        ..Texts::default()
    })
}

/// The 100-mile demo with all of its files.
#[track_caller]
pub fn hundred_miles() -> Inputs {
    let course = |file: &str| read(&format!("courses/wolkenried-100mi/{file}"));
    let runner = |file: &str| read(&format!("demo-data/{file}"));
    inputs(Texts {
        plan: runner("plan.toml"),
        course: course("course.toml"),
        route: course("route.gpx"),
        stations: course("stations.csv"),
        surfaces: course("surfaces.csv"),
        results: course("results.csv"),
        runner: runner("runner.toml"),
        pantry: runner("pantry.csv"),
        gear: runner("gear.csv"),
        weather: runner("weather.csv"),
        crew: runner("crew.toml"),
        record: runner("long-runs/record.toml"),
        log: None,
    })
}

#[track_caller]
fn inputs(texts: Texts) -> Inputs {
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let inputs = inputs::read(texts, &mut sources, &mut notes);
    assert!(
        !notes.has_errors(),
        "{}",
        render(&sources, notes.all(), false)
    );
    inputs
}

fn read(path: &str) -> Option<SourceFile> {
    let full = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    let bytes = std::fs::read(full).ok()?;
    Some(route_gpx::decode(path, bytes).unwrap_or_else(|e| panic!("{path}: {e:?}")))
}
