//! Single cells as numbers, answers and kinds.

use crate::inputs::stations_csv::StationKind;

/// A unit that stands beside a distance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum DistanceUnit {
    Kilometres,
    Miles,
    Metres,
}

impl DistanceUnit {
    pub(super) const ALL: [DistanceUnit; 3] = [
        DistanceUnit::Kilometres,
        DistanceUnit::Miles,
        DistanceUnit::Metres,
    ];

    pub(super) fn metres(self) -> f64 {
        match self {
            DistanceUnit::Kilometres => 1000.0,
            DistanceUnit::Miles => crate::units::M_PER_MILE,
            DistanceUnit::Metres => 1.0,
        }
    }

    /// The unit that a word names.
    pub(super) fn named(word: &str) -> Option<DistanceUnit> {
        match word {
            "km" | "kms" | "k" | "kilometre" | "kilometres" | "kilometer" | "kilometers"
            | "kilometro" | "kilometros" | "kilomètre" | "kilomètres" => {
                Some(DistanceUnit::Kilometres)
            }
            "mi" | "mile" | "miles" | "mls" => Some(DistanceUnit::Miles),
            "m" | "metre" | "metres" | "meter" | "meters" => Some(DistanceUnit::Metres),
            _ => None,
        }
    }
}

/// A number with the unit beside it, if any: `12.5`, `12,5 km`, `mile 7.8`, `1,250 m`.
pub(super) fn number(text: &str) -> Option<(f64, Option<DistanceUnit>)> {
    let lower = text.to_lowercase();
    let is_figure = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '\'' | '’');
    let start = lower.find(|c: char| c.is_ascii_digit())?;
    let figures: String = lower[start..]
        .chars()
        .take_while(|c| is_figure(*c))
        .collect();
    let outside = [&lower[..start], &lower[start + figures.len()..]]
        .map(|part| part.trim_matches(|c: char| !c.is_alphanumeric() && c != '-'));
    let mut unit = None;
    for word in outside.iter().filter(|word| !word.is_empty()) {
        unit = Some(DistanceUnit::named(word)?);
    }
    let value = pointed(figures.trim_end_matches(['.', ',']))
        .parse::<f64>()
        .ok()?;
    let negative = lower[..start].trim_end().ends_with('-');
    (!negative && value.is_finite()).then_some((value, unit))
}

/// Figures with a decimal point. A comma is a decimal comma unless a point follows it; both
/// together, or apostrophes, group thousands.
fn pointed(figures: &str) -> String {
    let plain = figures.replace(['\'', '’'], "");
    match (plain.rfind(','), plain.rfind('.')) {
        (Some(comma), Some(point)) if comma < point => plain.replace(',', ""),
        (Some(_), Some(_)) => plain.replace('.', "").replace(',', "."),
        (Some(_), None) if plain.matches(',').count() > 1 => plain.replace(',', ""),
        _ => plain.replace(',', "."),
    }
}

/// A signed number of degrees, such as `46.5`, `-13.2` or `46,5 N`.
pub(super) fn degrees(text: &str) -> Option<f64> {
    let upper = text
        .trim()
        .to_uppercase()
        .replace(',', ".")
        .replace('°', "");
    let (figures, sign) = match upper.strip_suffix(['N', 'E', 'S', 'W']) {
        Some(figures) if upper.ends_with(['S', 'W']) => (figures, -1.0),
        Some(figures) => (figures, 1.0),
        None => (upper.as_str(), 1.0),
    };
    let value = figures
        .trim()
        .parse::<f64>()
        .ok()
        .filter(|v| v.is_finite())?;
    Some(value * sign)
}

/// Yes or no, in the ways that tables say it. The second is what follows a yes, such as
/// `(limited parking)`.
pub(super) fn yes_no(text: &str) -> Option<(bool, &str)> {
    const YES: [&str; 17] = [
        "yes", "y", "x", "✓", "✔", "☑", "✅", "•", "●", "1", "true", "ja", "oui", "si", "sí", "sì",
        "j",
    ];
    const NO: [&str; 12] = [
        "no", "n", "-", "–", "—", "0", "false", "none", "nein", "non", "✗", "✘",
    ];
    let trimmed = text.trim();
    let lower = trimmed.to_lowercase();
    if YES.contains(&lower.as_str()) {
        return Some((true, ""));
    }
    if lower.is_empty() || NO.contains(&lower.as_str()) {
        return Some((false, ""));
    }
    let (first, rest) = trimmed.split_once([' ', ',', '(', '.', ';'])?;
    let word = first.to_lowercase();
    if ["yes", "ja", "oui", "✓", "✔"].contains(&word.as_str()) {
        return Some((true, rest));
    }
    ["no", "nein", "non"]
        .contains(&word.as_str())
        .then_some((false, rest))
}

/// The kind of station that words describe.
pub(super) fn kind(text: &str) -> Option<StationKind> {
    let lower = text.to_lowercase();
    let has = |words: &[&str]| words.iter().any(|word| lower.contains(word));
    if has(&["crew"]) {
        Some(StationKind::CrewOnly)
    } else if has(&[
        "food", "aid", "full", "hot", "meal", "major", "start", "finish", "snack",
    ]) {
        Some(StationKind::Aid)
    } else if has(&["water", "drink", "liquid", "fluid"]) {
        Some(StationKind::Water)
    } else if has(&["checkpoint", "control", "timing", "check"]) || lower.trim() == "cp" {
        Some(StationKind::Checkpoint)
    } else {
        None
    }
}
