//! The data of every plan, held against what `sutler help facts` says of them.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;
use sutler::facts::{RecordField, help, records};
use sutler::units::Units;

use crate::support::race::{PLANS, Planned};

/// Units that stand at the end of keys; a share has none.
const UNITS: [&str; 14] = [
    "g_per_h", "m", "s", "ml", "mg", "g", "kg", "kcal", "c", "kmh", "ml_per_h", "s_per_km", "h", "",
];

/// Whether a key is one of a field's, its unit read as any of those there are.
fn is_key(field: &RecordField, key: &str) -> bool {
    field
        .keys
        .iter()
        .any(|known| match known.strip_suffix("_UNIT") {
            Some(name) => UNITS.iter().any(|unit| match *unit {
                "" => key == name,
                unit => key == format!("{name}_{unit}"),
            }),
            None => key == known,
        })
}

/// Fields by their record.
type Described = BTreeMap<&'static str, Vec<RecordField>>;

/// The fields that may stand in a record, those of records flattened into it among them.
fn fields<'a>(described: &'a Described, record: &str) -> Vec<&'a RecordField> {
    let own = &described[record];
    let of = |field: &'a RecordField| match field.kind.split_once("Flat<") {
        Some((_, inner)) => fields(described, inner.trim_end_matches('>')),
        None => vec![field],
    };
    own.iter().flat_map(of).collect()
}

/// Checks every key of a record and of the records below it, and notes those seen.
fn check(described: &Described, record: &str, value: &Value, seen: &mut BTreeSet<String>) {
    let known = fields(described, record);
    let Some(object) = value.as_object() else {
        panic!("{record} is {value}")
    };
    for (key, value) in object {
        let field = known.iter().find(|field| is_key(field, key));
        let field = field.unwrap_or_else(|| panic!("{record}: `{key}` is not described"));
        seen.insert(format!("{record} {key}"));
        let inner = field.kind.rsplit('<').next().unwrap().trim_end_matches('>');
        if !described.contains_key(inner) {
            continue;
        }
        match value {
            Value::Array(list) => list
                .iter()
                .for_each(|one| check(described, inner, one, seen)),
            one => check(described, inner, one, seen),
        }
    }
}

#[test]
fn every_key_of_the_data_is_described() {
    let described: Described = records()
        .into_iter()
        .map(|record| (record.name, record.fields))
        .collect();
    let mut seen = BTreeSet::new();
    for plan in PLANS {
        let planned = Planned::shipped(plan);
        for units in [Units::Metric, Units::Imperial] {
            let value = planned.facts(units).to_json("");
            check(&described, "Facts", &value, &mut seen);
        }
    }
    assert!(seen.len() > 250, "only {} keys", seen.len());
}

#[test]
fn help_names_every_record_and_key_once() {
    let text = help();
    for record in records() {
        let name = record.name;
        let head = format!("\n{name}: {}", record.about);
        assert_eq!(text.matches(&head).count(), 1, "{head}");
        let (_, below) = text.split_once(&head).unwrap();
        let paragraph = below.split("\n\n").next().unwrap();
        for field in record.fields {
            assert!(paragraph.contains(&field.about), "{name}: {}", field.about);
            let first = &field.keys[0];
            assert!(
                field.kind.contains("Flat<") || paragraph.contains(first.as_str()),
                "{name}: {first}"
            );
        }
    }
    for line in text.lines() {
        assert_eq!(line, line.trim_end());
    }
}
