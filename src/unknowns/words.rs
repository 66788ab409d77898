//! Unknowns in words.

use crate::time::{Elapsed, S_PER_HOUR};
use crate::units::{Phrase, Quantity, Units};

use super::Unknown;

/// The state of its tests on long runs.
#[must_use]
pub fn tested(one: &Unknown) -> String {
    let runs = match one.tested {
        0 => return "not tested".to_owned(),
        1 => "tested once".to_owned(),
        2 => "tested twice".to_owned(),
        n => format!("tested {n} times"),
    };
    if one.at_full {
        runs
    } else {
        format!("{runs}, never in full")
    }
}

/// A long run that tests a thing in full.
#[must_use]
pub fn covered(one: &Unknown, units: Units) -> String {
    let cover = &one.covered_by;
    let mut parts: Vec<Phrase> = Vec::new();
    if let Some(hours) = cover.least_h {
        parts.push(Phrase::new(format!(
            "of {} or longer",
            Elapsed::from_s(hours * S_PER_HOUR)
        )));
    }
    if let Some(hours) = cover.dark_h {
        parts.push(Phrase::new(format!(
            "with {} in the dark",
            Elapsed::from_s(hours * S_PER_HOUR)
        )));
    }
    if let Some(c) = cover.warm_c {
        parts.push(
            Phrase::new("in air of ")
                .and(Quantity::Temperature { c })
                .and(" or more"),
        );
    }
    for (height_m, way) in [(cover.climb_m, "up"), (cover.descent_m, "down")] {
        if let Some(m) = height_m {
            let height = Phrase::new("with ").and(Quantity::Height { m });
            parts.push(height.and(format!(" {way} in one go")));
        }
    }
    if let Some(weather) = cover.weather {
        parts.push(Phrase::new(match weather {
            "cold" => "in the cold",
            "rain" => "in rain",
            _ => "in the sun",
        }));
    }
    if let Some(servings) = cover.servings_in_3h {
        let whole = servings.ceil();
        let servings = if whole > 1.0 { "servings" } else { "serving" };
        parts.push(Phrase::new(format!("with {whole:.0} {servings} in 3 h")));
    }
    if cover.laid_out_stop {
        parts.push(Phrase::new("with a stop laid out"));
    }
    if parts.is_empty() {
        return "any long run".to_owned();
    }
    let parts: Vec<String> = parts.iter().map(|part| part.show(units)).collect();
    format!("a long run {}", parts.join(", "))
}
