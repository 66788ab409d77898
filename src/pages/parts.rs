//! What pages are made of: names, times, marks, lists, the verdict.

use maud::{Markup, html};

use crate::facts::{FindingFacts, FlaskFacts, Moment, ServingFacts, VerdictFacts};

/// A name on one line, without what turns the text around it.
#[must_use]
pub fn clean(text: &str) -> String {
    crate::pictures::words::clean(text)
}

/// What every page needs to say, however small it is: thirst, emergencies, who decides.
pub const SHORT_CAUTIONS: [&str; 3] = [
    "Thirst overrides the plan: drink less than planned when not thirsty.",
    "Confusion, collapse, vomiting that goes on, a headache that gets worse, chest pain: medical \
     help at once.",
    "Race officials, rules and medical staff decide. Estimates, not medical advice.",
];

/// Words that somebody wrote, kept in their own direction.
#[must_use]
pub fn name(text: &str) -> Markup {
    html! { bdi { (clean(text)) } }
}

/// Words of ours for paper: what a keyboard is needed for has no place there.
#[must_use]
pub fn on_paper(text: &str) -> String {
    clean(&text.replace('`', ""))
}

/// A station's number.
#[must_use]
pub fn badge(number: &str) -> Markup {
    html! { b.badge { (number) } }
}

/// A mark in capitals.
#[must_use]
pub fn mark(word: &str) -> Markup {
    html! { span.mark { (word) } }
}

/// A time with its day before it.
#[must_use]
pub fn clock(at: &Moment) -> Markup {
    clock_beside(at, None)
}

/// A time, with its day only where it is not that of another time.
#[must_use]
pub fn clock_beside(at: &Moment, other: Option<&Moment>) -> Markup {
    let day = at
        .day
        .filter(|day| other.and_then(|other| other.day) != Some(*day));
    html! { span.clock { @if let Some(day) = day { small { (day) } " " } (at.clock) } }
}

/// Whether it holds, how likely, where it is tightest.
#[must_use]
pub fn verdict(verdict: &VerdictFacts) -> Markup {
    html! {
        div.verdict.fails[!verdict.holds] {
            @for line in &verdict.lines { p { bdi { (on_paper(line)) } } }
        }
    }
}

/// A finding with its ways out; those at a keyboard are left out.
#[must_use]
pub fn finding(finding: &FindingFacts) -> Markup {
    let ways = finding.ways_out.iter().filter(|way| !way.contains('`'));
    let ways: Vec<&String> = ways.collect();
    html! {
        div.finding.fails[finding.fails()] {
            p { b { @if finding.fails() { "Cannot be done as planned: " } @else { "Note: " } }
                bdi { (on_paper(&finding.text)) } }
            @if !ways.is_empty() { ul { @for way in ways { li { bdi { (on_paper(way)) } } } } }
        }
    }
}

/// Servings as they are counted out.
#[must_use]
pub fn servings(list: &[ServingFacts]) -> Vec<Markup> {
    list.iter().map(serving).collect()
}

/// Such as `2 half bananas`: the count stays with the first word.
#[must_use]
pub fn serving(serving: &ServingFacts) -> Markup {
    let (count, unit) = serving.text.split_once(' ').unwrap_or_default();
    html! { span { (count) "\u{a0}" (name(unit)) } }
}

/// Names as parts of a list.
#[must_use]
pub fn names(list: &[String]) -> Vec<Markup> {
    list.iter().map(|one| name(one)).collect()
}

/// Things in one line, commas between them.
#[must_use]
pub fn listed(things: &[Markup]) -> Markup {
    joined(things, ", ")
}

/// Things in one line with something between them.
#[must_use]
pub fn joined(things: &[Markup], between: &str) -> Markup {
    html! { @for (index, thing) in things.iter().enumerate() { @if index > 0 { (between) } (thing) } }
}

/// Flasks that are not empty: how much of what.
#[must_use]
pub fn flasks(list: &[FlaskFacts]) -> Vec<Markup> {
    let filled = list.iter().filter(|flask| flask.holds.is_some());
    filled
        .map(|flask| {
            html! { span {
                (flask.fluid.text.replace(' ', "\u{a0}")) " "
                @if let Some(holds) = &flask.holds { (name(holds)) }
            } }
        })
        .collect()
}

/// How much of a stretch is in the dark, as a bar; `share` of 1.
#[must_use]
pub fn night_bar(share: f64) -> Markup {
    let wide = format!("{:.1}", 18.0 * share.clamp(0.0, 1.0));
    html! {
        svg.night viewBox="0 0 18 9" width="6mm" height="3mm" role="img" aria-label="dark" {
            rect x="0.4" y="0.4" width="17.2" height="8.2" fill="#fff" stroke="#14181d" stroke-width="0.9" {}
            rect x="0" y="0" width=(wide) height="9" fill="#14181d" {}
        }
    }
}
