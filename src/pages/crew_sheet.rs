//! The crew's sheet: a block a meeting, to be read by head-torch, with room for the real times.

use maud::{Markup, html};

use crate::facts::{Facts, FindingFacts, MeetingFacts, Moment, PlanFacts, SplitFacts};

use super::parts::{self, badge, clock, clock_beside, listed, name, names};
use super::{Page, Wishes, sheets};

/// What the crew reads at night.
pub(super) const PAGE: Page = Page {
    name: "crew-sheet",
    title: "Crew sheet",
    about: "the crew's sheet: drives, meetings, what to hand over, room for real times",
    has_use: |facts| facts.planned().is_some_and(|plan| !plan.crew.is_empty()),
    build,
};

/// What to ask the runner, wherever they come in. Common practice, no source.
const ASK: [&str; 4] = ["Thirsty?", "Eating?", "Passing water?", "Feet?"];
/// In air this cold, degrees Celsius, a runner who stands still is asked about warmth. Our choice.
const COOL_C: f64 = 15.0;

fn build(facts: &Facts, wishes: &Wishes) -> Markup {
    let Some(plan) = facts.planned() else {
        return html! {};
    };
    let elsewhere =
        crew_findings(plan).filter(|found| !plan.crew.iter().any(|met| is_about(found, met)));
    let before = std::iter::once(None).chain(plan.crew.iter().map(Some));
    let parts = html! {
        (sheets::title("Crew", facts, plan, &said(facts, plan, wishes)))
        @if !plan.sun.is_empty() {
            p.line-up { @for event in &plan.sun { span { (event.words) " " (clock(&event.at)) } " " } }
        }
        @for found in elsewhere { (parts::finding(found)) }
        @if plan.crew.is_empty() {
            p { "No meetings: no crew is known, or there is no station where it may meet the runner." }
        }
        @for (before, met) in before.zip(&plan.crew) {
            @let new_day = before.is_none_or(|before| before.be_there.day != met.be_there.day);
            @if let (true, Some(at)) = (new_day, met.be_there.at) {
                h2.day.keeps { (at.format("%A, %-d %B")) }
            }
            (meeting(plan, met))
        }
        @if let Some(marks) = plan.repeated_hour { p { (marks) } }
    };
    sheets::flow("crew-sheet", &parts)
}

/// Start, planned finish, who helps, how to reach the runner.
fn said(facts: &Facts, plan: &PlanFacts, wishes: &Wishes) -> Vec<Markup> {
    let mut said = Vec::new();
    if let Some(start) = &facts.race.0.start_words {
        said.push(html! { "start " b { (start) } });
    }
    said.push(html! { "planned finish " b { (plan.finish.text) } });
    if let Some(helpers) = &plan.helpers {
        if !helpers.names.is_empty() {
            said.push(parts::joined(&names(&helpers.names), ", "));
        }
        if let Some(phone) = &helpers.phone {
            said.push(html! { "phone " b { (name(phone)) } });
        }
    }
    if let Some(day) = wishes.made {
        said.push(html! { "made " (day.format("%-d %B %Y")) });
    }
    said
}

fn crew_findings(plan: &PlanFacts) -> impl Iterator<Item = &FindingFacts> {
    plan.findings.iter().filter(|found| found.stage == "crew")
}

fn is_about(found: &FindingFacts, met: &MeetingFacts) -> bool {
    found.number.as_ref() == Some(&met.number)
}

fn meeting(plan: &PlanFacts, met: &MeetingFacts) -> Markup {
    let split = plan.splits.iter().find(|split| split.number == met.number);
    html! {
        section.meeting {
            div {
                h2 {
                    (badge(&met.number)) " " (name(&met.station)) " "
                    span.tag { (met.official.text) } " "
                    @if met.dark { span.tag { "· dark" } " " }
                    @if let Some(weather) = &met.weather { span.tag { "· " (weather.words) } }
                }
                (times(met))
                p.apart { @for one in limits(met, split) { span { (one) } } }
                (things(met))
            }
            div {
                span.box { "came in" }
                @if !met.is_finish { span.box { "left" } }
            }
            @for found in crew_findings(plan).filter(|found| is_about(found, met)) {
                (parts::finding(found))
            }
        }
    }
}

/// When to drive, when to stand there, when the runner comes and goes.
fn times(met: &MeetingFacts) -> Markup {
    let day = Some(&met.be_there);
    let late = met.late.beside(&met.early);
    html! {
        div.times-row {
            div {
                @match (&met.drive_off_by, &met.drive) {
                    (_, Some(drive)) if drive.value == 0.0 => { span.tag { "same place" } span.clock { "stay" } },
                    (Some(by), Some(drive)) => { span.tag { "drive by (" (drive.text) ")" } (clock_beside(by, day)) },
                    _ => { span.tag { "drive by" } span.clock { "–" } },
                }
            }
            div.main { span.tag { b { "be there by" } } (clock_beside(&met.be_there, None::<&Moment>)) }
            div { span.tag { "arrives " (met.early.clock) "–" (late) } (clock_beside(&met.likely, day)) }
            @if !met.is_finish { div { span.tag { "leaves about" } (clock_beside(&met.leaves, day)) } }
        }
    }
}

fn limits(met: &MeetingFacts, split: Option<&SplitFacts>) -> Vec<Markup> {
    let mut limits = Vec::new();
    if let Some((split, cutoff)) = split.and_then(|split| Some((split, split.cutoff.as_ref()?))) {
        limits.push(html! { span.together {
            "cutoff " b { (cutoff.beside(&met.be_there)) }
            @if let Some(margin) = &split.margin { " (" b { (margin.text) } ")" }
        } });
    }
    let binding = split.and_then(|split| split.binding.as_deref());
    if let (Some(latest), Some(binding), false) = (&met.latest_departure, binding, met.is_finish) {
        limits.push(html! {
            "must leave by " b { (latest.beside(&met.be_there)) } " to make the cutoff at " (name(binding))
        });
    }
    limits
}

/// What changes hands, what to bring, whom to ask what.
fn things(met: &MeetingFacts) -> Markup {
    let mut give = parts::servings(&met.servings);
    give.extend(names(&met.gear));
    if let Some(water) = &met.water {
        give.push(html! { "water " (water.text) });
    }
    let rows = [
        ("Hand over", give),
        ("Bring", names(&met.bring)),
        ("Take back", names(&met.take_back)),
        ("Pacer joins", names(&met.pacers_on)),
        ("Pacer stops", names(&met.pacers_off)),
        (
            "Ask",
            if met.is_finish {
                Vec::new()
            } else {
                questions(met)
            },
        ),
    ];
    html! {
        dl.things {
            @for (word, list) in rows.iter().filter(|(_, list)| !list.is_empty()) {
                dt { (word) } dd { (if *word == "Ask" { parts::joined(list, " ") } else { listed(list) }) }
            }
        }
    }
}

fn questions(met: &MeetingFacts) -> Vec<Markup> {
    let cool = met
        .weather
        .as_ref()
        .map_or(met.dark, |air| air.temp.value < COOL_C);
    let mut all: Vec<&str> = ASK.to_vec();
    if cool {
        all.push("Warm enough?");
    }
    if met.dark {
        all.push("Lamp?");
    }
    all.into_iter()
        .map(|question| html! { (question) })
        .collect()
}
