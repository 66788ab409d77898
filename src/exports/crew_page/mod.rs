//! The crew's page: one file for a phone without signal. It shows the stations, takes the times
//! that the crew sees, and projects the rest from tables that the engine made.

mod card;

use base64::Engine;
use base64::prelude::BASE64_STANDARD;
use maud::{Markup, PreEscaped, html};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

use crate::facts::{DO_NOT_PUSH, Facts, MeetingFacts, Moment, PhoneFacts, PlanFacts};
use crate::pages::parts::{self, name};
use crate::pages::shell::{ANY_WIDTH, Shell};
use crate::replan::{HARDER, NO_CATCHING_UP};

const SCRIPT: &str = concat!(
    include_str!("tables.js"),
    include_str!("clock.js"),
    include_str!("page.js")
);
const STYLE: &str = concat!(
    include_str!("../../pages/palette.css"),
    "@media screen and (prefers-color-scheme: dark) { :root:not([data-theme=light], [data-theme=red]) {\n",
    include_str!("../../pages/night.css"),
    "} }\n:root[data-theme=dark] {\n",
    include_str!("../../pages/night.css"),
    "}\n",
    include_str!("page.css")
);

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
        a.skip href="#stations" { "To the stations" }
        (top(plan))
        div #scroll tabindex="-1" {
            (opening(facts, plan))
            main #stations { (stations(facts, plan)) (tools()) }
            (closing(plan))
        }
        (pad(plan, phone))
        div #told role="status" hidden {
            p #told-says {}
            button type="button" #undo { "Undo" }
            button type="button" #told-ok { "OK" }
        }
        script type="application/json" id="data" { (PreEscaped(in_script(&data(phone)))) }
    }
}

/// Parts of the page.
struct CrewPage<'a> {
    facts: &'a Facts,
    plan: &'a PlanFacts,
}

/// Every station in course order, those without crew folded together.
fn stations(facts: &Facts, plan: &PlanFacts) -> Markup {
    let met = |index: usize| -> Option<&MeetingFacts> {
        let number = &facts.stations[index].number;
        plan.crew.iter().find(|met| met.number == *number)
    };
    let mut runs: Vec<Vec<usize>> = Vec::new();
    for index in 0..facts.stations.len() {
        match runs.last_mut() {
            Some(run) if met(index).is_none() && met(run[0]).is_none() => run.push(index),
            _ => runs.push(vec![index]),
        }
    }
    html! {
        @for run in &runs {
            @if let Some(meeting) = met(run[0]) { (card::meeting(&CrewPage { facts, plan }, run[0], meeting)) }
            @else {
                @let first = &facts.stations[run[0]];
                details.between {
                    summary { span.who {
                        @if run.len() == 1 { "Without crew: " (name(&first.station)) }
                        @else { (run.len()) " without crew: " (name(&first.station)) " to "
                            (name(&facts.stations[run[run.len() - 1]].station)) }
                    } }
                    ol { @for index in run { (card::other(&CrewPage { facts, plan }, *index)) } }
                }
            }
        }
    }
}

/// The next meeting, always in sight.
fn top(plan: &PlanFacts) -> Markup {
    let first = plan.crew.iter().find(|met| met.number != "S");
    let off = first
        .filter(|met| met.is_driven_to())
        .and_then(|met| met.drive_off_by.as_ref());
    let day = |at: Option<&Moment>| {
        at.and_then(|at| at.day)
            .map_or_else(String::new, |day| format!(" {day}"))
    };
    let time = |label: &str, field: &str, at: Option<&Moment>| {
        html! {
            div data-row hidden[at.is_none()] {
                label { (label) i data-f={ (field) "-day" } { (day(at)) } } " "
                b data-f=(field) { @if let Some(at) = at { (at.clock) } } " "
                i data-f={ (field) "-in" } {}
            }
        }
    };
    let race = plan.helpers.as_ref();
    let race = race.and_then(|all| all.race_control.as_ref());
    html! {
        header #top {
            div.line {
                p { span.faint #top-first { "Next" } " " b #top-name {
                    @if let Some(met) = first { (met.number) " " (name(&met.station)) }
                } }
                button.main type="button" #top-enter data-live data-enter="came" data-k="0" hidden { "Came in" }
            }
            p.alarm #alarm role="alert" data-row hidden { b data-f="alarm" {} }
            @if let Some(number) = race { p #alarm-call hidden { "Race control " (card::call(number)) } }
            @else { p #alarm-call hidden {} }
            p data-row hidden { b data-f="saves" {} }
            p data-row hidden { b data-f="top-out" {} }
            p.faint data-row hidden { span data-f="top-after" {} }
            div.legs {
                (time("drive off by", "top-off", off))
                (time("be there by", "top-there", first.map(|met| &met.be_there)))
                div data-row hidden[first.is_none()] {
                    label data-f="top-kind" { "likely" (day(first.map(|met| &met.likely))) } " "
                    b data-f="top-comes" { @if let Some(met) = first { (met.likely.clock) } } " "
                    i data-f="top-window" { @if let Some(met) = first { (met.early.clock) "–" (met.late.clock) } }
                }
            }
            p.bad data-row hidden { span data-f="top-overdue" {} }
        }
    }
}

