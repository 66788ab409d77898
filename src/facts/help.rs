//! The data in words: every record with its keys.

use std::fmt::Write as _;

use super::{RecordField, records};

/// The making of keys, said before the records themselves.
const INTRO: &str = "\
# Facts

What `--format json` prints. Each report has some of the keys of `Facts`; `sutler plan` has all of
them. A key that does not apply is left out.

A measured value has two keys: `climb_m` is the number in the unit at the end of its name (m, s, ml,
mg, g, kg, kcal, c for degrees Celsius, kmh, ml_per_h, g_per_h, s_per_km; shares and chances have no
unit and are parts of 1), `climb_text` is what reports print, in the units asked for. Below it is written
`climb_UNIT`. A time has three: `arrival_s` is seconds from the runner's own start, `arrival` is the
instant as in RFC 3339 where date and zone are known, `arrival_text` is what reports print.
";

/// Every record of the data: a paragraph each, a line a field.
#[must_use]
pub fn help() -> String {
    let mut out = INTRO.to_owned();
    for record in records() {
        let keys: Vec<String> = record.fields.iter().map(keys).collect();
        let widest = keys.iter().map(|key| key.len()).max().unwrap_or(0);
        let _ = writeln!(out, "\n{}: {}", record.name, record.about);
        for (keys, field) in keys.iter().zip(&record.fields) {
            let more = below(field).map_or_else(String::new, |record| format!(" See {record}."));
            let _ = writeln!(out, "  {keys:widest$}  {}{more}", field.about);
        }
    }
    out
}

/// The keys of a field on a line.
fn keys(field: &RecordField) -> String {
    match (is_flat(field), below(field)) {
        (true, Some(record)) => format!("(the keys of {record})"),
        _ => field.keys.join(", "),
    }
}

/// True where the keys of a field are those of its record.
fn is_flat(field: &RecordField) -> bool {
    field.kind.contains("Flat<")
}

/// The record that a field holds, one or a list of them.
fn below(field: &RecordField) -> Option<&'static str> {
    let inner = field.kind.rsplit('<').next().unwrap_or(field.kind);
    let inner = inner.trim_end_matches('>');
    inner.ends_with("Facts").then_some(inner)
}
