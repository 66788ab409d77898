//! Every key that shipped files use can be typed on the page.

use super::super::edits::settings::KeyStep;
use super::super::role::Role;
use super::{kind_of, list_of};

/// Keys for an editor: names of files, and figures that other commands write.
const LEFT: &[(Role, &str)] = &[
    (Role::Plan, "course"),
    (Role::Plan, "files"),
    (Role::Plan, "pacing"),
    (Role::Runner, "pacing"),
];

const SHIPPED: &[(Role, &str)] = &[
    (Role::Plan, include_str!("../../../demo-data/plan.toml")),
    (
        Role::Plan,
        include_str!("../../../demo-data/plan-100k.toml"),
    ),
    (Role::Plan, include_str!("../../../demo-data/plan-50k.toml")),
    (Role::Plan, include_str!("../../starter/files/plan.toml")),
    (Role::Runner, include_str!("../../../demo-data/runner.toml")),
    (
        Role::Runner,
        include_str!("../../starter/files/runner.toml"),
    ),
    (Role::Crew, include_str!("../../../demo-data/crew.toml")),
    (Role::Crew, include_str!("../../starter/files/crew.toml")),
    (
        Role::Course,
        include_str!("../../starter/files/course/course.toml"),
    ),
];

/// A file with every key that it explains in a comment.
fn uncommented(text: &str) -> String {
    let key = |inside: &str| {
        let name = inside.split(" = ").next().unwrap_or_default();
        let plain = |c: char| c.is_ascii_lowercase() || c == '_';
        inside.contains(" = ") && name.chars().all(plain) || inside.starts_with('[')
    };
    let line = |line: &str| match line.strip_prefix("# ").filter(|inside| key(inside)) {
        Some(inside) => format!("{inside}\n"),
        None => format!("{line}\n"),
    };
    text.lines().map(line).collect()
}

/// Every key of a table with its path; lists of tables go by their first.
fn leaves(table: &toml::Table, above: &[KeyStep], found: &mut Vec<Vec<KeyStep>>) {
    for (key, value) in table {
        let path: Vec<KeyStep> = above
            .iter()
            .cloned()
            .chain([KeyStep::Key(key.clone())])
            .collect();
        match value {
            toml::Value::Table(inner) => leaves(inner, &path, found),
            toml::Value::Array(list) if list.iter().any(toml::Value::is_table) => {
                let first = list.first().and_then(toml::Value::as_table);
                let at: Vec<KeyStep> = path.iter().cloned().chain([KeyStep::At(0)]).collect();
                first
                    .into_iter()
                    .for_each(|inner| leaves(inner, &at, found));
            }
            _ => found.push(path),
        }
    }
}

#[test]
fn every_key_of_shipped_files_is_asked_for() {
    let mut missing = Vec::new();
    for (role, text) in SHIPPED {
        // where comments say one key twice, what holds is looked at alone
        let all = uncommented(text).parse::<toml::Table>();
        let table = all.unwrap_or_else(|_| text.parse().expect("shipped files are TOML"));
        let mut found = Vec::new();
        leaves(&table, &[], &mut found);
        assert!(!found.is_empty());
        for path in found {
            let Some(KeyStep::Key(first)) = path.first() else {
                panic!("a path begins with a key");
            };
            let is_left = LEFT.contains(&(*role, first.as_str()));
            if !is_left && kind_of(*role, &path).is_none() {
                missing.push((role, path));
            }
        }
    }
    assert!(missing.is_empty(), "{missing:?}");
}

#[test]
fn lists_are_found_and_names_of_files_are_not() {
    let list = |path: &[&str]| {
        let path: Vec<String> = path.iter().map(|key| (*key).to_owned()).collect();
        list_of(Role::Crew, &path).is_some()
    };
    assert!(list(&["drive"]) && !list(&["bring"]));
    let course = [KeyStep::Key("course".to_owned())];
    assert!(kind_of(Role::Plan, &course).is_none());
}
