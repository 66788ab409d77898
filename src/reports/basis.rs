//! What the numbers rest on: the method of each, and which figures are the plan's, the runner's
//! own, or a default.

use crate::pacing::Fade;
use crate::plan::Plan;
use crate::time::Elapsed;
use crate::units::{Quantity, Units};

use super::View;
use super::document::{Block, Cell, Column, Document, Table, Tone};
use super::parts::fact;
use super::{cutoffs, splits};

/// Degrees Fahrenheit in one of Celsius.
const F_PER_C: f64 = 1.8;

/// Where times, limits, needs and weather come from, then every figure with its source.
pub(super) fn push(document: &mut Document, view: &View<'_>, plan: &Plan) {
    document.say(
        "The same files give the same numbers. All of them are estimates: test each on long runs.",
    );
    let cost = plan.pacing.settings.cost;
    let (least, most) = (cost.measured.0 * 100.0, cost.measured.1 * 100.0);
    let conditions = &view.race.conditions;
    let weather = match (
        conditions.knows_weather(),
        view.inputs.plan.forecast.is_some(),
    ) {
        (false, _) => "not known",
        (true, true) => "one value of the plan for the start; temperature follows the height",
        (true, false) => "the forecast by the hour; temperature follows the height",
    };
    let light = if conditions.knows_daylight() {
        "from the sun at each place, by date"
    } else {
        "not known without date and zone: taken as day"
    };
    document.push(Block::Facts(vec![
        fact("Effort", splits::effort(view, plan)),
        fact(
            "Slopes",
            format!("{}, measured from {least:.0} to {most:.0} %", cost.source),
        ),
        fact("Stops", stops(plan)),
        fact("Windows", cutoffs::meaning(view)),
        fact("Light", light),
        fact("Weather", weather),
    ]));
    document.section("Pacing figures");
    document.push(Block::Table(figures(view, plan)));
    document.say(
        "What the sweat rate rests on and what is assumed of the body stands with the needs; \
         whose count of length and climb is used stands with the course.",
    );
    if !view.warnings.is_empty() {
        document.section("Said about the files");
        for warning in view.warnings {
            document.say(warning.message.clone());
        }
    }
}

fn stops(plan: &Plan) -> String {
    let splits = 0..plan.schedule.splits.len();
    let all_s: f64 = splits.map(|at| plan.schedule.stop(at).as_s()).sum();
    format!("{} in all, planned", Elapsed::from_s(all_s))
}

/// Every figure of pacing, its value and who gave it.
fn figures(view: &View<'_>, plan: &Plan) -> Table {
    let columns = vec![
        Column::left("Figure", "figure"),
        Column::left("Value", "value"),
        Column::left("From", "from"),
    ];
    let all = of_ground(view, plan).into_iter().chain(of_day(view, plan));
    let rows = all.map(|(name, value, by_plan, by_runner)| {
        let from = match (by_plan, by_runner) {
            (true, _) => Cell::new("the plan").tone(Tone::Strong),
            (false, true) => Cell::new("the runner's own").tone(Tone::Strong),
            (false, false) => Cell::new("default").tone(Tone::Faint),
        };
        vec![Cell::new(name), Cell::new(value), from]
    });
    Table {
        rows: rows.collect(),
        columns,
    }
}

/// What it is, its value, and whether the plan and whether the runner's file says it.
type Figure = (&'static str, String, bool, bool);

/// Figures of slopes.
fn of_ground(view: &View<'_>, plan: &Plan) -> [Figure; 4] {
    let (choice, own) = (&view.inputs.plan.pacing, &view.inputs.runner.pacing);
    let set = &plan.pacing.settings;
    let cost_chosen = choice.cost_model.is_some() || choice.walker;
    [
        (
            "cost of slopes",
            set.cost.name.to_owned(),
            cost_chosen,
            false,
        ),
        (
            "fastest descent, of level speed",
            times(set.downhill_cap),
            choice.downhill_cap.is_some(),
            own.downhill_cap.is_some(),
        ),
        (
            "time on climbs",
            times(set.climb_multiplier),
            false,
            own.climb_multiplier.is_some(),
        ),
        (
            "time on descents",
            times(set.descent_multiplier),
            false,
            own.descent_multiplier.is_some(),
        ),
    ]
}

/// Figures of hours, light and air.
fn of_day(view: &View<'_>, plan: &Plan) -> [Figure; 5] {
    let (choice, own) = (&view.inputs.plan.pacing, &view.inputs.runner.pacing);
    let set = &plan.pacing.settings;
    let stopped = set.stop_multiplier.map_or_else(
        || "part of the fade".to_owned(),
        |multiplier| format!("{} of the usual", times(multiplier)),
    );
    [
        (
            "fade over the day",
            faded(set.fade),
            choice.fade.is_some() || choice.fade_exponent.is_some(),
            own.fade.is_some(),
        ),
        (
            "time stood still",
            stopped,
            false,
            own.stop_multiplier.is_some(),
        ),
        (
            "time in the dark",
            times(set.night_factor),
            choice.night_factor.is_some(),
            false,
        ),
        (
            "more time in the heat",
            heated(view.units, set.heat_per_c),
            choice.heat_per_c.is_some(),
            false,
        ),
        (
            "speed lost with height",
            thinned(view.units, set.altitude_per_km),
            choice.altitude_per_km.is_some(),
            false,
        ),
    ]
}

fn times(value: f64) -> String {
    format!("× {value:.2}")
}

fn percent(share: f64) -> String {
    format!("{:.1} %", share * 100.0)
}

fn faded(fade: Fade) -> String {
    match fade {
        Fade::Slowing { strength } => format!("{} of what recorded races show", times(strength)),
        Fade::Power { exponent } => format!("time as effort to the power of {exponent:.3}"),
    }
}

/// Extra time by the degree, from the temperature on at which it counts.
fn heated(units: Units, per_c: f64) -> String {
    let per_degree = match units {
        Units::Metric => per_c,
        Units::Imperial => per_c / F_PER_C,
    };
    let from = units.show(Quantity::Temperature { c: 15.0 });
    format!(
        "{} per {} above {from}",
        percent(per_degree),
        units.temperature_symbol()
    )
}

/// Speed lost in thinner air, from the height on at which it counts.
fn thinned(units: Units, per_km: f64) -> String {
    let height = |m: f64| units.show(Quantity::Height { m });
    format!(
        "{} per {} above {}",
        percent(per_km),
        height(1000.0),
        height(300.0)
    )
}
