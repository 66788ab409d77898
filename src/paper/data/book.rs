//! Chapters of the race book: words, facts, tables and lists for a template to place.

use serde_json::{Value, json};

use crate::charts::PICTURES;
use crate::charts::words::clean;
use crate::reports::View;
use crate::reports::document::{Align, Block, Table, Tone};
use crate::reports::race_book::{self, Chapter};

/// Every chapter in reading order.
pub(super) fn chapters(view: &View<'_>) -> Value {
    let all = race_book::chapters(view);
    all.iter().map(|one| chapter(view, one)).collect()
}

fn chapter(view: &View<'_>, chapter: &Chapter) -> Value {
    let picture = PICTURES
        .iter()
        .find(|known| Some(known.name) == chapter.picture)
        .map(|known| {
            json!({
                "file": format!("/{}.svg", known.name),
                "title": known.title,
                "says": (known.describe)(view),
            })
        });
    json!({
        "key": chapter.key,
        "title": chapter.title,
        "picture": picture,
        "blocks": chapter.blocks.iter().filter_map(block).collect::<Vec<_>>(),
    })
}

/// A part of a chapter; drawings in characters and what is for programs are left out.
fn block(block: &Block) -> Option<Value> {
    Some(match block {
        Block::Heading(name) => json!({ "is": "heading", "text": clean(name) }),
        Block::Paragraph(text) => json!({ "is": "words", "text": clean(text) }),
        Block::Facts(facts) => {
            let rows = facts
                .iter()
                .map(|(name, value)| [clean(name), clean(value)]);
            json!({ "is": "facts", "rows": rows.collect::<Vec<_>>() })
        }
        Block::Table(table) => tabled(table),
        Block::List(items) => {
            let items = items.iter().map(|item| {
                json!({
                    "tone": tone(item.tone),
                    "text": clean(&item.text),
                    "under": item.under.iter().map(|line| clean(line)).collect::<Vec<_>>(),
                })
            });
            json!({ "is": "list", "items": items.collect::<Vec<_>>() })
        }
        Block::Drawing(_) | Block::Data(_) => return None,
    })
}

fn tabled(table: &Table) -> Value {
    let columns = table.columns.iter().map(|column| {
        json!({
            "head": clean(&column.head),
            "right": column.align == Align::Right,
        })
    });
    let rows = table.rows.iter().map(|row| {
        let cells = row.iter();
        let cells =
            cells.map(|cell| json!({ "text": clean(&cell.shown), "tone": tone(cell.tone) }));
        cells.collect::<Vec<_>>()
    });
    json!({
        "is": "table",
        "columns": columns.collect::<Vec<_>>(),
        "rows": rows.collect::<Vec<_>>(),
    })
}

fn tone(tone: Tone) -> &'static str {
    match tone {
        Tone::Plain => "plain",
        Tone::Strong => "strong",
        Tone::Faint => "faint",
        Tone::Good => "good",
        Tone::Warning => "warning",
        Tone::Bad => "bad",
    }
}
