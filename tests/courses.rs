//! The shipped courses and files: invented, plausible, and exactly what the generator makes.

mod claims;
mod files;

use std::path::{Path, PathBuf};

use crate::support::course_maker;

/// A path below the crate's root.
fn path(below: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(below)
}

#[track_caller]
fn text(below: &str) -> String {
    std::fs::read_to_string(path(below)).unwrap_or_else(|e| panic!("{below}: {e}"))
}

/// Rewrites the files instead where `SUTLER_ACCEPT` is set.
#[test]
fn committed_files_are_what_the_generator_makes() {
    let accept = std::env::var_os("SUTLER_ACCEPT").is_some();
    let courses = course_maker::NAMES.iter().chain(&course_maker::LOCAL);
    let folders = courses.map(|name| course_maker::make(name));
    for folder in folders.chain([course_maker::long_runs::folder()]) {
        for (file, made) in folder.files {
            let file = path(folder.path).join(file);
            if accept {
                std::fs::create_dir_all(path(folder.path)).unwrap();
                std::fs::write(&file, &made).unwrap();
            }
            // not assert_eq, which would print two tracks of ten thousand points
            let kept = std::fs::read_to_string(&file).unwrap_or_default();
            let stale = "is not what the generator makes; SUTLER_ACCEPT=1 rewrites it";
            assert!(kept == made, "{} {stale}", file.display());
        }
    }
}

#[test]
fn one_seed_more_is_another_course() {
    let spec = course_maker::spec("starter");
    let other = course_maker::Spec {
        seed: spec.seed + 1,
        ..course_maker::spec("starter")
    };
    let (a, b) = (
        course_maker::Line::lay(&spec),
        course_maker::Line::lay(&other),
    );
    assert!(1.0 < (a.at(5000.0).height_m - b.at(5000.0).height_m).abs());
    // what the description fixes stays
    assert_eq!(a.run_m().round(), b.run_m().round());
    assert_eq!(a.at(0.0).height_m, b.at(0.0).height_m);
}
