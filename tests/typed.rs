//! What users are told about mistakes in what they typed. Each file of `tests/typed` begins with a
//! command and holds every word that is said to it. `SUTLER_ACCEPT=1` rewrites those; read them
//! before you keep them.

use std::fs;
use std::path::PathBuf;

use crate::support::case::{Case, in_repository};

fn cases() -> Vec<PathBuf> {
    let folder = fs::read_dir(in_repository("tests/typed")).unwrap();
    let mut files: Vec<PathBuf> = folder.map(|entry| entry.unwrap().path()).collect();
    files.sort();
    files
}

/// The demo, and a plan of a course without a start.
fn folder() -> Case {
    Case::new()
        .copied("demo-data")
        .copied("courses/velprek-50k")
        .file(
            "bare.toml",
            "course = \"courses/bare\"\nfinish = \"7:30:00\"\n",
        )
        .file("courses/bare/course.toml", "name = \"Bare\"\n")
        .file(
            "courses/bare/route.gpx",
            fs::read(in_repository("courses/velprek-50k/route.gpx")).unwrap(),
        )
}

#[test]
fn every_mistake_typed_is_explained() {
    let accept = std::env::var_os("SUTLER_ACCEPT").is_some();
    let (case, files) = (folder(), cases());
    assert!(files.len() >= 30, "only {} cases", files.len());
    let mut wrong = Vec::new();
    for file in files {
        let text = fs::read_to_string(&file).unwrap();
        let (command, expected) = text.split_once('\n').unwrap();
        let typed = command.strip_prefix("$ sutler ").unwrap();
        let args: Vec<&str> = typed.split_whitespace().collect();
        let said = case.run(&args).exits(2).prints_nothing().err;
        assert!(!said.is_empty(), "{command}: nothing is said");
        if accept {
            fs::write(&file, format!("{command}\n{said}")).unwrap();
        } else if said != expected {
            wrong.push(format!("{command}\n{said}"));
        }
    }
    assert!(wrong.is_empty(), "not as expected:\n{}", wrong.join("\n"));
}
