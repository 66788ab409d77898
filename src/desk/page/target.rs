//! The finish on a slider, with the slowest that keeps the cushion and what is promised beside it.

use maud::{Markup, html};

use super::Shown;
use crate::desk::edits::settings::{Settings, keys};
use crate::desk::role::Role;

pub(super) fn build(shown: &Shown<'_>) -> Markup {
    let planned = shown.planned;
    let plan_file = shown.session.text(Role::Plan).unwrap_or_default();
    let was = Settings::of(&plan_file).and_then(|own| own.typed(&keys(&["finish"])));
    let was = was.unwrap_or_default();
    let typed = planned.loaded.inputs.plan.finish.map(|finish| finish.value);
    let Some(((least, most), plan)) = planned.slider().zip(planned.plans.first()) else {
        return html! {
            label for="finish-time" { "Planned finish" }
            input #finish-time type="text" inputmode="numeric" autocomplete="off"
                placeholder="29:30:00" data-finish data-was=(was) value=(typed.map_or(String::new(), |f| f.to_seconds_text()));
            p.faint { "hours:minutes:seconds from your own start, stops included" }
        };
    };
    let finish = plan.finish;
    let clock = planned.facts.as_ref().and_then(|facts| facts.planned());
    html! {
        div.finish {
            label for="finish-time" { "Planned finish" }
            input #finish-time type="text" inputmode="numeric" autocomplete="off" data-finish data-was=(was)
                value=(finish.to_seconds_text());
            output #finish-clock for="finish" { @if let Some(plan) = clock { (plan.finish.text) } }
        }
        div.slide {
        input #finish type="range" min=(least.as_secs()) max=(most.as_secs()) step="60"
            value=(finish.to_minute().as_secs()) aria-label="Planned finish"
            aria-valuetext=(finish.to_string());
        div #marks aria-hidden="true" {}
        }
        ul #marks-list {}
    }
}
