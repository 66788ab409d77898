//! Sheets of paper: what stands on each around the parts that a page puts on them.

use maud::{Markup, html};

use crate::facts::{Facts, PlanFacts};

use super::parts::{SHORT_CAUTIONS, name};
use super::{CardSize, Wishes};

/// Parts that follow each other over as many sheets as they need.
pub(super) fn flow(kind: &str, plan: &PlanFacts, parts: &Markup) -> Markup {
    html! {
        main class={ "flow " (kind) } {
            (parts)
            noscript { p { (SHORT_CAUTIONS.join(" ")) } }
        }
        template id="sheet" {
            section.sheet {
                div.body {}
                footer.foot {
                    div {
                        // on the sheets where they occur
                        p data-explains=".past" { "A time " s { "struck out" } ": after the cutoff. Who is that late is out of the race." }
                        @if let Some(marks) = plan.repeated_hour { p data-explains="marks" { (marks) } }
                        b { (SHORT_CAUTIONS.join(" ")) }
                    }
                    span.sheet-number {}
                }
            }
        }
    }
}

/// The head of the first sheet: what it is, of which race, the facts, the verdict.
pub(super) fn title(what: &str, facts: &Facts, verdict: &Markup, said: &[Markup]) -> Markup {
    html! {
        header.title {
            h1 { (what) ": " (name(&facts.race.0.course)) }
            @if !said.is_empty() { p.line-up { @for one in said { span { (one) } " " } } }
            (verdict)
        }
    }
}

/// One panel with what stands in it.
pub(super) fn panel(inside: &Markup) -> Markup {
    html! {
        article.panel {
            p.head { b { "Thirst overrides the plan." } span.of {} }
            div.room { (inside) }
        }
    }
}

/// The folding of panels.
const CUT: &str = "Cut solid lines, fold dashed.";
const WIND: &str = "Cut, fold, wind, tape.";

/// Pieces in panels that are cut out and folded.
pub(super) fn panels(wishes: &Wishes, pieces: &Markup) -> Markup {
    let (kind, across, down, how) = match wishes.size {
        CardSize::Pocket => ("pocket", 2, 2, CUT),
        CardSize::Strip => ("strip", 3, 2, CUT),
        CardSize::Wrist => ("wrist", 2, 1, WIND),
    };
    html! {
        main class={ "panels " (kind) } data-across=(across) data-down=(down) { (pieces) }
        template id="panel" { (panel(&html! {})) }
        template id="sheet" {
            section.sheet {
                p.how {
                    span { (how) " At actual size this is 100 mm:" }
                    svg.scale viewBox="0 0 100 3" width="100mm" height="3mm" role="img" aria-label="100 mm" {
                        path d="M0.15 0V3M0.15 1.5H99.85M99.85 0V3" fill="none" stroke="#14181d" stroke-width="0.3" {}
                    }
                }
                div.grid {}
            }
        }
    }
}
