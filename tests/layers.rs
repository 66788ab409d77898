//! The order of the stages, held: each may use only what stands above it.

mod imports;

use std::fs;
use std::path::{Path, PathBuf};

/// The data flow. A stage may name those before it.
const ORDER: &[&str] = &[
    "units",
    "time",
    "words",
    "diagnostics",
    "findings",
    "inputs",
    "course",
    "conditions",
    "pacing",
    "ability",
    "arrivals",
    "schedule",
    "exposure",
    "fueling",
    "packing",
    "crew",
    "plan",
    "unknowns",
    "finish",
    "replan",
    "losses",
    "rehearsal",
    "fit",
    "debrief",
    "calendar",
    "starter",
    "facts",
    "explain",
    "reports",
    "pictures",
    "pages",
    "exports",
    "help",
];

/// Pairs that do not name each other though one stands after the other.
const STRANGERS: &[(&str, &str)] = &[
    ("time", "units"),
    ("crew", "fueling"),
    ("crew", "pacing"),
    ("fit", "plan"),
    ("fit", "schedule"),
    ("fit", "fueling"),
    ("fit", "packing"),
    ("fit", "crew"),
];

/// What only the command line and the desk may know.
const EDGE_ONLY: &[&str] = &[
    "std::fs",
    "std::env",
    "std::net",
    "std::process",
    "SystemTime::now",
    "Instant::now",
    "Utc::now",
    "Local::now",
    "clap",
    "tempfile",
    "terminal_size",
    "println!",
    "print!(",
];

/// The most lines that a source file may have.
const LONGEST: usize = 600;

#[test]
fn stages_use_only_earlier_stages() {
    let mut read = 0;
    for (module, imports) in product().edges() {
        let Some(own) = ORDER
            .iter()
            .position(|name| module.first() == Some(&(*name).to_owned()))
        else {
            continue;
        };
        read += 1;
        for (other, line) in imports {
            let (at, Some(named)) = (module.join("/"), other.first()) else {
                continue;
            };
            assert!(
                !ORDER[own + 1..].contains(&named.as_str()),
                "{at}:{line} names {named}"
            );
            assert!(
                !STRANGERS.contains(&(ORDER[own], named)),
                "{at}:{line}: {} names {named}",
                ORDER[own]
            );
        }
    }
    assert!(
        read >= ORDER.len(),
        "only {read} files of stages were found"
    );
}

#[test]
fn no_files_of_a_folder_import_each_other_in_a_circle() {
    let circles = imports::circles(&product().edges());
    assert!(circles.is_empty(), "circles of imports: {circles:?}");
}

#[test]
fn imports_are_seen_in_groups_and_through_what_is_passed_on() {
    let files = [
        (
            "one/mod.rs",
            "mod a;\nmod b;\npub use b::{B, deep::{C as D}};",
        ),
        (
            "one/a.rs",
            "use super::{\n    x::Y, B,\n};\nuse crate::{two, three::{self, Z}};",
        ),
        (
            "one/b.rs",
            "// use super::a;\nfn f() { super::a::g(\"crate::four\") }",
        ),
        ("two.rs", "fn g() -> crate::one::D { todo!() }"),
        ("three/mod.rs", ""),
    ];
    let files = files.map(|(path, text)| (Path::new(path), text));
    let edges = imports::Imports::of(files.into_iter()).edges();
    let to = |from: &[&str]| -> Vec<String> {
        let from: imports::Module = from.iter().map(|s| (*s).to_owned()).collect();
        edges[&from].keys().map(|to| to.join("/")).collect()
    };
    assert_eq!(to(&["one", "a"]), ["one/b", "three", "two"]);
    assert_eq!(to(&["one", "b"]), ["one/a"]);
    assert_eq!(to(&["two"]), ["one/b"]);
    let circles = imports::circles(&edges);
    assert_eq!(circles.len(), 1, "{circles:?}");
    assert_eq!(circles[0].len(), 3);
}

#[test]
fn the_core_knows_no_terminal_file_or_clock() {
    for (path, stage, text) in sources()
        .into_iter()
        .filter(|(_, stage, _)| !["cli", "desk", "main"].contains(&stage.as_str()))
    {
        for (line, code) in code_lines(&text) {
            for word in EDGE_ONLY {
                assert!(
                    !code.contains(word),
                    "{}:{line}: {stage} knows `{word}`",
                    path.display()
                );
            }
        }
    }
}

/// Only `inputs` knows what a file format is called, and reports, paper and exports what theirs are.
#[test]
fn formats_stay_at_the_ends() {
    for (path, stage, text) in sources() {
        if [
            "inputs", "facts", "reports", "exports", "cli", "desk", "main",
        ]
        .contains(&stage.as_str())
        {
            continue;
        }
        for (line, code) in code_lines(&text) {
            for word in [
                "gpx::",
                "csv::",
                "toml::",
                "serde::",
                "serde_json::",
                "quick_xml::",
            ] {
                assert!(
                    !names_crate(&code, word),
                    "{}:{line}: {stage} knows `{word}`",
                    path.display()
                );
            }
        }
    }
}

#[test]
fn files_stay_short() {
    for (path, _, text) in sources() {
        let lines = text.lines().count();
        assert!(lines <= LONGEST, "{} has {lines} lines", path.display());
    }
}

/// Whether a crate's path stands there, and not a module of ours whose name ends alike.
fn names_crate(code: &str, path: &str) -> bool {
    code.match_indices(path)
        .any(|(at, _)| !code[..at].ends_with(|c: char| c.is_alphanumeric() || c == '_' || c == ':'))
}

/// What the product files name, tests left out.
fn product() -> imports::Imports {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let sources: Vec<(PathBuf, String)> = sources()
        .into_iter()
        .map(|(path, _, text)| (path.strip_prefix(&root).unwrap().to_owned(), text))
        .filter(|(path, _)| {
            !path
                .iter()
                .any(|step| step == "tests" || step == "tests.rs")
        })
        .filter(|(path, _)| path != Path::new("main.rs"))
        .collect();
    imports::Imports::of(
        sources
            .iter()
            .map(|(path, text)| (path.as_path(), text.as_str())),
    )
}

/// Every source file with its stage and text.
fn sources() -> Vec<(PathBuf, String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut found = Vec::new();
    let mut folders = vec![root.clone()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let first = path.strip_prefix(&root).unwrap().iter().next().unwrap();
                let stage = first.to_str().unwrap().trim_end_matches(".rs").to_owned();
                let text = fs::read_to_string(&path).unwrap();
                found.push((path, stage, text));
            }
        }
    }
    assert!(!found.is_empty());
    found
}

/// Lines of code, numbered, without comments and without what stands only for tests.
fn code_lines(text: &str) -> Vec<(usize, String)> {
    let until = text.find("#[cfg(test)]\nmod tests {").unwrap_or(text.len());
    text[..until]
        .lines()
        .enumerate()
        .map(|(index, line)| (index + 1, line.split("//").next().unwrap_or("").to_owned()))
        .collect()
}
