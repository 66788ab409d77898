//! A station on the crew's page: its times, what is handed over, and fields for what is seen.

use maud::{Markup, html};

use crate::facts::{Facts, MeetingFacts, Moment, PlanFacts, SplitFacts, StationFacts};
use crate::pages::parts::{self, listed, name, names, servings};

pub(super) fn card(facts: &Facts, plan: &PlanFacts, index: usize) -> Markup {
    let (station, split) = (&facts.stations[index], &plan.splits[index]);
    let meeting = plan.crew.iter().find(|met| met.number == station.number);
    html! {
        li class={ "stop" @if meeting.is_none() { " plain" } } data-station=(index) {
            h3 { span.num { (station.number) } (name(&station.station)) }
            p.small {
                (station.official.text) " · planned " (split.arrival.text)
                @if meeting.is_some() { " · crew" }
                @if station.drop_bag { " · drop bag" }
            }
            p data-f="real" hidden {}
            dl { (rows(station, split, meeting)) }
            @if let Some(meeting) = meeting { (things(meeting)) }
            (fields(station, index))
        }
    }
}

/// The times of a station: the plan's until the script has better ones.
fn rows(station: &StationFacts, split: &SplitFacts, meeting: Option<&MeetingFacts>) -> Markup {
    html! {
        @if !station.is_start {
            div.wide data-row {
                dt data-f="effort-label" { "Planned" }
                dd {
                    span.big data-f="effort" { (split.arrival.text) } " "
                    span.window data-f="window" {
                        (split.early.beside(&split.arrival)) " – " (split.late.beside(&split.arrival))
                    }
                }
            }
            div.wide data-row hidden {
                dt { "To hold the finish" }
                dd { span data-f="hold" {} " " span.window data-f="hold-window" {} }
            }
            @if let Some(meeting) = meeting { (crew_rows(meeting)) }
        }
        @if let Some(limit) = &split.cutoff {
            div data-cutoff {
                dt {
                    "Cutoff " @if split.cutoff_on == Some("departure") { "on leaving " }
                    (limit.text)
                }
                dd data-f="margin" {}
            }
        }
        @if !station.is_finish {
            (row("Leaves", "leaves", Some(&split.departure), &html! {}))
            (row("Leave by", "latest", split.latest_departure.as_ref(), &html! {}))
        }
    }
}

/// When the crew drives off, and when it is there.
fn crew_rows(meeting: &MeetingFacts) -> Markup {
    let drives = meeting
        .drive
        .as_ref()
        .is_some_and(|drive| drive.value > 0.0);
    let off = meeting.drive_off_by.as_ref().filter(|_| drives);
    let from = html! { " " span.window { "from " (name(&meeting.drives_from)) } };
    html! {
        (row("Drive off by", "drive", off, &from))
        (row("Be there by", "there", Some(&meeting.be_there), &html! {}))
    }
}

/// A label, a time and what belongs to it, hidden until there is a time.
fn row(label: &str, field: &str, at: Option<&Moment>, more: &Markup) -> Markup {
    html! {
        div data-row hidden[at.is_none()] {
            dt { (label) }
            dd { span data-f=(field) { @if let Some(at) = at { (at.text) } } (more) }
        }
    }
}

/// What is handed over and taken back.
fn things(meeting: &MeetingFacts) -> Markup {
    let mut over = servings(&meeting.servings);
    over.extend(names(&meeting.gear));
    let water = meeting.water.iter().map(|water| html! { (water.text) });
    let lists = [
        ("Hand over", over),
        ("Water", water.collect()),
        ("Take back", names(&meeting.take_back)),
        ("Bring", names(&meeting.bring)),
        ("Pacer joins", names(&meeting.pacers_on)),
        ("Pacer stops", names(&meeting.pacers_off)),
    ];
    let lists: Vec<_> = lists.iter().filter(|(_, list)| !list.is_empty()).collect();
    html! {
        @if !lists.is_empty() {
            ul.things { @for (label, list) in lists { li { b { (label) ":" } " " (listed(list)) } } }
        }
    }
}

/// Where the crew writes what it sees; shown by the script that reads it.
fn fields(station: &StationFacts, index: usize) -> Markup {
    let called = parts::clean(&station.station);
    let field = |kind: &str, label: &str| {
        let id = format!("{kind}-{index}");
        html! {
            div {
                label for=(id) { (label) }
                div.pair {
                    input id=(id) data-kind=(kind) autocomplete="off" spellcheck="false"
                        maxlength="24" aria-describedby={ (id) "-note" };
                    button type="button" data-now=(id) aria-label={ (label) " now: " (called) } { "Now" }
                }
                p.note id={ (id) "-note" } role="alert" {}
            }
        }
    };
    html! {
        div.enter role="group" aria-label={ "Seen at " (called) } hidden {
            @if !station.is_start { (field("seen", "Arrived")) }
            @if !station.is_finish { (field("left", "Left")) }
        }
    }
}
