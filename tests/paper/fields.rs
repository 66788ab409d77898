//! Every field of the data that templates get is told of, and nothing else.

use std::collections::BTreeSet;

use serde_json::Value;
use sutler::diagnostics::SourceFile;
use sutler::paper::{CardSize, Field, PAPERS, Paper, Sheet, Wishes, fields, time_fields};
use sutler::time::Elapsed;
use sutler::units::Units;

use crate::support::case::Case;
use crate::support::hostile;
use crate::support::race::{PLANS, Planned, texts_of_plan};
use crate::support::synthetic::Synthetic;

/// The paths of a value and of all in it; lists of values are one path.
fn paths(value: &Value, path: &str, found: &mut BTreeSet<String>) {
    match value {
        Value::Object(fields) => {
            for (key, inside) in fields {
                let own = if path.is_empty() {
                    key.clone()
                } else {
                    format!("{path}.{key}")
                };
                paths(inside, &own, found);
                // a list is told of by its items
                if !inside.is_array() {
                    found.insert(own);
                }
            }
        }
        Value::Array(items) => {
            found.insert(format!("{path}[]"));
            for inside in items {
                paths(inside, &format!("{path}[]"), found);
            }
        }
        _ => {}
    }
}

/// Whether a path is told of: itself, or as part of a time.
fn is_told(path: &str, told: &[Field]) -> bool {
    let own = |path: &str| told.iter().find(|field| field.path == path);
    if own(path).is_some() {
        return true;
    }
    let Some((of, key)) = path.rsplit_once('.') else {
        return false;
    };
    own(of).is_some_and(Field::is_time) && time_fields().iter().any(|field| field.path == key)
}

/// Races with and without clocks, crews, bags and forecasts; names that turn things around.
fn races() -> Vec<Planned> {
    let mut races: Vec<Planned> = PLANS.into_iter().map(Planned::shipped).collect();
    races.push(hostile::race(30, false));
    // a crew that brings things to where it meets nobody
    let mut texts = texts_of_plan(PLANS[0]);
    let crew = "crew = ['Ana']\n[bring]\n'Eisnerkreuz' = ['towel']\n";
    texts.crew = Some(SourceFile::new("crew.toml", crew));
    races.push(Planned::of(texts, &[Elapsed::from_secs(29 * 3600)]));
    for seed in 0..5 {
        let course = Synthetic::of(seed);
        let finish = Elapsed::from_s(course.length_km * 600.0);
        races.push(Planned::of(course.texts(), &[finish]));
    }
    races
}

fn found_in(paper: &Paper, races: &[Planned]) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for race in races {
        for units in [Units::Metric, Units::Imperial] {
            for by_feel in [false, true] {
                let wishes = Wishes {
                    sheet: Sheet::Letter,
                    size: CardSize::Wrist,
                    by_feel,
                    ..Wishes::default()
                };
                paths(&(paper.data)(&race.view(units), &wishes), "", &mut found);
            }
        }
    }
    found
}

#[test]
fn every_field_is_told_of() {
    let races = races();
    for paper in PAPERS {
        let told = fields(paper.name);
        let found = found_in(&paper, &races);
        assert!(found.len() > 20, "{}: {found:?}", paper.name);
        let untold: Vec<&String> = found.iter().filter(|path| !is_told(path, &told)).collect();
        assert!(untold.is_empty(), "{}: {untold:?}", paper.name);
        for field in &told {
            let list = format!("{}[]", field.path);
            let is_there = found.contains(field.path) || found.contains(&list);
            assert!(is_there, "{}: there is no {}", paper.name, field.path);
            assert!(field.about.len() > 5, "{field:?}");
        }
        let mut once: Vec<&str> = told.iter().map(|field| field.path).collect();
        once.sort_unstable();
        once.dedup();
        assert_eq!(once.len(), told.len(), "{}: told twice", paper.name);
    }
}

#[test]
fn a_field_that_nobody_tells_of_is_found() {
    let told = fields("card");
    assert!(is_told("stations[].arrive.time", &told));
    assert!(!is_told("stations[].arrive.zone", &told));
    assert!(!is_told("stations[].rival", &told));
}

#[test]
fn the_command_tells_of_them() {
    let case = Case::new();
    for paper in PAPERS {
        let outcome = case.run(&[paper.name, "--fields"]).exits(0).quietly();
        for field in fields(paper.name) {
            assert!(outcome.out.contains(field.about), "{field:?}");
        }
        let outcome = outcome.prints("every time, below as TIME");
        assert!(outcome.out.lines().all(|line| line.chars().count() <= 120));
    }
}
