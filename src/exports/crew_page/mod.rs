//! The crew's page: one file for a phone without signal. It shows the stations, takes the times
//! that the crew sees, and projects the rest from tables that the engine made.

mod card;

use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use maud::{Markup, PreEscaped, html};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

use crate::facts::{Facts, PhoneFacts, PlanFacts};
use crate::pages::parts::{self, name};
use crate::pages::shell::{ANY_WIDTH, Shell};
use crate::replan::{HARDER, NO_CATCHING_UP};

const SCRIPT: &str = include_str!("page.js");
const STYLE: &str = include_str!("page.css");

/// The page of a plan; empty but for its frame where there is none.
#[must_use]
pub fn crew_page(facts: &Facts, phone: &PhoneFacts) -> String {
    let page = Shell {
        title: &format!("{}: crew", parts::clean(&facts.race.0.course)),
        viewport: ANY_WIDTH,
        styles: &[STYLE],
        scripts: &[SCRIPT],
        body: facts
            .planned()
            .map_or_else(Markup::default, |plan| body(facts, plan, phone)),
    };
    page.write()
}

fn body(facts: &Facts, plan: &PlanFacts, phone: &PhoneFacts) -> Markup {
    html! {
        (opening(facts, plan))
        main #stations {
            h2 { "Stations" }
            ol { @for index in 0..facts.stations.len() { (card::card(facts, plan, index)) } }
            (tools())
        }
        (closing(plan))
        script type="application/json" id="data" { (PreEscaped(in_script(&data(phone)))) }
    }
}

/// What the script computes with.
fn data(phone: &PhoneFacts) -> String {
    let mut data = serde_json::to_value(phone).unwrap_or(Value::Null);
    // entries are of this plan and no other
    let mark = BASE64_STANDARD.encode(Sha256::digest(data.to_string().as_bytes()));
    data["key"] = json!(format!("sutler crew {}", &mark[..16]));
    data.to_string()
}

/// JSON that cannot end the block it stands in, nor a line of a script.
fn in_script(json: &str) -> String {
    json.replace('<', "\\u003c")
        .replace('>', "\\u003e")
        .replace('&', "\\u0026")
        .replace('\u{2028}', "\\u2028")
        .replace('\u{2029}', "\\u2029")
}

fn opening(facts: &Facts, plan: &PlanFacts) -> Markup {
    html! {
        header {
            a.skip href="#stations" { "To the stations" }
            h1 { "Crew: " (name(&facts.race.0.course)) }
            div.now role="status" {
                span.faint #finish-label { "Planned finish" }
                span.huge #finish { (plan.finish.text) }
                p #says {}
                p #hold {}
            }
            div #verdict { (parts::verdict(&plan.verdict)) }
            @if let Some(marks) = plan.repeated_hour { p.small { (marks) } }
            noscript { p.note {
                "This browser runs no scripts here: times are the plan's, and nothing can be entered."
            } }
            p.note #unstored hidden {
                "This browser keeps nothing for this page: entries are lost when it is closed. "
                "Copy them as text."
            }
        }
    }
}

fn tools() -> Markup {
    html! {
        section #tools aria-label="Entries" hidden {
            h2 { "Entries" }
            p.small {
                "Type a time as 14:32, with a day as Sun 02:31, or +20:31 since the start. A time "
                "without a day is the one nearest to the plan. Where the clocks go back, 02:31¹ is "
                "before and 02:31² after."
            }
            div.tools {
                button.main type="button" #copy { "Copy as text" }
                button type="button" #clear { "Clear all" }
                span.tools #clear-ask role="group" aria-label="Clear all entries?" hidden {
                    button type="button" #clear-no { "Keep them" }
                    button type="button" #clear-yes { "Yes, clear all" }
                }
            }
            div #copy-box hidden {
                label.small for="copied" {
                    "A command that plans the rest in full, to be completed with the plan's file"
                }
                textarea #copied readonly {}
                p.small #copy-says role="status" {}
            }
        }
    }
}

fn closing(plan: &PlanFacts) -> Markup {
    let phone = plan
        .helpers
        .as_ref()
        .and_then(|helpers| helpers.phone.as_ref());
    let replan = [NO_CATCHING_UP, HARDER].map(|caution| caution.text);
    html! {
        footer {
            h2 { "Cautions" }
            @if let Some(phone) = phone { p { "Crew's phone: " (name(phone)) } }
            ul {
                li {
                    "Times are estimates. Race officials, local authorities and the medical team "
                    "decide; what they say comes first."
                }
                @for text in replan { li { (text) } }
                @for caution in &plan.cautions { li { (caution.text) } }
                li {
                    "This page carries the effort so far on. The replan command weighs every time "
                    "that was seen, and may differ by some minutes, in its windows by more: follow it "
                    "where you can run it."
                }
                li {
                    "Hand over as packed for the plan. What to change on a late day, the replan "
                    "command says."
                }
            }
            p.small {
                "Nine arrivals in ten are later than the first time of a window, nine in ten "
                "earlier than the second. Drive off by, be there by, leave by, margins: at the "
                "effort shown."
            }
        }
    }
}
