//! The race book: a cover with contents, then a chapter a subject, with its pictures.

use maud::{Markup, PreEscaped, html};

use crate::facts::{Facts, PickupFacts, PlanFacts, SplitFacts};
use crate::pictures::{PAPER, PICTURES};
use crate::reports::document::{Block, Column};
use crate::reports::race_book::{Chapter, chapters};

use super::parts::{self, badge, clock, listed, name, names, servings};
use super::{Page, Wishes, document, sheets, shell, skyline};

/// All of it to read before the race, and to look things up in.
pub(super) const PAGE: Page = Page {
    name: "race-book",
    title: "Race book",
    about: "the race book: all of it with pictures, contents, cautions and where the numbers are from",
    has_use: |facts| facts.planned().is_some(),
    build,
    viewport: shell::ANY_WIDTH,
    glimpse,
};

fn build(facts: &Facts, wishes: &Wishes) -> Markup {
    let Some(plan) = facts.planned() else {
        return html! {};
    };
    let chapters = chapters(facts);
    let parts = html! {
        (cover(facts, plan, wishes, &chapters))
        @for (index, chapter) in chapters.iter().enumerate() {
            h1.chapter.keeps.new-sheet[index == 0] id=(chapter.key) { (chapter.title) }
            @match chapter.key {
                "leave" => { @for pickup in &plan.pickups { (stop(plan, pickup)) } },
                "splits" => (stations(plan, chapter)),
                "gear" => (gear(&on_paper(&chapter.blocks))),
                _ => (document::blocks(&on_paper(&chapter.blocks))),
            }
            @if let Some(picture) = chapter.picture { (drawn(facts, picture)) }
        }
    };
    sheets::flow("race-book", plan, &parts)
}

/// The cover without the contents.
fn glimpse(facts: &Facts) -> Markup {
    html! { @if let Some(plan) = facts.planned() {
        div.race-book { section.cover { (face(facts, plan, &Wishes::default())) } }
    } }
}

fn cover(facts: &Facts, plan: &PlanFacts, wishes: &Wishes, chapters: &[Chapter]) -> Markup {
    html! {
        section.cover {
            (face(facts, plan, wishes))
            nav.contents {
                h2 { "Contents" }
                ol { @for chapter in chapters {
                    li { a href={ "#" (chapter.key) } { (chapter.title) } i {} b data-sheet-of=(chapter.key) {} }
                } }
            }
        }
    }
}

/// The race, its figures and the verdict.
fn face(facts: &Facts, plan: &PlanFacts, wishes: &Wishes) -> Markup {
    let race = &facts.race.0;
    let mut lines: Vec<Markup> = plan
        .runner
        .iter()
        .map(|runner| html! { b { (name(runner)) } })
        .collect();
    lines.extend(
        race.start_words
            .iter()
            .map(|start| html! { "start " (start) }),
    );
    lines.extend(
        wishes
            .made
            .iter()
            .map(|day| html! { "made " (day.format("%-d %B %Y")) }),
    );
    let figures = [
        ("distance", &race.length.text),
        ("climb", &race.climb.text),
        ("finish in", &plan.finish.elapsed.to_string()),
        ("planned for", &plan.finish.text),
    ];
    html! {
        p.kind { "Race book" }
        h1 { (name(&race.course)) }
        p.line-up { @for line in &lines { span { (line) } " " } }
        dl.figures {
            @for (word, value) in &figures[..if race.start.is_some() { 4 } else { 3 }] {
                div { dt { (word) } dd { (value) } }
            }
        }
        (skyline::drawn(&facts.profile))
        (parts::verdict(&plan.verdict))
    }
}

/// A picture as wide as its sheet.
fn drawn(facts: &Facts, picture: &str) -> Markup {
    let known = PICTURES.iter().find(|known| known.name == picture);
    html! {
        @if let Some(known) = known {
            // made of tags and escaped words by the same hands as this page
            figure.picture { (PreEscaped((known.draw)(facts, &PAPER))) }
        }
    }
}

