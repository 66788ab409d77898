//! The finish on a slider, with the slowest that keeps the cushion and what past results point to beside it.

use maud::{Markup, html};

use super::PageSource;
use crate::desk::edits::settings::{Settings, keys};
use crate::desk::role::Role;

pub(super) fn build(shown: &PageSource<'_>) -> Markup {
    let planned = shown.planned;
    let plan_file = shown.session.text(Role::Plan).unwrap_or_default();
    let was = Settings::of(&plan_file).and_then(|own| own.typed(&keys(&["finish"])));
    let typed = planned.loaded.inputs.plan.finish.map(|finish| finish.value);
    let finish = planned.plans.first().map(|plan| plan.finish).or(typed);
    let clock = planned.facts.as_ref().and_then(|facts| facts.planned());
    html! {
        div.finish {
            label for="finish-time" { "Planned finish" }
            input #finish-time type="text" inputmode="numeric" autocomplete="off"
                placeholder="29:30:00" data-finish data-was=(was.unwrap_or_default())
                value=(finish.map_or(String::new(), |finish| finish.to_seconds_text()));
            output #finish-clock for="finish" { @if let Some(plan) = clock { (plan.finish.text) } }
        }
        @if let Some(((least, most), finish)) = planned.slider().zip(finish) {
            div.slide {
                input #finish type="range" min=(least.as_secs()) max=(most.as_secs()) step="60"
                    value=(finish.to_minute().as_secs()) aria-label="Planned finish"
                    aria-valuetext=(finish.to_string());
                div #marks aria-hidden="true" {}
            }
            ul #marks-list {}
        } @else {
            p.faint { "hours:minutes:seconds from your own start, stops included" }
        }
    }
}
