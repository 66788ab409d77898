//! Text typed into a field, as its file writes it. What cannot be meant is written as it was
//! typed, so that nothing is lost and the file's own check says what is wrong with it.

use sutler::inputs::limits::Unit;

use super::edits::settings::{NONE, listed, quoted};
use super::fields::Typed;

/// The value as it is written; `None` where nothing is typed, so that the key goes.
pub(super) fn written(kind: Typed, typed: &str, was: Option<&str>, text: &str) -> Option<String> {
    let typed = typed.trim();
    let lines = || typed.lines().map(str::trim).filter(|line| !line.is_empty());
    if typed.is_empty() {
        return None;
    }
    Some(match kind {
        Typed::Number(_) => number(typed),
        Typed::Numbers(_) => {
            let split = |c: char| c.is_whitespace() || c == ';' || c == '/';
            let numbers = typed.split(split).flat_map(|part| part.split(", "));
            let numbers = numbers
                .map(|one| one.trim_matches(','))
                .filter(|one| !one.is_empty());
            listed(&numbers.map(number).collect::<Vec<_>>(), text)
        }
        Typed::Flag => match typed {
            "true" | "false" => typed.to_owned(),
            other => quoted(other),
        },
        Typed::Lines if typed == NONE => listed(&[], text),
        Typed::Lines | Typed::Times | Typed::Choices(_) => {
            listed(&lines().map(quoted).collect::<Vec<_>>(), text)
        }
        Typed::Date | Typed::When if is_bare(was) && looks_like_a_date(typed) => typed.to_owned(),
        Typed::Text | Typed::Choice(_) | Typed::Time | Typed::When | Typed::Date | Typed::Zone => {
            quoted(typed)
        }
    })
}

/// True where a value stands there without quotes.
fn is_bare(was: Option<&str>) -> bool {
    was.is_some_and(|was| !was.starts_with(['"', '\'']))
}

fn looks_like_a_date(typed: &str) -> bool {
    matches!(typed.parse(), Ok(toml_edit::Value::Datetime(_)))
}

/// A number as it was typed, so that `1.50` stays; a decimal comma is a point, and what TOML does
/// not take, such as `.5` or `07`, is written in its way.
fn number(typed: &str) -> String {
    let plain = typed.replace(',', ".");
    let digits = |c: char| c.is_ascii_digit() || matches!(c, '.' | '-');
    match plain.parse::<f64>() {
        Ok(_) if !plain.chars().all(digits) => quoted(typed),
        Ok(_) if plain.parse::<toml_edit::Value>().is_ok() => plain,
        Ok(number) => number.to_string(),
        Err(_) => quoted(typed),
    }
}

/// A number in another unit, as exactly as it was typed.
pub(super) fn converted(from: Unit, to: Unit, typed: &str) -> Option<String> {
    let plain = typed.trim().replace(',', ".");
    let number: f64 = plain.parse().ok()?;
    let decimals = |text: &str| {
        text.split_once('.')
            .map_or(0, |(_, part)| part.len() as i32)
    };
    let step = |unit: Unit| unit.to_record(1.0) - unit.to_record(0.0);
    let known_to = step(from) * 10_f64.powi(-decimals(&plain));
    let places = (step(to) / known_to).log10().ceil().clamp(0.0, 4.0) as usize;
    let text = format!("{:.places$}", to.from_record(from.to_record(number)));
    let short = text.trim_end_matches('0').trim_end_matches('.');
    Some(if text.contains('.') { short } else { &text }.to_owned())
}
