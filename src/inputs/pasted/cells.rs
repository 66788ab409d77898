//! Single cells as numbers and answers.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use crate::inputs::word_lists::entries;

/// The classes of words in a cell.
const LINES: &str = include_str!("cells.txt");

static CLASSES: LazyLock<BTreeMap<&'static str, &'static str>> = LazyLock::new(|| {
    let each =
        entries(LINES).flat_map(|(class, words)| words.split(", ").map(move |word| (word, class)));
    each.collect()
});

/// The class of a word or phrase in lower case.
pub(super) fn class(words: &str) -> Option<&'static str> {
    CLASSES.get(words).copied()
}

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
        match class(word)? {
            "km" => Some(DistanceUnit::Kilometres),
            "mi" => Some(DistanceUnit::Miles),
            "m" => Some(DistanceUnit::Metres),
            _ => None,
        }
    }
}

/// A number with the unit beside it, if any: `12.5`, `12,5 km`, `ca. 7 km`, `1,250 m`.
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
    let words = outside.iter().flat_map(|part| part.split_whitespace());
    let words = words.map(|word| word.trim_end_matches('.'));
    for word in words.filter(|word| class(word) != Some("about")) {
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

/// Yes or no, in the ways that tables say it. The second is what follows, such as
/// `(limited parking)`.
pub(super) fn yes_no(text: &str) -> Option<(bool, &str)> {
    let answer = |word: &str| match class(&word.to_lowercase()) {
        Some("yes") => Some(true),
        Some("no") => Some(false),
        _ => None,
    };
    let trimmed = text.trim();
    if trimmed.is_empty() {
        return Some((false, ""));
    }
    if let Some(whole) = answer(trimmed) {
        return Some((whole, ""));
    }
    let (first, rest) = trimmed.split_once([' ', ',', '(', '.', ';'])?;
    // one letter or a dash before more words is no answer
    let word = answer(first).filter(|_| first.chars().count() > 1 || "✓✔".contains(first));
    word.map(|word| (word, rest))
}
