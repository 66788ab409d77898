//! Parts of pages: names, times, marks, lists, the verdict.

use maud::{Markup, html};

use crate::facts::{FindingFacts, FlaskFacts, MeetingFacts, Moment, ServingFacts, VerdictFacts};
use crate::pictures::code;

/// A name on one line, without what turns the text around it.
#[must_use]
pub fn clean(text: &str) -> String {
    crate::pictures::words::clean(text)
}

/// Questions for the runner, wherever they come in. Common practice, no source.
const ASK: [&str; 5] = ["Thirsty?", "Eating?", "Peeing?", "Stomach 0–10?", "Feet?"];
/// In air this cold, degrees Celsius, a runner who stands still is asked about warmth. Our choice.
const COOL_C: f64 = 15.0;
/// Signs to look for, that end a race or need medical help, as the cautions have them.
pub const LOOK: &str = "swollen hands, stumbling, shivering, confusion";

/// Words that every page needs, however small it is: thirst, emergencies, who decides.
pub const SHORT_CAUTIONS: [&str; 3] = [
    "Thirst overrides the plan: drink less than planned when not thirsty.",
    "Confusion, collapse, vomiting that goes on, a headache that gets worse, chest pain: medical \
     help at once.",
    "Race officials, rules and medical staff decide. Estimates, not medical advice.",
];

/// The order of falling back when the stomach turns: common practice, no source.
pub const STOMACH: &str = "Stomach turns: slow down or walk, nothing for 15 minutes; then sips of \
                           water, sips of cola or broth, small bland bites.";

/// Words that somebody wrote, kept in their own direction.
#[must_use]
pub fn name(text: &str) -> Markup {
    html! { bdi { (clean(text)) } }
}

/// Words of ours for paper: what a keyboard is needed for has no place there.
#[must_use]
pub fn on_paper(text: &str) -> String {
    // such as `: `[stops.at]` in plan.toml` at the end of a way out
    let text = text.replace('`', "");
    let of_file = text.rsplit_once(": [");
    let of_file = of_file.filter(|(_, key)| key.trim_end_matches('.').ends_with(".toml"));
    clean(of_file.map_or(text.as_str(), |(said, _)| said))
}

/// Questions for the runner at a meeting, each kept together.
#[must_use]
pub fn questions(met: &MeetingFacts) -> Vec<Markup> {
    let cool = (met.weather.as_ref()).map_or(met.dark, |air| air.temp.value < COOL_C);
    let more = [(cool, "Warm enough?"), (met.dark, "Lamp?")];
    let more = more.into_iter().filter(|(asked, _)| *asked);
    (ASK.into_iter().chain(more.map(|(_, question)| question)))
        .map(|question| html! { span.together { (question) } })
        .collect()
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

/// The verdict: holds or not, how likely, where it is tightest.
#[must_use]
pub fn verdict(verdict: &VerdictFacts) -> Markup {
    paper_verdict(verdict.holds, &verdict.lines)
}

/// A verdict of which these lines are said on paper.
pub(crate) fn paper_verdict(holds: bool, lines: &[String]) -> Markup {
    verdict_box(holds, lines.iter().map(|line| on_paper(line)))
}

/// What clothes for cold on the way are told by.
pub(super) const BY_FORECAST: &str = "Clothes: by the forecast at the planned hours; later and \
                                      slower is colder";

/// A verdict in these lines, as they are.
pub fn verdict_box(holds: bool, lines: impl IntoIterator<Item = String>) -> Markup {
    html! {
        div.verdict.fails[!holds] { @for line in lines { p { bdi { (line) } } } }
    }
}

/// A finding with its ways out; those at a keyboard are left out.
#[must_use]
pub fn finding(finding: &FindingFacts) -> Markup {
    let ways = finding.ways_out.iter().filter(|way| !way.contains('`'));
    let ways: Vec<Markup> = ways.map(|way| html! { bdi { (on_paper(way)) } }).collect();
    finding_box(finding.fails(), &on_paper(&finding.text), &ways)
}

/// A finding in words of its own, with its ways out.
#[must_use]
pub fn finding_box(fails: bool, says: &str, ways: &[Markup]) -> Markup {
    html! {
        div.finding.fails[fails] {
            p { b { @if fails { "Cannot be done as planned: " } @else { "Note: " } } bdi { (says) } }
            @if !ways.is_empty() { ul { @for way in ways { li { (way) } } } }
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

/// Flasks as they are filled on leaving, drawn and in words: black for a drink, grey for water, an
/// outline alone where a flask stays empty.
#[must_use]
pub fn fills(list: &[FlaskFacts]) -> Markup {
    html! {
        span.fills { @for (index, flask) in list.iter().enumerate() {
            @if index > 0 { " " }
            span.fill {
                (flask_drawn(flask))
                @if let Some((holds, fill)) = flask.holds.as_ref().zip(flask.fill_mark) {
                    " " (fill) "\u{a0}" (name(holds))
                }
            }
        } }
    }
}

/// A flask as high as it is full.
#[must_use]
pub fn flask_drawn(flask: &FlaskFacts) -> Markup {
    let high = 15.0 * flask.fill.clamp(0.0, 1.0);
    let kind = match flask.holds.as_deref() {
        None | Some("water") => "water",
        Some(_) => "mix",
    };
    html! {
        svg.flask viewBox="0 0 12 20" width="3.6mm" height="6mm" role="img" aria-label=[flask.holds.is_none().then_some("empty")] {
            rect class=(kind) x="1" y=(format!("{:.1}", 19.0 - high)) width="10" height=(format!("{high:.1}")) {}
            path d="M4 1H8V3.4Q11 4 11 6V17.6Q11 19 9.6 19H2.4Q1 19 1 17.6V6Q1 4 4 3.4Z" {}
        }
    }
}

/// An address of a place for a phone's camera; nothing where it does not fit into a code.
#[must_use]
pub fn geo(address: &str) -> Markup {
    html! {
        @if let Some((wide, modules)) = code(address) {
            svg.code viewBox=(format!("0 0 {wide} {wide}")) role="img" aria-label=(address) {
                rect.quiet width=(wide) height=(wide) {}
                path d=(modules) {}
            }
        }
    }
}

/// A picture inside the page, every byte but letters, digits and a few marks in percent (RFC 3986).
#[must_use]
pub fn data_uri(svg: &str) -> String {
    let mut uri = String::from("data:image/svg+xml,");
    for byte in svg.bytes() {
        match byte {
            b'A'..=b'Z'
            | b'a'..=b'z'
            | b'0'..=b'9'
            | b'-'
            | b'.'
            | b'_'
            | b'~'
            | b'/'
            | b':'
            | b'='
            | b'('
            | b')'
            | b';' => uri.push(char::from(byte)),
            byte => uri += &format!("%{byte:02X}"),
        }
    }
    uri
}
