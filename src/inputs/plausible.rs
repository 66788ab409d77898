//! Values inside their range that are most likely in another unit: pounds for kilograms, feet for
//! metres. Warnings only: the runner may be right.

use crate::diagnostics::{Diagnostic, Notes};

use super::{Inputs, limits};

/// Body mass for height squared above which a mass is more likely in pounds, kg/m²: obesity of
/// class III begins at 40 (World Health Organization, Technical Report Series 894, 2000).
const MOST_BMI: f64 = 40.0;
/// Below this a mass is no grown runner's, kg/m²: severe thinness is below 16 (the same report).
const LEAST_BMI: f64 = 13.0;
/// Height where the runner file names none, metres.
const USUAL_HEIGHT_M: f64 = 1.75;
/// Climb of a course for its length above which heights are more likely in feet: the steepest
/// mountain races climb about 100 m a kilometre, there and down again (common practice, no source).
const MOST_CLIMB_RATIO: f64 = 0.16;
/// Metres in a foot, turned round: how much larger heights in feet are.
const FEET_IN_A_METRE: f64 = 3.280_84;

/// Warns of what is probably in another unit.
pub(super) fn check(inputs: &Inputs, notes: &mut Notes) {
    body(inputs, notes);
    official_climb(inputs, notes);
    forecast_heights(inputs, notes);
}

fn body(inputs: &Inputs, notes: &mut Notes) {
    let Some(mass) = inputs.runner.mass_kg else {
        return;
    };
    let height_m = inputs
        .runner
        .height_cm
        .map_or(USUAL_HEIGHT_M, |cm| cm.value / 100.0);
    let bmi = mass.value / height_m.powi(2);
    let pounds = limits::MASS
        .units
        .get(1)
        .map_or(0.0, |lb| lb.from_record(mass.value));
    let meant = if bmi > MOST_BMI {
        format!("in pounds that is `mass_lb = {:.0}`", mass.value)
    } else if bmi < LEAST_BMI {
        format!("if that was kilograms, it is `mass_kg = {pounds:.0}`")
    } else {
        return;
    };
    notes.push(
        Diagnostic::warning(format!(
            "a mass of {:.0} kg is unusual for a runner",
            mass.value
        ))
        .at(
            mass.span,
            format!("expected about {:.0} kg", 22.0 * height_m.powi(2)),
        )
        .hint(meant),
    );
}

/// The organiser's climb against the length of the course.
fn official_climb(inputs: &Inputs, notes: &mut Notes) {
    let (Some(climb), Some(length)) = (
        inputs.course.official_climb_m,
        inputs.course.official_distance_m,
    ) else {
        return;
    };
    if climb.value / length.value > MOST_CLIMB_RATIO {
        let feet = climb.value.round();
        notes.push(
            Diagnostic::warning(format!(
                "{feet} m of climb on {:.0} km is steeper than any race we know of",
                length.value / 1000.0
            ))
            .at(
                climb.span,
                format!("expected below {:.0} m", MOST_CLIMB_RATIO * length.value),
            )
            .hint(format!("in feet that is `official_climb_ft = {feet}`")),
        );
    }
}

/// Forecast heights against those of the route.
fn forecast_heights(inputs: &Inputs, notes: &mut Notes) {
    let heights = inputs
        .track
        .points
        .iter()
        .filter_map(|point| point.elevation_m);
    let highest_m = heights.fold(f64::NEG_INFINITY, f64::max);
    let far_above = |height_m: f64| height_m > 2.0 * highest_m.max(500.0);
    let row = inputs
        .weather
        .iter()
        .find(|row| row.elevation_m.is_some_and(far_above));
    if let Some(row) = row.filter(|_| highest_m.is_finite())
        && let Some(height_m) = row.elevation_m
    {
        notes.push(
            Diagnostic::warning(format!(
                "a forecast for {height_m:.0} m, and the route goes up to {highest_m:.0} m"
            ))
            .at(row.span, "expected a height near the route's")
            .hint(format!(
                "if that was feet, call the column `elevation_ft`: {:.0} m",
                height_m / FEET_IN_A_METRE
            )),
        );
    }
}
