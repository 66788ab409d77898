//! On the day: what was seen, and the rest of the race from there.

use maud::{Markup, html};

use sutler::pages::parts::{self, name};

use super::{PageSource, forms, words};

pub(super) fn build(shown: &PageSource<'_>) -> Markup {
    let Some(plan) = shown
        .planned
        .facts
        .as_ref()
        .and_then(|facts| facts.planned())
    else {
        return html! { p.faint { "There is no plan yet." } };
    };
    let rest = shown.rest();
    let wrong: Vec<_> = rest.wrong.iter().collect();
    html! {
        div #replanned role="status" {
            (forms::problems(&wrong))
            @if let Some(report) = rest.report() { (words::blocks(report)) }
        }
        p.faint {
            "Type a time as 14:32, with a day as Sun 02:31, or +20:31 since the start. What is typed \
             is kept in seen.csv."
        }
        table.stacks.edits.seen role="table" aria-label="What was seen" {
            thead role="rowgroup" { tr role="row" {
                @for head in ["#", "Station", "Planned", "Came in", "Left"] {
                    th role="columnheader" scope="col" { (head) }
                }
            } }
            tbody role="rowgroup" { @for (at, split) in plan.splits.iter().enumerate().skip(1) {
                tr role="row" data-mark={ "station-" (at) } {
                    td role="cell" { (parts::badge(&split.number)) }
                    th role="rowheader" scope="row" { (name(&split.station)) }
                    td role="cell" data-label="Planned" { (split.arrival.text) }
                    @for (kind, label) in [("arrived", "Came in"), ("left", "Left")] {
                        td role="cell" data-label=(label) {
                            @if kind == "arrived" || at + 1 < plan.splits.len() {
                                input type="text" inputmode="numeric" autocomplete="off" size="9"
                                    id={ "seen-" (split.number) "-" (kind) }
                                    aria-label={ (label) " at " (split.station) }
                                    data-seen=(split.number) data-kind=(kind)
                                    data-was=(rest.seen.time(&split.number, kind))
                                    value=(rest.seen.time(&split.number, kind));
                            }
                        }
                    }
                }
            } }
        }
    }
}
