//! Reports as parts of the page: their numbers can be asked where they come from.

use maud::{Markup, html};

use sutler::explain::WHATS;
use sutler::facts::ExplainFacts;
use sutler::pages::document;
use sutler::pages::parts::{clean, name};
use sutler::reports;
use sutler::reports::document::{Align, Block, Cell, Column, Document, Item, Table, Tone};

use super::PageSource;
use super::worded::worded;

/// A report without its title and its verdict, which stand above it already.
pub(super) fn report(shown: &PageSource<'_>, name: &str) -> Markup {
    let own = shown.planned.facts.as_ref().zip(reports::by_name(name));
    let Some((facts, report)) = own.filter(|(facts, _)| facts.planned().is_some()) else {
        return html! { p.faint { "There is no plan yet." } };
    };
    blocks((report.build)(facts))
}

/// The parts of a report.
pub(super) fn blocks(written: Document) -> Markup {
    html! {
        @for block in written.blocks {
            @match block {
                Block::Verdict(_) | Block::Data(_) => {}
                Block::Table(table) => (table_of(&table)),
                Block::Heading(words) => h3 { (name(&words)) },
                Block::List(items) => (document::blocks(&[Block::List(items.into_iter().map(plain).collect())])),
                Block::Paragraph(words) => p.words { bdi { (worded(&words).0) } },
                other => (document::blocks(&[other])),
            }
        }
    }
}

/// A point without the files' own words.
fn plain(item: Item) -> Item {
    Item {
        text: worded(&item.text).0,
        // what is an option of a command cannot be typed here
        under: item
            .under
            .iter()
            .filter(|line| !line.contains("--"))
            .map(|line| worded(line).0)
            .collect(),
        ..item
    }
}

/// A table of a report. Rows go by the number in the column of that name.
fn table_of(table: &Table) -> Markup {
    let number = table
        .columns
        .iter()
        .position(|column| column.key == Some("number"));
    html! {
        div.scroll tabindex="0" role="group" aria-label="Table" {
            table.data {
                thead { tr { @for column in &table.columns {
                    @if column.head.is_empty() { td {} }
                    @else { th.right[column.align == Align::Right] scope="col" { (clean(&column.head)) } }
                } } }
                tbody { @for row in &table.rows { tr {
                    @let of = number.and_then(|at| row.get(at)).map(|cell| cell.raw.as_str());
                    @for (column, cell) in table.columns.iter().zip(row) { (cell_of(column, cell, of)) }
                } } }
            }
        }
    }
}

fn cell_of(column: &Column, cell: &Cell, row: Option<&str>) -> Markup {
    let can_ask = |key: &str| WHATS.iter().any(|what| what.key == key);
    let what = column.key.filter(|key| can_ask(key));
    let is_number = cell.shown.contains(|c: char| c.is_ascii_digit());
    let tone = match cell.tone {
        Tone::Bad => "bad",
        Tone::Warning => "warning",
        Tone::Faint => "faint",
        _ => "",
    };
    let side = if column.align == Align::Right {
        "right "
    } else {
        ""
    };
    html! {
        td class={ (side) (tone) } {
            @match what.zip(row).filter(|_| is_number) {
                Some((what, row)) => button.ask type="button" data-what=(what) data-of=(row) { (cell.shown) },
                None => (name(&cell.shown)),
            }
        }
    }
}

/// The origin of a number, for the dialogue.
pub(in crate::desk) fn why(explained: &ExplainFacts) -> Markup {
    html! {
        h2 #dialog-title { (name(&explained.of)) ": " (explained.what) ", " (explained.printed) }
        p { (explained.meaning) }
        table.data { tbody { @for step in &explained.steps { tr {
            th scope="row" { (clean(&step.name)) }
            td { (name(&step.value)) }
            td.faint { @if let Some(at) = &step.at { (clean(at)) } }
        } } } }
        p { b { "Formula" } " " (explained.formula) }
        p.faint { "Source: " (clean(&explained.source)) }
        div.tools { button type="button" data-close { "Close" } }
    }
}

/// Words for the dialogue.
pub(in crate::desk) fn fragment(title: &str, words: &str) -> Markup {
    html! {
        h2 #dialog-title { (title) }
        p { bdi { (clean(words)) } }
        div.tools { button type="button" data-close { "Close" } }
    }
}
