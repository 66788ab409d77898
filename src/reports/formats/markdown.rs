//! Markdown, for notes and web pages.

use super::{Format, TextSurface, turns};
use crate::reports::document::{Align, Block, Document, Item, Table, Tone, Verdict};

pub(super) const FORMAT: Format = Format {
    name: "markdown",
    write,
};

fn write(document: &Document, _surface: &TextSurface) -> String {
    let mut parts = vec![format!("# {}\n", escape(&document.title))];
    let for_people = |part: &&Block| !matches!(part, Block::Data(_) | Block::Skyline(_));
    parts.extend(document.blocks.iter().filter(for_people).map(block));
    parts.join("\n")
}

fn block(block: &Block) -> String {
    match block {
        Block::Heading(name) => format!("## {}\n", escape(name)),
        Block::Paragraph(text) => format!("{}\n", escape(text)),
        Block::Facts(facts) => facts
            .iter()
            .map(|(name, value)| format!("- **{}:** {}\n", escape(name), escape(value)))
            .collect(),
        Block::Table(table) => pipes(table),
        Block::List(items) => items.iter().map(item).collect(),
        Block::Drawing(lines) => format!("```text\n{}\n```\n", lines.join("\n")),
        Block::Verdict(verdict) => verdict_lines(verdict),
        Block::Data(_) | Block::Skyline(_) => String::new(),
    }
}

fn verdict_lines(verdict: &Verdict) -> String {
    let mark = if verdict.holds { "" } else { "!! " };
    let mut lines = verdict.lines.iter();
    let first = lines
        .next()
        .map(|line| format!("**{mark}{}**\n", escape(line)));
    let rest = lines.map(|line| format!("\n{}\n", escape(line)));
    first.into_iter().chain(rest).collect()
}

fn item(item: &Item) -> String {
    let text = match item.tone {
        Tone::Bad | Tone::Warning | Tone::Strong => format!("**{}**", escape(&item.text)),
        _ => escape(&item.text),
    };
    let under: String = item
        .under
        .iter()
        .map(|line| format!("  - {}\n", escape(line)))
        .collect();
    format!("- {text}\n{under}")
}

fn pipes(table: &Table) -> String {
    let row = |cells: Vec<String>| format!("| {} |\n", cells.join(" | "));
    let heads = row(table.columns.iter().map(|c| escape(&c.head)).collect());
    let rule = row(table
        .columns
        .iter()
        .map(|c| {
            if c.align == Align::Right {
                "---:".into()
            } else {
                "---".into()
            }
        })
        .collect());
    let body: String = table
        .rows
        .iter()
        .map(|cells| {
            row(cells
                .iter()
                .map(|cell| match cell.tone {
                    Tone::Bad | Tone::Warning if !cell.shown.is_empty() => {
                        format!("**{}**", escape(&cell.shown))
                    }
                    _ => escape(&cell.shown),
                })
                .collect())
        })
        .collect();
    heads + &rule + &body
}

/// Names come from files: none of them may become markup.
fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '\\' | '`' | '*' | '_' | '|' | '<' | '>' | '[' | ']' | '#' | '&' | '~' => {
                out.push('\\');
                out.push(c);
            }
            c if turns(c) => {}
            c if c.is_control() => out.push(' '),
            c => out.push(c),
        }
    }
    out
}
