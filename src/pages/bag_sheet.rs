//! The bag sheet: what to buy, what goes into whose hands, and a label to cut out for each bag.

use maud::{Markup, html};

use crate::facts::{BagFacts, BagVisitFacts, Facts, HeapFacts, PlanFacts, ProvisionFacts};

use super::parts::{self, badge, clock, listed, name, names, servings};
use super::{Page, Wishes, sheets, shell};

/// The sheet of things bought, packed and handed in before the race.
pub(super) const PAGE: Page = Page {
    name: "bag-sheet",
    title: "Bag sheet",
    about: "shopping and packing list with boxes to tick, and a label to cut out for each drop bag",
    has_use: |facts| {
        facts
            .planned()
            .is_some_and(|plan| !plan.heaps.is_empty() || !plan.bags.is_empty())
    },
    build,
    viewport: shell::ANY_WIDTH,
    glimpse,
};

/// Names of places up to so many letters are set large on a label, up to the other in the middle.
const LETTERS: [usize; 2] = [13, 28];

fn build(facts: &Facts, wishes: &Wishes) -> Markup {
    let Some(plan) = facts.planned() else {
        return html! {};
    };
    let own: Vec<&ProvisionFacts> = plan
        .shopping
        .iter()
        .filter(|food| food.servings > 0)
        .collect();
    let parts = html! {
        (sheets::title("Pack", facts, &parts::verdict(&plan.verdict), &said(facts, plan, wishes)))
        @if !own.is_empty() {
            h2.keeps { "To have at home" }
            (shopping(&own))
            p.words.tag { (plan.body.packed_words) }
        }
        @if !plan.heaps.is_empty() {
            h2.keeps { "To pack" }
            // the table has the spares
            @for one in plan.heaps.iter().filter(|heap| heap.hands != "spare") { (heap(one)) }
        }
        @if !plan.bags.is_empty() {
            h2.keeps.new-sheet { "Drop bags" }
            p.keeps { "Cut along the solid line and fold at the dashed one: label outside, list inside. Keep it dry." }
            @for rule in &facts.race.0.bag_rules { p.keeps { (name(rule)) } }
            @for frost in plan.findings.iter().filter(|one| one.kind == "frozen-drink") {
                @if let Some(way) = frost.ways_out.last() { p.keeps { "Frost: " (name(way)) } }
            }
            @for (position, bag) in plan.bags.iter().enumerate() { (label(facts, plan, bag, position)) }
        }
    };
    sheets::flow("bag-sheet", plan, &parts)
}

/// The first label, or where there is none the first things to pack.
fn glimpse(facts: &Facts) -> Markup {
    html! { @if let Some(plan) = facts.planned() { div.bag-sheet {
        @if let Some(bag) = plan.bags.first() { (label(facts, plan, bag, 0)) }
        @else if let Some(first) = plan.heaps.first() { (heap(first)) }
    } } }
}

fn said(facts: &Facts, plan: &PlanFacts, wishes: &Wishes) -> Vec<Markup> {
    let mut said: Vec<Markup> = plan.runner.iter().map(|runner| name(runner)).collect();
    if let Some(start) = &facts.race.0.start_words {
        said.push(html! { "start " b { (start) } });
    }
    if let Some(day) = wishes.made {
        said.push(html! { "made " (day.format("%-d %B %Y")) });
    }
    said
}

fn shopping(foods: &[&ProvisionFacts]) -> Markup {
    let number = |count: u32| {
        if count == 0 {
            "–".to_owned()
        } else {
            count.to_string()
        }
    };
    let known = |count: Option<u32>| {
        html! { @match count { Some(count) => { (number(count)) }, None => { span.blank {} } } }
    };
    html! {
        table.data.foods {
            thead { tr {
                th scope="col" { "food, servings" }
                @for word in ["start", "bags", "crew", "all", "spare", "have", "buy"] {
                    th.right scope="col" { (word) }
                }
            } }
            tbody { @for food in foods { tr {
                td { span.tick {} " " (name(&food.food)) }
                @for count in [food.from_start, food.in_bags, food.with_crew, food.servings, food.spare] {
                    td.right { (number(count)) }
                }
                td.right { (known(food.stock)) }
                td.right.buy { b { (known(food.buy)) } }
            } } }
        }
        p.words.tag {
            "Start, bags, crew: who has it before the race. Spare: one in eight, where there is room. Buy: all and \
             spare, less your stock"
            @if foods.iter().any(|food| food.stock.is_none()) { "; a line where your stock is not known" }
            "."
        }
    }
}