/// The data that the script computes with.
fn data(phone: &PhoneFacts) -> String {
    let mut data = serde_json::to_value(phone).unwrap_or(Value::Null);
    data["do_not_push"] = json!(DO_NOT_PUSH);
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
        section.opening {
            h1 { "Crew: " (name(&facts.race.0.course)) }
            div #verdict { (parts::paper_verdict(plan.verdict.holds, plan.verdict.without_cold())) }
            div.verdict #says hidden {
                p data-f="says-holds" {}
                p data-f="says-seen" {}
                p data-f="says-finish" {}
            }
            p.small #several hidden { (SEVERAL) }
            p.note #wrong hidden {}
            (numbers(plan))
            @if !facts.race.0.rules.is_empty() {
                details.calls {
                    summary { span.who { "Race rules" } }
                    ul { @for rule in &facts.race.0.rules { li { (name(rule)) } } }
                }
            }
            @if let Some(marks) = plan.repeated_hour { p.small #marks { (marks) } }
            noscript { p.note {
                "This browser runs no scripts here: times are the plan's, and nothing can be entered. "
                "Open the file in a browser instead of a preview."
            } }
            p.note #unstored hidden {
                "This browser keeps nothing for this page: entries are lost when it is closed. "
                "Copy them as a message."
            }
            div #screen data-live role="group" aria-label="Screen" hidden {
                @for (theme, label) in [("auto", "Auto"), ("light", "Light"), ("dark", "Dark"), ("red", "Red")] {
                    button type="button" data-theme=(theme) { (label) }
                }
            }
        }
    }
}

/// Everybody whom the crew may have to call, the race first.
fn numbers(plan: &PlanFacts) -> Markup {
    let Some(helpers) = &plan.helpers else {
        return Markup::default();
    };
    let mut all: Vec<(Markup, &str)> = Vec::new();
    all.extend((helpers.phone.iter()).map(|at| (html! { "Crew" }, at.as_str())));
    all.extend((helpers.phones.iter()).map(|one| (name(&one.name), one.number.as_str())));
    html! {
        @if let Some(number) = &helpers.race_control { p.race { "Race control " (card::call(number)) } }
        @if !all.is_empty() {
            details.calls {
                summary { span.who { "Phone numbers" } }
                ul { @for (who, number) in &all { li { (who) " " (card::call(number)) } } }
            }
        }
    }
}

fn tools() -> Markup {
    html! {
        section #tools aria-label="Message and entries" data-live hidden {
            div.tools {
                button.main type="button" #copy { "Copy message" }
                button type="button" #clear { "Clear entries" }
            }
            div #copy-box hidden {
                label.small for="copied" { "Message" }
                textarea #copied readonly {}
                p.small #copy-says role="status" {}
            }
        }
    }
}

/// The pad where a time is entered: now, or typed.
fn pad(plan: &PlanFacts, phone: &PhoneFacts) -> Markup {
    let mut days: Vec<&str> = Vec::new();
    for day in plan
        .splits
        .iter()
        .flat_map(|s| [s.early.day, s.late.day])
        .flatten()
    {
        if !days.contains(&day) {
            days.push(day);
        }
    }
    let example = if phone.clock.is_some() {
        "1432"
    } else {
        "+1432"
    };
    html! {
        dialog #pad aria-labelledby="pad-name" {
            form #pad-form {
                h2 #pad-name {}
                p.small #pad-was {}
                button.main type="button" #pad-now {}
                label for="pad-time" { @if phone.clock.is_some() { span #pad-or { "or " } "the time" } @else { "Time since the start" } }
                input #pad-time inputmode="numeric" autocomplete="off" spellcheck="false" maxlength="24"
                    placeholder=(example) aria-describedby="pad-note";
                @if days.len() > 1 {
                    fieldset #pad-days {
                        legend { "Day" }
                        label { input type="radio" name="day" value="" checked; " nearest to plan" }
                        @for day in days { label { input type="radio" name="day" value=(day); " " (day) } }
                    }
                }
                p.note #pad-note role="alert" {}
                div.tools #pad-twice hidden {
                    button type="button" data-which="0" {} button type="button" data-which="1" {}
                }
                div.tools {
                    button.main type="submit" { "Enter" }
                    button type="button" #pad-out { "Take out" }
                    button type="button" #pad-cancel { "Cancel" }
                }
            }
        }
    }
}

fn closing(plan: &PlanFacts) -> Markup {
    let replan = [NO_CATCHING_UP, HARDER].map(|caution| caution.text);
    html! {
        footer {
            h2 { "How to read it" }
            p.small {
                "Likely: half of such races are in by then; one in ten is in before the window, one "
                "in ten after it. Drive off by and be there by are for an early runner. Leave by: the "
                "runner's latest departure that still makes every later cutoff."
            }
            p.small {
                "Things are packed for the plan. On a late day hand over as packed, and more of what "
                "the runner wants, to thirst and hunger; caffeine only as packed, in the plan's order "
                "and no sooner one after the other. At a computer the replan command counts anew, "
                "caffeine too."
            }
            h2 { "Cautions" }
            ul {
                li {
                    "Times are estimates. Race officials, local authorities and the medical team "
                    "decide; what they say comes first."
                }
                @for text in replan { li { (text) } }
                @for caution in &plan.cautions { li { (caution.text) } }
            }
        }
    }
}

/// The distance of the page from planning again where more than one time was seen.
const SEVERAL: &str = "Of several times seen the earlier ones count from tables here: nine days in ten \
                       the replan command is within a minute of this page.";
