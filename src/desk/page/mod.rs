//! The page: a frame that is sent once, and parts that are made anew after every change.

mod crew;
mod day;
mod forms;
mod next;
mod sheets;
mod tables;
mod take;
mod target;
mod times;
mod worded;
mod words;

use std::cell::OnceCell;

use maud::{DOCTYPE, Markup, PreEscaped, html};
use serde_json::{Value, json};

use sutler::pages::parts::{name, verdict_box};
use sutler::reports::document::Block;

use super::answers::{Planned, Problem};
use super::day::Rest;
use super::fields;
use super::role::Role;
use super::session::Session;

pub(super) use worded::worded;
pub(super) use words::{fragment, why};

/// The stylesheet.
pub(super) const STYLE: &str = concat!(
    include_str!("../../pages/palette.css"),
    "@media (prefers-color-scheme: dark) { :root {\n",
    include_str!("../../pages/night.css"),
    "} }\n",
    include_str!("desk.css")
);
/// The script.
pub(super) const SCRIPT: &str = concat!(include_str!("desk.js"), include_str!("stations.js"));

/// A part of the work, with its own place on the page.
struct PagePart {
    id: &'static str,
    title: &'static str,
    build: fn(&PageSource<'_>) -> Markup,
}

const fn part(
    id: &'static str,
    title: &'static str,
    build: fn(&PageSource<'_>) -> Markup,
) -> PagePart {
    PagePart { id, title, build }
}

const PARTS: &[PagePart] = &[
    part("times", "Times", times::build),
    part("stations", "Stations", sheets::stations),
    part("race", "Race and target", |shown| {
        forms::groups(shown, fields::RACE)
    }),
    part("me", "Me", |shown| forms::groups(shown, fields::ME)),
    part("food", "Food and gear", sheets::food),
    part("weather", "Weather", sheets::weather),
    part("crew", "Crew", crew::build),
    part("take", "Take away", take::build),
    part("day", "On the day", day::build),
    part("files", "Files", sheets::files),
];

/// The source of the parts.
pub(super) struct PageSource<'a> {
    pub(super) session: &'a Session,
    pub(super) planned: &'a Planned,
    pub(super) problems: &'a [Problem],
    rest: OnceCell<Rest>,
}

impl PageSource<'_> {
    /// The rest of the day; planned where it is asked for.
    fn rest(&self) -> &Rest {
        let seen = || self.session.text(Role::Seen).unwrap_or_default();
        self.rest.get_or_init(|| Rest::of(self.planned, &seen()))
    }

    /// Mistakes in a stretch of a file.
    fn wrong(&self, role: Role, bytes: &std::ops::Range<usize>) -> Vec<&Problem> {
        let here = |problem: &&Problem| {
            problem
                .at
                .is_some_and(|(own, at)| own == role && bytes.contains(&at))
        };
        self.problems.iter().filter(here).collect()
    }
}

/// The frame. All that changes comes afterwards.
pub(super) fn frame() -> String {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="referrer" content="no-referrer";
                title { "sutler desk" }
                link rel="icon" href="data:,";
                link rel="stylesheet" href="desk.css";
                script src="desk.js" defer {}
            }
            body {
                a.skip href="#work" { "To the work" }
                header #head {}
                main {
                    div #lead {
                        div #verdict role="status" aria-live="polite" { p { "Reading the files …" } }
                        div #next {}
                        div #target {}
                    }
                    nav #parts aria-label="Parts of the plan" {
                        @for part in PARTS {
                            a href={ "#" (part.id) } data-part=(part.id) { (part.title) }
                        }
                    }
                    div #work tabindex="-1" {}
                }
                footer {
                    p {
                        "Planning aid, not medical advice: thirst, race rules, local authorities \
                         and licensed practitioners come first. Everything is in the files of the \
                         race folder; nothing leaves this machine."
                    }
                    button #quit type="button" { "Close the desk" }
                }
                div #says role="status" aria-live="polite" {}
                dialog #dialog aria-labelledby="dialog-title" {}
                noscript { p { "The desk needs scripts: those of this page, and no other." } }
            }
        }
    };
    page.into_string()
}

