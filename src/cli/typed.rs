//! Values that are typed after several options.

use chrono::NaiveDate;

use sutler::units::M_PER_MILE;
use sutler::words::folded;

/// A length with its unit, metres.
pub(super) fn length_m(text: &str) -> Result<f64, String> {
    let expected = || "expected a length such as `32km` or `20mi`, from 1 km to 400 km".to_owned();
    let text = folded(text);
    let units = [("km", 1000.0), ("mi", M_PER_MILE)];
    let (number, unit_m) = units
        .iter()
        .find_map(|(unit, metres)| Some((text.strip_suffix(unit)?, *metres)))
        .ok_or_else(expected)?;
    let metres = number.trim().parse::<f64>().map_err(|_| expected())? * unit_m;
    (1000.0..=400_000.0)
        .contains(&metres)
        .then_some(metres)
        .ok_or_else(expected)
}

/// A date of the calendar.
pub(super) fn date(text: &str) -> Result<NaiveDate, String> {
    sutler::inputs::date(text).ok_or_else(|| "expected a date such as `2026-09-12`".to_owned())
}

#[cfg(test)]
mod tests;
