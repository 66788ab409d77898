//! Reports as parts of pages, and as pages of their own.

use maud::{Markup, html};

use crate::reports::document::{Align, Block, Cell, Column, Document, Item, Table, Tone};
use crate::reports::formats::{Format, TextSurface};

use super::parts::{clean, name};
use super::shell::{ANY_WIDTH, Shell};
use super::{STYLE, skyline};

/// Any report as a page of its own.
pub const FORMAT: Format = Format {
    name: "html",
    write,
};

fn write(document: &Document, _: &TextSurface) -> String {
    let title = clean(&document.title);
    let page = Shell {
        title: &title,
        viewport: ANY_WIDTH,
        styles: &[STYLE],
        scripts: &[],
        body: html! {
            main.screen {
                h1 { (name(&document.title)) }
                (blocks(&document.blocks))
            }
        },
    };
    page.write()
}

/// Parts of a report, in order.
#[must_use]
pub fn blocks(blocks: &[Block]) -> Markup {
    html! { @for one in blocks { (block(one)) } }
}

/// One part of a report.
fn block(block: &Block) -> Markup {
    match block {
        Block::Verdict(verdict) => html! {
            div.verdict.fails[!verdict.holds] {
                @for line in &verdict.lines { p { bdi { (clean(line)) } } }
            }
        },
        Block::Heading(words) => html! { h2.keeps { (name(words)) } },
        Block::Paragraph(words) => html! { p.words { (told(words)) } },
        Block::Facts(rows) => html! {
            dl.facts { @for (word, value) in rows {
                div { dt { (clean(word)) } dd { (name(value)) } }
            } }
        },
        Block::Table(table) => tabled(table),
        Block::List(items) => html! { ul.points { @for one in items { (point(one)) } } },
        Block::Drawing(lines) => html! { pre { @for line in lines { (line) "\n" } } },
        Block::Skyline(profile) => skyline::drawn(&profile.ground),
        // data is for programs
        Block::Data(_) => html! {},
    }
}

/// A table; a part of the document that goes on over sheets.
fn tabled(table: &Table) -> Markup {
    shaded(table, &[])
}

/// A table with the rows in grey that are dark.
pub(super) fn shaded(table: &Table, dark: &[bool]) -> Markup {
    html! {
        div.scroll.splits tabindex="0" role="group" aria-label="Table" {
            table.data {
                thead { tr { @for column in &table.columns {
                    th.right[is_right(column)] scope="col" { (clean(&column.head)) }
                } } }
                tbody { @for (at, row) in table.rows.iter().enumerate() { tr.dark[dark.get(at) == Some(&true)] {
                    @for (column, cell) in table.columns.iter().zip(row) { (entry(column, cell)) }
                } } }
            }
        }
    }
}

/// Words of ours: what stands in backticks at a keyboard is set off enough by its place here.
fn told(words: &str) -> Markup {
    name(&words.replace('`', ""))
}

fn entry(column: &Column, cell: &Cell) -> Markup {
    let class = format!(
        "{}{}",
        if is_right(column) { "right " } else { "" },
        toned(cell.tone)
    );
    let class = Some(class.trim()).filter(|class| !class.is_empty());
    // a phone has no room for the head
    let head = Some(clean(&column.head)).filter(|_| !cell.shown.is_empty());
    html! { td class=[class] data-head=[head] { (name(&cell.shown)) } }
}

fn is_right(column: &Column) -> bool {
    column.align == Align::Right
}

fn point(item: &Item) -> Markup {
    html! {
        li class=[Some(toned(item.tone)).filter(|class| !class.is_empty())] {
            (told(&item.text))
            @if !item.under.is_empty() { ul { @for line in &item.under { li { (told(line)) } } } }
        }
    }
}

/// The class of a tone.
fn toned(tone: Tone) -> &'static str {
    match tone {
        Tone::Plain => "",
        Tone::Strong => "strong",
        Tone::Faint => "faint",
        Tone::Good => "good",
        Tone::Warning => "warning",
        Tone::Bad => "bad",
    }
}
