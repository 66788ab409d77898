//! The runner's times: the splits, stops with plus and minus, goals side by side, pictures,
//! what the plan finds.

use maud::{Markup, html};

use sutler::facts::{Facts, PlanFacts, SplitFacts};
use sutler::pages::parts::{self, name};
use sutler::pictures::PICTURES;

use super::{PageSource, worded};

pub(super) fn build(shown: &PageSource<'_>) -> Markup {
    let Some(facts) = &shown.planned.facts else {
        return html! { p.faint { "There is no course yet." } };
    };
    html! {
        @if let Some(plan) = facts.planned() {
            (splits(facts, plan))
            p.faint { (plan.early_late)
                @if !plan.expects_later { " Plan and likely are the same." }
                " Leave by: the latest departure that still meets every later cutoff." }
            @if let Some(marks) = plan.repeated_hour { p.faint { (marks) } }
        }
        (pictures(facts))
        @if let Some(plan) = facts.planned() {
            @if !plan.other_finishes.is_empty() { (goals(plan)) }
            @if !plan.findings.is_empty() {
                h3 { "What the plan finds" }
                @for finding in &plan.findings { (worded::finding(finding)) }
            }
            @if !plan.cautions.is_empty() {
                h3 { "Cautions" }
                ul.points { @for caution in &plan.cautions { li { (caution.text) } } }
            }
        }
    }
}

/// A cell that can be asked where its number comes from.
fn ask(label: &str, what: &str, split: &SplitFacts, shown: &str, class: &str) -> Markup {
    let class = if shown.is_empty() {
        format!("{class} none")
    } else {
        class.to_owned()
    };
    html! {
        td role="cell" data-label=(label) class=(class) data-cell=(what) {
            @if shown.is_empty() { span.faint { "–" } }
            @else { button.ask type="button" data-what=(what) data-of=(split.number) { (shown) } }
        }
    }
}

fn splits(facts: &Facts, plan: &PlanFacts) -> Markup {
    let limited = plan.splits.iter().any(|split| split.cutoff.is_some());
    html! {
        table #splits .stacks role="table" aria-label="Splits" {
            thead role="rowgroup" { tr role="row" {
                th role="columnheader" scope="col" { "#" }
                th role="columnheader" scope="col" { "Station" }
                th role="columnheader" scope="col" { (facts.race.0.units.distance) }
                @for head in ["Plan", "Likely", "Early", "Late", "Stop"] {
                    th role="columnheader" scope="col" { (head) }
                }
                @if limited { @for head in ["Cutoff", "In hand", "Made so far", "Leave by"] {
                    th role="columnheader" scope="col" { (head) }
                } }
            } }
            tbody role="rowgroup" {
                @for (index, split) in plan.splits.iter().enumerate() {
                    tr role="row" data-mark={ "station-" (index) } data-row=(index) .dark[split.dark] {
                        td role="cell" { (parts::badge(&split.number)) }
                        th role="rowheader" scope="row" { (name(&split.station)) }
                        (ask("km", "distance", split, &split.official.number, "right"))
                        (ask("Plan", "arrival", split, &split.arrival.text, "right strong"))
                        (ask("Likely", "likely", split, split.likely.beside(&split.arrival), "right"))
                        (ask("Early", "early", split, split.early.beside(&split.arrival), "right"))
                        (ask("Late", "late", split, split.late.beside(&split.arrival), "right"))
                        (stop(split, index, plan.splits.len()))
                        @if limited {
                            @let margin = split.margin.as_ref().map_or("", |m| m.text.as_str());
                            @let chance = split.chance_so_far.as_ref().map_or("", |m| m.text.as_str());
                            @let cutoff = split.cutoff.as_ref().map_or("", |at| at.beside(&split.arrival));
                            @let leave = split.latest_departure.as_ref().map_or("", |at| at.beside(&split.arrival));
                            (ask("Cutoff", "cutoff", split, cutoff, "right"))
                            (ask("In hand", "margin", split, margin, &format!("right {}", split.margin_is.unwrap_or(""))))
                            (ask("Made so far", "chance", split, chance, "right"))
                            (ask("Leave by", "leave-by", split, leave, "right"))
                        }
                    }
                }
            }
        }
    }
}

fn stop(split: &SplitFacts, index: usize, all: usize) -> Markup {
    let minutes = split
        .stop
        .as_ref()
        .map_or(0.0, |stop| stop.value / 60.0)
        .round();
    let runs_through = index == 0 || index + 1 == all;
    html! {
        td.stop.none[runs_through] role="cell" data-label="Stop" {
            @if !runs_through {
                button type="button" data-stop=(split.station) data-by="-1" data-now=(minutes)
                    aria-label={ "One minute less at " (split.station) } disabled[minutes <= 0.0] { "−" }
                // a stop that is not there has nothing to explain
                @if split.stop.is_some() {
                    button.ask type="button" data-what="stop" data-of=(split.number) { (minutes) " min" }
                } @else { span.none { (minutes) " min" } }
                button type="button" data-stop=(split.station) data-by="1" data-now=(minutes)
                    aria-label={ "One minute more at " (split.station) } { "+" }
            }
        }
    }
}

/// Every picture, drawn when it is looked at.
fn pictures(facts: &Facts) -> Markup {
    // without a cutoff there is no time in hand to show
    let has_cutoff = |plan: &PlanFacts| plan.splits.iter().any(|split| split.cutoff.is_some());
    let limited = facts.planned().is_some_and(has_cutoff);
    html! {
        section.pictures aria-label="Pictures" {
            @for picture in PICTURES.iter().filter(|own| limited || own.name != "in-hand") {
                figure data-picture=(picture.name) tabindex="0" aria-label=(picture.title) {}
            }
        }
    }
}

/// The good day, the plan and the hard day side by side.
fn goals(plan: &PlanFacts) -> Markup {
    let mut columns: Vec<(i64, &str, &str, &[SplitFacts])> = vec![(
        plan.finish.elapsed.as_secs(),
        plan.finish_time.as_str(),
        "planned",
        &plan.splits,
    )];
    columns.extend(plan.other_finishes.iter().map(|other| {
        let at = other.finish.elapsed.as_secs();
        (at, other.finish_time.as_str(), "", other.splits.as_slice())
    }));
    columns.sort_by_key(|column| column.0);
    let letters = ["A", "B", "C"];
    html! {
        h3 { "Goals side by side" }
        div.scroll tabindex="0" role="group" aria-label="Goals side by side" {
            table.data {
                thead { tr {
                    th scope="col" { "Station" }
                    @for ((_, time, about, _), letter) in columns.iter().zip(letters) {
                        th.right scope="col" { (letter) " " (time) " " (about) }
                        th.right scope="col" { "In hand" }
                    }
                } }
                tbody { @for (index, split) in plan.splits.iter().enumerate() {
                    tr data-mark={ "station-" (index) } {
                        th scope="row" { (parts::badge(&split.number)) " " (name(&split.station)) }
                        @for (_, _, _, splits) in &columns {
                            @let own = &splits[index];
                            td.right { (own.arrival.text) }
                            td class={ "right " (own.margin_is.unwrap_or("")) } {
                                @match &own.margin { Some(margin) => (margin.text), None => "–" }
                            }
                        }
                    }
                } }
                tfoot { tr {
                    th scope="row" { "All cutoffs made" }
                    @for (_, _, _, splits) in &columns {
                        @let chance = splits.iter().rev().find_map(|split| split.chance_so_far.as_ref());
                        td.right colspan="2" { @match chance { Some(chance) => (chance.text), None => "–" } }
                    }
                } }
            }
        }
    }
}
