//! What users are told about files that are wrong: each folder of `tests/problems` holds one
//! mistake and, in `expected.txt`, every word that is said about it.

use std::fs;
use std::path::{Path, PathBuf};

use sutler::diagnostics::{Notes, SourceFile, Sources, render};
use sutler::inputs::{self, Inputs, Texts};

fn corpus() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/problems")
}

fn texts(folder: &Path) -> Texts {
    let text = |name: &str| {
        let text = fs::read_to_string(folder.join(name)).ok()?;
        Some(SourceFile::new(name, text))
    };
    Texts {
        plan: text("plan.toml"),
        course: text("course.toml"),
        route: text("route.gpx"),
        stations: text("stations.csv"),
        surfaces: text("surfaces.csv"),
        runner: text("runner.toml"),
        pantry: text("pantry.csv"),
        gear: text("gear.csv"),
        weather: text("weather.csv"),
        crew: text("crew.toml"),
    }
}

fn read(texts: Texts) -> (Inputs, Sources, Notes) {
    let (mut sources, mut notes) = (Sources::default(), Notes::new());
    let inputs = inputs::read(texts, &mut sources, &mut notes);
    (inputs, sources, notes)
}

#[test]
fn every_mistake_is_explained() {
    let accept = std::env::var_os("SUTLER_ACCEPT").is_some();
    let mut folders: Vec<PathBuf> = fs::read_dir(corpus())
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.is_dir())
        .collect();
    folders.sort();
    let mut wrong = Vec::new();
    for folder in &folders {
        let (_, sources, notes) = read(texts(folder));
        let said = render(&sources, notes.all(), false);
        let expected = folder.join("expected.txt");
        if accept {
            fs::write(&expected, &said).unwrap();
        }
        let wanted = fs::read_to_string(&expected).unwrap_or_default();
        if said != wanted {
            wrong.push(format!("{}\n{said}", folder.display()));
        }
    }
    assert!(wrong.is_empty(), "not as expected:\n{}", wrong.join("\n"));
}