fn heap(heap: &HeapFacts) -> Markup {
    let things: Vec<&String> = heap.food.iter().chain(&heap.gear).collect();
    html! {
        section.heap {
            h3 { (badge(&heap.hands.to_uppercase())) " " (name(&heap.name)) }
            @if things.is_empty() { p { "nothing" } } @else { (ticks(&things)) }
        }
    }
}

/// Boxes to tick.
fn ticks(things: &[&String]) -> Markup {
    html! { ul.ticks { @for thing in things { li { span.tick {} span { (name(thing)) } } } } }
}

/// A label: outside left, inside right, to fold between.
fn label(facts: &Facts, plan: &PlanFacts, bag: &BagFacts, position: usize) -> Markup {
    html! {
        section.label {
            div.outside { (outside(facts, plan, bag, position)) }
            div.inside { (inside(bag)) }
        }
    }
}

/// Seen by whoever sorts the bags.
fn outside(facts: &Facts, plan: &PlanFacts, bag: &BagFacts, position: usize) -> Markup {
    let letters = bag.place.chars().count();
    let size = match LETTERS.iter().position(|most| letters <= *most) {
        Some(0) => "short",
        Some(_) => "middle",
        None => "long",
    };
    let phone = plan
        .helpers
        .as_ref()
        .and_then(|helpers| helpers.phone.as_ref());
    html! {
        p.which { (badge("DROP BAG")) span { "bag " (position + 1) " of " (plan.bags.len()) } }
        h3 class=(size) { (name(&bag.place)) }
        @match &plan.runner {
            Some(runner) => { p.runner { (name(runner)) } },
            None => { p.box { "runner" } },
        }
        div.boxes { p.box { "bib" } p.box { "hand in by" @if let Some(by) = &facts.race.0.hand_in { " " b { (name(by)) } } } }
        p { (name(&facts.race.0.course)) @if let Some(start) = &facts.race.0.start_words { ", start " (start) } }
        p { "runner here "
            @for visit in &bag.visits { span.together { (badge(&visit.number)) " " (clock(&visit.arrival)) } " " }
        }
        @if let Some(phone) = phone { p { "If lost, phone " b { (name(phone)) } } }
    }
}

/// Read by the runner when it is packed and when it is opened.
fn inside(bag: &BagFacts) -> Markup {
    let food = servings(&bag.servings);
    html! {
        p { b { "Put in" } }
        @if food.is_empty() && bag.gear.is_empty() { p { "nothing planned" } } @else {
            ul.ticks.two {
                @for serving in &bag.servings { li { span.tick {} (parts::serving(serving)) } }
                @for gear in &bag.gear { li { span.tick {} span { (name(gear)) } } }
            }
        }
        @for visit in &bag.visits { (opened(visit)) }
        @if !bag.returns.is_empty() {
            p.visit { b { "Comes home with the bag " } (listed(&names(&bag.returns))) }
        }
        p.visit { b { (parts::SHORT_CAUTIONS[0]) } }
    }
}

/// One visit: what is taken out for which stretch, in the order of use.
fn opened(visit: &BagVisitFacts) -> Markup {
    let nothing = visit.in_order.is_empty() && visit.gear.is_empty() && visit.leave.is_empty();
    html! {
        div.visit {
            p { (badge(&visit.number)) " " b { (name(&visit.station)) } " " (clock(&visit.arrival)) }
            @if nothing { p { "nothing planned" } } @else {
                dl.things {
                    @for ration in &visit.in_order {
                        dt { "to " (ration.until_number) } dd { (listed(&servings(&ration.servings))) }
                    }
                    @if !visit.gear.is_empty() { dt { "take" } dd { (listed(&names(&visit.gear))) } }
                    @if !visit.leave.is_empty() { dt { "leave" } dd { (listed(&names(&visit.leave))) } }
                }
            }
        }
    }
}
