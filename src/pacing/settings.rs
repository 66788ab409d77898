//! Settings that the plan and the runner chose, with a default for everything.

use crate::diagnostics::{Diagnostic, Notes, did_you_mean};
use crate::inputs::plan_toml::PacingChoice;
use crate::inputs::runner_toml::RunnerPacing;
use crate::words::listed;

use super::cost::{self, CostModel};
use super::fade::Fade;

/// The runner's way of moving. Times are ratios; see [`super::factors`] for the meaning of each.
#[derive(Clone, Copy, Debug)]
pub struct PacingSettings {
    /// Time against slope.
    pub cost: &'static CostModel,
    /// The fade.
    pub fade: Fade,
    /// The most that a descent speeds the runner up over the level.
    pub downhill_cap: f64,
    /// Time on trail in the dark over time by day.
    pub night_factor: f64,
    /// Extra time per °C above 15 °C.
    pub heat_per_c: f64,
    /// Speed lost per 1000 m above 300 m.
    pub altitude_per_km: f64,
    /// Own time on climbs over the model's.
    pub climb_multiplier: f64,
    /// Own time on descents over the model's.
    pub descent_multiplier: f64,
    /// Own time stood still over the usual, see [`super::usual_stop_share`]; `None` leaves it in
    /// the fade, which was fitted to runs with their stops.
    pub stop_multiplier: Option<f64>,
}

impl Default for PacingSettings {
    fn default() -> Self {
        PacingSettings {
            cost: &cost::BUILT_IN[0],
            fade: Fade::default(),
            downhill_cap: 1.11,
            night_factor: 1.05,
            heat_per_c: 0.008,
            altitude_per_km: 0.040,
            climb_multiplier: 1.0,
            descent_multiplier: 1.0,
            stop_multiplier: None,
        }
    }
}

impl PacingSettings {
    /// The plan's choice before the runner's own figures before the defaults.
    #[must_use]
    pub fn choose(plan: &PacingChoice, runner: &RunnerPacing, notes: &mut Notes) -> PacingSettings {
        let base = PacingSettings::default();
        let pick = |plan: &Option<crate::diagnostics::Spanned<f64>>, otherwise: f64| {
            plan.as_ref().map_or(otherwise, |spanned| spanned.value)
        };
        let cost = chosen_cost(plan, notes);
        if let Some(cap) = plan.downhill_cap.as_ref().filter(|_| !cost.knows_cap) {
            let knowing = cost::BUILT_IN.iter().filter(|model| model.knows_cap);
            let names = listed(knowing.map(|model| model.name));
            notes.push(
                Diagnostic::warning(format!(
                    "`downhill_cap` changes nothing: the cost model `{}` knows no cap",
                    cost.name
                ))
                .at(cap.span, "expected only with a model that knows one")
                .hint(format!("leave it out, or choose {names}")),
            );
        }
        PacingSettings {
            cost,
            fade: chosen_fade(plan, runner),
            downhill_cap: pick(
                &plan.downhill_cap,
                pick(&runner.downhill_cap, base.downhill_cap),
            ),
            night_factor: pick(&plan.night_factor, base.night_factor),
            heat_per_c: pick(&plan.heat_per_c, base.heat_per_c),
            altitude_per_km: pick(&plan.altitude_per_km, base.altitude_per_km),
            climb_multiplier: pick(&runner.climb_multiplier, base.climb_multiplier),
            descent_multiplier: pick(&runner.descent_multiplier, base.descent_multiplier),
            stop_multiplier: runner.stop_multiplier.as_ref().map(|s| s.value),
        }
    }
}

fn chosen_cost(plan: &PacingChoice, notes: &mut Notes) -> &'static CostModel {
    let default = if plan.walker {
        "walking"
    } else {
        cost::BUILT_IN[0].name
    };
    let Some(written) = &plan.cost_model else {
        return cost::by_name(default).unwrap_or(&cost::BUILT_IN[0]);
    };
    cost::by_name(&written.value).unwrap_or_else(|| {
        let names: Vec<&str> = cost::BUILT_IN.iter().map(|m| m.name).collect();
        let mut problem = Diagnostic::error(format!("there is no cost model `{}`", written.value))
            .at(
                written.span,
                format!("expected one of {}", names.join(", ")),
            );
        if let Some(hint) = did_you_mean(&written.value, names) {
            problem = problem.hint(hint);
        }
        notes.push(problem);
        &cost::BUILT_IN[0]
    })
}

/// A plan's exponent before a strength before the default.
fn chosen_fade(plan: &PacingChoice, runner: &RunnerPacing) -> Fade {
    match (
        &plan.fade_exponent,
        plan.fade.as_ref().or(runner.fade.as_ref()),
    ) {
        (Some(exponent), _) => Fade::Power {
            exponent: exponent.value,
        },
        (None, Some(strength)) => Fade::Slowing {
            strength: strength.value,
        },
        (None, None) => Fade::default(),
    }
}
