//! A station on the crew's page: its times, what is done there, and buttons for what is seen.

use maud::{Markup, html};

use crate::facts::{
    Measure, MeetingFacts, Moment, PickupFacts, PlanFacts, ServingFacts, SplitFacts, SpotFacts,
    StationFacts, StintFacts,
};
use crate::pages::parts::{self, LOOK, joined, listed, name, names, servings};

use super::CrewPage;

/// A station where the crew meets the runner, unfolded where there is no script.
pub(super) fn meeting(page: &CrewPage<'_>, index: usize, met: &MeetingFacts) -> Markup {
    let (facts, plan) = (page.facts, page.plan);
    let (station, split) = (&facts.stations[index], &plan.splits[index]);
    let found = plan.findings.iter();
    // an unknown drive is told beside the times
    let found = found.filter(|f| f.stage == "crew" && f.kind != "drive-unknown");
    let found = found.filter(|f| f.number.as_ref() == Some(&met.number));
    html! {
        details.stop open data-station=(index) {
            summary { (who(station)) " " span.short data-f="short" { (split.likely.text) } }
            (about(station, split))
            (fields(station, index))
            dl {
                @if !station.is_start {
                    div.wide data-row {
                        dt data-f="kind" { "Likely" }
                        dd {
                            span.big data-f="likely" { (split.likely.text) } " "
                            span.window data-f="window" { (window(split)) }
                        }
                    }
                    (crew_rows(met))
                }
                (limits(station, split, Some(met)))
            }
            ul.things { (place(&met.spot))
                @if let Some(sleep) = &met.sleep { li data-row { b { "Time to sleep" } " "
                    span data-f="sleep" data-awake=(sleep.awake()) { (sleep.words()) } } }
                (things(page, met)) }
            @for found in found { (parts::finding(found)) }
            (marks(plan))
        }
    }
}

/// A station without crew, in one line and its buttons.
pub(super) fn other(page: &CrewPage<'_>, index: usize) -> Markup {
    let (facts, plan) = (page.facts, page.plan);
    let (station, split) = (&facts.stations[index], &plan.splits[index]);
    html! {
        li.stop data-station=(index) {
            h3 { (who(station)) " " span.short data-f="short" { (split.likely.text) } }
            (about(station, split))
            dl {
                @if !station.is_start {
                    div.wide data-row {
                        dt data-f="kind" { "Likely" }
                        dd { b data-f="likely" { (split.likely.text) } " "
                            span.window data-f="window" { (window(split)) } }
                    }
                }
                (limits(station, split, None))
            }
            (fields(station, index))
            (marks(plan))
        }
    }
}

fn who(station: &StationFacts) -> Markup {
    html! { span.who { span.num { (station.number) } " " (name(&station.station)) } }
}

fn about(station: &StationFacts, split: &SplitFacts) -> Markup {
    html! {
        p.small {
            (station.official.text) " · planned " (split.arrival.text)
            @if let Some(stop) = &split.stop { ", stop " (stop.text) }
            @if station.drop_bag { " · drop bag" }
        }
    }
}

fn window(split: &SplitFacts) -> String {
    let ends = [&split.early, &split.late].map(|end| end.beside(&split.likely));
    ends.join(" – ")
}

/// Times at which the crew drives off and is there.
fn crew_rows(met: &MeetingFacts) -> Markup {
    let off = met.drive_off_by.as_ref().filter(|_| met.is_driven_to());
    let from = html! { " " span.window {
        "from " (name(&met.drives_from))
        @if let Some(drive) = &met.drive { ", " (length(drive)) }
        @if let Some((who, how)) = met.at_the_wheel() { ", " (name(who)) " " (how) }
    } };
    html! {
        (row("Drive off by", "drive", off, &from))
        @if let Some(after) = &met.after { div { dt { "Drive" } dd { "unknown " span.window { "from " (name(after)) } } } }
        (row("Be there by", "there", Some(&met.be_there), &html! {}))
    }
}