/// The parts of the page before there is a race.
pub(super) fn beginning(session: &Session) -> Value {
    let verdict =
        html! { div.verdict { p { "No race yet." } p { "Everything begins with a route." } } };
    let next = html! {
        h2 { "Next" }
        p.large { "Drop the route of your race on this page." }
    };
    json!({
        "version": session.version,
        "open": false,
        "html": {
            "head": html! { div { h1 { "A new race" } } }.into_string(),
            "verdict": verdict.into_string(),
            "next": next.into_string(),
            "target": "",
            "work": super::begin::page(session).into_string(),
        },
    })
}

/// The parts of the page for a plan as it is.
pub(super) fn state(session: &mut Session, part: &str) -> Value {
    let planned = session.planned();
    let problems = planned.problems(&session.folder);
    let session = &*session;
    let shown = PageSource {
        session,
        planned: &planned,
        problems: &problems,
        rest: OnceCell::new(),
    };
    let part = PARTS.iter().find(|own| own.id == part).unwrap_or(&PARTS[0]);
    let steps = session.steps();
    json!({
        "version": session.version,
        "open": true,
        "part": part.id,
        "title": planned.facts.as_ref().map(|facts| facts.race.0.course.clone()),
        "undo": steps.0,
        "redo": steps.1,
        "html": {
            "head": head(&shown).into_string(),
            "verdict": verdict(&shown, part.id == "day").into_string(),
            "next": next::build(&shown, part.id == "day").into_string(),
            "target": target::build(&shown).into_string(),
            "work": html! {
                h2 #work-title { (part.title) }
                (PreEscaped((part.build)(&shown).into_string()))
            }.into_string(),
        },
    })
}

fn head(shown: &PageSource<'_>) -> Markup {
    let race = shown.planned.facts.as_ref().map(|facts| &facts.race.0);
    let (undo, redo) = shown.session.steps();
    let zone = &shown.planned.loaded.inputs.course.timezone;
    let imperial = matches!(shown.session.units, crate::cli::args::UnitsArg::Imperial);
    html! {
        div {
            h1 { @match race { Some(race) => (name(&race.course)), None => "Race" } }
            @if let Some(race) = race {
                p.line-up {
                    span { (race.length.text) } " "
                    span { (race.climb.text) " up" } " "
                    @if let Some(start) = &race.start_words { span { "start " (start) } " "
                        @if let Some(zone) = zone { span { (zone.value.name()) } } }
                }
            }
        }
        div.tools {
            button type="button" data-step="undo" disabled[!undo] { "Undo" }
            button type="button" data-step="redo" disabled[!redo] { "Redo" }
            label { "Units "
                select #units {
                    option value="metric" selected[!imperial] { "km, m, °C" }
                    option value="imperial" selected[imperial] { "mi, ft, °F" }
                }
            }
        }
    }
}

/// The verdict of the plan; on the day, of the race as it goes.
fn verdict(shown: &PageSource<'_>, on_the_day: bool) -> Markup {
    let report = Some(shown)
        .filter(|_| on_the_day)
        .and_then(|own| own.rest().report());
    let blocks = report.map_or(Vec::new(), |report| report.blocks);
    if let Some(Block::Verdict(own)) = blocks.first() {
        return verdict_box(own.holds, own.lines.iter().map(|line| worded(line).0));
    }
    let plan = shown
        .planned
        .facts
        .as_ref()
        .and_then(|facts| facts.planned());
    html! {
        @if let Some(plan) = plan {
            (verdict_box(plan.verdict.holds, super::answers::verdict_lines(&plan.verdict)))
        } @else {
            div.verdict.fails {
                p { "No plan yet." }
                @if let Some(first) = shown.problems.iter().find(|problem| problem.is_error) {
                    p { bdi { (worded(&first.message).0) } }
                }
            }
        }
    }
}