/// The chapter of stations, whose first table is grey where it is dark.
fn stations(plan: &PlanFacts, chapter: &Chapter) -> Markup {
    let mut blocks = on_paper(&chapter.blocks);
    if let Some(Block::Table(table)) = blocks.first_mut() {
        let leave_by = |column: &Column| column.key == Some("latest_departure_s");
        if let Some(at) = table.columns.iter().position(leave_by) {
            for (row, split) in table.rows.iter_mut().zip(&plan.splits) {
                if let Some(cutoff) = split.if_in_by() {
                    row[at].shown = format!("if in {}: {}", cutoff.clock, row[at].shown);
                }
            }
        }
    }
    let dark: Vec<bool> = plan.splits.iter().map(|split| split.dark).collect();
    html! {
        @if let Some((Block::Table(table), rest)) = blocks.split_first() {
            (document::shaded(table, &dark))
            @if dark.contains(&true) { p.words.tag { "Grey: dark when the plan passes." } }
            (document::blocks(rest))
        }
    }
}

/// A short thing is to be ticked, a sentence to be read.
const SHORT: usize = 36;

/// The chapter of gear, whose lists of short things have boxes to tick.
fn gear(blocks: &[Block]) -> Markup {
    html! {
        @for block in blocks {
            @match block {
                Block::List(items) if items.iter().all(|item| item.text.chars().count() < SHORT) => {
                    ul.ticks { @for item in items { li { span.tick {} span { (name(&item.text)) } } } }
                },
                block => (document::blocks(std::slice::from_ref(block))),
            }
        }
    }
}

/// Things to leave one supply point with: where and when, then a line a kind of thing.
fn stop(plan: &PlanFacts, pickup: &PickupFacts) -> Markup {
    let split = plan
        .splits
        .iter()
        .find(|split| split.number == pickup.number);
    let dark = split.is_some_and(|split: &SplitFacts| split.dark);
    let flasks = pickup.flasks_words.as_ref().map(|words| name(words));
    let rows = [
        ("eat and drink here", servings(&pickup.here)),
        ("flasks", flasks.into_iter().collect()),
        ("carry to eat", servings(&pickup.take)),
        ("carry for later", servings(&pickup.for_later)),
        ("gear on", names(&pickup.gear_on)),
        ("gear off", names(&pickup.gear_off)),
    ];
    html! {
        section.supply.dark[dark] {
            (badge(&pickup.number))
            div {
                p { b { (name(&pickup.station)) } }
                p { "go " (clock(&pickup.departure)) }
                p.tag { (pickup.length.text) " to " (pickup.until_number) " " (name(&pickup.until)) }
            }
            dl.things {
                @for (word, list) in rows.iter().filter(|(_, list)| !list.is_empty()) {
                    dt { (word) } dd { (listed(list)) }
                }
            }
        }
    }
}

/// Parts of a report without what a keyboard is needed for.
fn on_paper(blocks: &[Block]) -> Vec<Block> {
    let is_typed = |text: &str| text.contains(['`', '[']);
    blocks
        .iter()
        .cloned()
        .map(|block| match block {
            Block::Paragraph(text) => {
                let sentences = text
                    .split_inclusive(". ")
                    .filter(|sentence| !is_typed(sentence));
                Block::Paragraph(sentences.collect::<String>().trim_end().to_owned())
            }
            Block::List(mut items) => {
                for item in &mut items {
                    item.text = parts::on_paper(&item.text);
                    item.under.retain(|line| !is_typed(line));
                }
                Block::List(items)
            }
            Block::Facts(rows) => {
                let rows = rows.into_iter();
                Block::Facts(
                    rows.map(|(word, value)| (word, parts::on_paper(&value)))
                        .collect(),
                )
            }
            other => other,
        })
        .collect()
}