fn limits(station: &StationFacts, split: &SplitFacts, met: Option<&MeetingFacts>) -> Markup {
    let leaves = met.map_or(&split.departure_likely, |met| &met.leaves);
    html! {
        @if let Some(limit) = &split.cutoff {
            div.wide data-cutoff {
                dt {
                    "Cutoff " @if split.cutoff_on == Some("departure") { "on leaving " }
                    (limit.text)
                }
                dd data-f="margin" {
                    @if let (Some(likely), Some(plan)) = (&split.margin_likely, &split.margin) {
                        (likely.text) " likely, " (plan.text) " on plan"
                    }
                }
            }
        }
        @if !station.is_finish {
            @if !station.is_start { (row("Leaves about", "leaves", Some(leaves), &html! {})) }
            div data-row hidden[split.latest_departure.is_none()] {
                dt { "Leave by" }
                dd { span data-f="latest" { @if let Some(by) = &split.latest_departure {
                    (by.text) @if let Some(first) = split.if_in_by() { ", if in by " (first.text) }
                } } }
            }
        }
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

/// The work at a meeting, in the order in which it is done.
fn things(page: &CrewPage<'_>, met: &MeetingFacts) -> Markup {
    let plan = page.plan;
    let pickup = plan.pickup_at(&met.number);
    let doses = plan.doses_at(&met.number);
    let mut ready = servings(&met.servings);
    ready.extend(names(&met.gear));
    ready.extend(
        met.water
            .iter()
            .map(|water| html! { "water " (water.text) }),
    );
    ready.extend(names(&met.bring));
    let line = |label: &str, list: &[Markup]| {
        html! { @if !list.is_empty() { li { b { (label) } " " (listed(list)) } } }
    };
    html! {
        (line("Have ready", &ready))
        @if !met.is_finish {
            li { b { "Ask" } " " (joined(&parts::questions(met), " ")) }
            li { b { "Look for" } " " (LOOK) }
        }
        @if !met.is_finish { li data-row hidden { b { "Late" } " " span data-f="packed" {} } }
        @if let Some(pickup) = pickup { (supplies(pickup)) }
        (line("Dress", &names(&met.dress_ahead)))
        (line("Caffeine", &doses.filter_map(|dose| Some(name(&dose.told()?))).collect::<Vec<_>>()))
        (line("Take back", &names(&met.take_back)))
        @if !met.is_finish { (lamp(met)) }
        @for stint in &met.stints { (pacer(page, stint)) }
        (line("Pacer stops", &names(&met.pacers_off)))
    }
}

/// The lamp, where a late runner needs it before the next meeting.
fn lamp(met: &MeetingFacts) -> Markup {
    html! {
        @for change in &met.lamp_changes { li { b { "Lamp" } " " (name(change)) } }
        li data-row hidden[met.lamp.is_none()] { b { "Lamp" } " with the runner, "
            span data-f="lamp" { @if let Some(lamp) = &met.lamp { (lamp.words()) } } }
    }
}

/// Pacers from here, and the time they have to be ready.
fn pacer(page: &CrewPage<'_>, stint: &StintFacts) -> Markup {
    let stations = &page.facts.stations;
    let until = (stations.iter()).position(|at| at.number == stint.until_number);
    let helpers = page.plan.helpers.as_ref();
    let number = helpers.and_then(|helpers| helpers.number_of(&stint.name));
    html! {
        li data-until=[until] data-brought[!stint.brought_by.is_empty()] {
            b { "Pacer joins" } " " (name(&stint.name)) " "
            @if let Some(number) = number { (call(number)) " " }
            "to " (stint.until_number) " " (name(&stint.until)) ", " (stint.length.text)
            @if stint.dark { ", lamp" }
            @if !stint.brought_by.is_empty() { ", comes with " (listed(&names(&stint.brought_by))) } "; "
            span data-f="stint" {
                "be ready by " (stint.ready.text) ", off about " (stint.from.text)
                ", there about " (stint.to.beside(&stint.from)) " (" (length(&stint.time)) ")"
            }
        }
    }
}

/// The way there, the place for the car, the number to call.
fn place(spot: &SpotFacts) -> Markup {
    let line = |label: &str, said: Option<&String>| {
        html! { @if let Some(said) = said { li { b { (label) } " " (name(said)) } } }
    };
    let at = if spot.is_parking {
        "Parking at"
    } else {
        "Station at"
    };
    html! {
        (line("Way there", spot.directions.as_ref()))
        (line("Park", spot.parking.as_ref()))
        li { b { (at) } " " a.tap href=(spot.geo) { (spot.coordinates) } }
        @if let Some(number) = &spot.phone { li { b { "Call" } " " (call(number)) } }
        (line("Note", spot.notes.as_ref()))
    }
}

/// A number that a phone dials.
pub(super) fn call(number: &str) -> Markup {
    let digits: String = (number.chars())
        .filter(|one| one.is_ascii_digit() || *one == '+')
        .collect();
    html! {
        @if digits.is_empty() { (name(number)) }
        @else { a.tap href={ "tel:" (digits) } { (name(number)) } }
    }
}

/// A length of time as people say it: `35 min`, `1:05 h`.
fn length(time: &Measure) -> String {
    if time.value < 3600.0 {
        format!("{:.0} min", time.value / 60.0)
    } else {
        format!("{} h", time.text)
    }
}

/// Food and drink that the runner has there and leaves with.
fn supplies(pickup: &PickupFacts) -> Markup {
    let pockets: Vec<Markup> = pickup.pockets.iter().map(from_where).collect();
    let here: Vec<Markup> = pickup.here.iter().map(from_where).collect();
    html! {
        @if !here.is_empty() { li { b { "Feed here" } " " (joined(&here, ", ")) } }
        @if let Some(flasks) = &pickup.flasks_words {
            li { b { "Fill" } " " bdi { (parts::clean(flasks)) } span.window { ", to last to " (name(&pickup.until_water)) } }
        }
        @if !pockets.is_empty() { li { b { "Into the pockets" } " " (joined(&pockets, ", ")) } }
        @for alert in &pickup.alerts {
            li { b { @if alert.is_cold() { "Dress" } @else { "Tell" } } " " (name(alert.told())) }
        }
        @if !pickup.gear_on.is_empty() { li { b { "Change or put on" } " " (listed(&names(&pickup.gear_on))) } }
        @if !pickup.gear_off.is_empty() { li { b { "Off" } " " (listed(&names(&pickup.gear_off))) } }
    }
}

fn from_where(one: &ServingFacts) -> Markup {
    let from = match one.source {
        "station" => " (table)",
        "bag" => " (bag)",
        "crew" => " (yours)",
        _ => "",
    };
    html! { (parts::serving(one)) span.window { (from) } }
}

/// The meaning of small marks at times; shown by the script where a time has one.
fn marks(plan: &PlanFacts) -> Markup {
    html! {
        @if let Some(marks) = plan.repeated_hour { p.small data-marks hidden { (marks) } }
    }
}

/// The entries of the crew; shown by the script that asks for the time.
fn fields(station: &StationFacts, index: usize) -> Markup {
    let field = |kind: &str, label: &str| {
        let id = format!("{kind}-{index}");
        html! {
            div {
                button type="button" id=(id) data-enter=(kind) data-k=(index)
                    aria-describedby={ (id) "-note" } { (label) " " b {} }
                p.note id={ (id) "-note" } role="alert" {}
            }
        }
    };
    html! {
        div.enter role="group" aria-label={ "Seen at " (parts::clean(&station.station)) } data-live hidden {
            @if !station.is_start { (field("came", "Came in")) }
            @if !station.is_finish { (field("left", "Left")) }
        }
    }
}
