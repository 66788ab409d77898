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
    let (choice, own) = (&view.inputs.plan.pacing, &view.inputs.runner.pacing);
    let set = &plan.pacing.settings;
    let from = |plan: bool, runner: bool| match (plan, runner) {
        (true, _) => "the plan",
        (false, true) => "the runner's own",
        (false, false) => "default",
    };
    let times = |value: f64| format!("× {value:.2}");
    let percent = |share: f64| format!("{:.1} %", share * 100.0);
    let fade = match set.fade {
        Fade::Slowing { strength } => format!("× {strength:.2} of what recorded races show"),
        Fade::Power { exponent } => format!("time as effort to the power of {exponent:.3}"),
    };
    let per_degree = match view.units {
        Units::Metric => set.heat_per_c,
        Units::Imperial => set.heat_per_c / F_PER_C,
    };
    let heat = format!(
        "{} per {} above {}",
        percent(per_degree),
        view.units.temperature_symbol(),
        view.units.show(Quantity::Temperature { c: 15.0 }),
    );
    let show_height = |m: f64| view.units.show(Quantity::Height { m });
    let height = format!(
        "{} per {} above {}",
        percent(set.altitude_per_km),
        show_height(1000.0),
        show_height(300.0)
    );
    let said = [
        (
            "cost of slopes",
            set.cost.name.to_owned(),
            from(choice.cost_model.is_some() || choice.walker, false),
        ),
        (
            "fade over the day",
            fade,
            from(
                choice.fade.is_some() || choice.fade_exponent.is_some(),
                own.fade.is_some(),
            ),
        ),
        (
            "fastest descent, of level speed",
            times(set.downhill_cap),
            from(choice.downhill_cap.is_some(), own.downhill_cap.is_some()),
        ),
        (
            "time on climbs",
            times(set.climb_multiplier),
            from(false, own.climb_multiplier.is_some()),
        ),
        (
            "time on descents",
            times(set.descent_multiplier),
            from(false, own.descent_multiplier.is_some()),
        ),
        (
            "time in the dark",
            times(set.night_factor),
            from(choice.night_factor.is_some(), false),
        ),
        (
            "more time in the heat",
            heat,
            from(choice.heat_per_c.is_some(), false),
        ),
        (
            "speed lost with height",
            height,
            from(choice.altitude_per_km.is_some(), false),
        ),
    ];
    let row = |(name, value, from): (&str, String, &str)| {
        let tone = if from == "default" {
            Tone::Faint
        } else {
            Tone::Strong
        };
        vec![
            Cell::new(name),
            Cell::new(value),
            Cell::new(from).tone(tone),
        ]
    };
    Table {
        columns: vec![
            Column::left("Figure", "figure"),
            Column::left("Value", "value"),
            Column::left("From", "from"),
        ],
        rows: said.into_iter().map(row).collect(),
    }
}
