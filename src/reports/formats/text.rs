//! Plain text for a terminal or a printer: tables that fit the width, or blocks where they cannot.

use tabled::Table as Drawn;
use tabled::builder::Builder;
use tabled::settings::formatting::TrimStrategy;
use tabled::settings::object::Columns;
use tabled::settings::style::HorizontalLine;
use tabled::settings::{Alignment, Padding, Style, Width};
use unicode_width::UnicodeWidthStr;

use super::{Format, TextSurface, profile, turns};
use crate::reports::document::{Align, Block, Cell, Document, Item, Table, Tone, Verdict};

pub(super) const FORMAT: Format = Format {
    name: "table",
    write,
};

fn write(document: &Document, surface: &TextSurface) -> String {
    let mut out = paint(&clean(&document.title), Tone::Strong, surface) + "\n";
    let mut above: Option<&Block> = None;
    let for_people = |part: &&Block| !matches!(part, Block::Data(_));
    for part in document.blocks.iter().filter(for_people) {
        // a heading stands on what it heads, a note under the table it explains
        let joined = matches!(
            (above, part),
            (None, Block::Facts(_))
                | (Some(Block::Heading(_)), _)
                | (Some(Block::Table(_)), Block::Paragraph(_))
        );
        if !joined {
            out.push('\n');
        }
        out += &block(part, surface);
        above = Some(part);
    }
    out.lines()
        .flat_map(|line| [line.trim_end(), "\n"])
        .collect()
}

fn block(block: &Block, surface: &TextSurface) -> String {
    match block {
        Block::Heading(name) => paint(&clean(name), Tone::Strong, surface) + "\n",
        Block::Paragraph(text) => paragraph(clean(text), surface),
        Block::Facts(facts) => facts_text(facts, surface),
        Block::Table(table) => table_text(table, surface),
        Block::Drawing(lines) => lines.iter().map(|line| line.clone() + "\n").collect(),
        Block::Skyline(profile) => (profile::draw(profile, surface.width).iter())
            .map(|line| line.clone() + "\n")
            .collect(),
        Block::Verdict(verdict) => verdict_text(verdict, surface),
        Block::List(items) => items.iter().map(|i| item(i, surface)).collect(),
        Block::Data(_) => String::new(),
    }
}

/// The verdict stands out by word, mark and weight.
fn verdict_text(verdict: &Verdict, surface: &TextSurface) -> String {
    let (mark, tone) = if verdict.holds {
        ("", Tone::Strong)
    } else {
        ("!! ", Tone::Bad)
    };
    let lines = verdict.lines.iter().enumerate();
    lines
        .map(|(index, line)| {
            let text = match index {
                0 => paint(&format!("{mark}{}", clean(line)), tone, surface),
                _ => clean(line),
            };
            paragraph(text, surface)
        })
        .collect()
}

fn item(item: &Item, surface: &TextSurface) -> String {
    let mark = match item.tone {
        Tone::Bad => "!!",
        Tone::Warning => " !",
        _ => " ·",
    };
    let mark = paint(mark, item.tone, surface);
    let head = beside(3, [[mark, clean(&item.text)]], surface.width);
    let under = item.under.iter();
    let under = under.map(|line| ["   →".to_owned(), clean(line)]);
    head + &beside(5, under, surface.width)
}

fn facts_text(facts: &[(String, String)], surface: &TextSurface) -> String {
    let lead = facts.iter().map(|(name, _)| clean(name).width()).max();
    let pairs = facts.iter().map(|(name, value)| {
        let name = paint(&clean(name), Tone::Faint, surface);
        [name, clean(value)]
    });
    beside(lead.unwrap_or(0) + 2, pairs, surface.width)
}

/// The narrowest that words are wrapped to.
const NARROWEST: usize = 20;

/// Texts from a column on, each wrapped between words beside what stands before it.
fn beside(lead: usize, pairs: impl IntoIterator<Item = [String; 2]>, width: usize) -> String {
    let mut drawn = Builder::from_iter(pairs).build();
    let room = width.saturating_sub(lead).max(NARROWEST);
    drawn.with((Style::empty(), Padding::zero()));
    drawn.modify(Columns::one(0), Width::increase(lead));
    drawn.modify(Columns::one(1), Width::wrap(room).keep_words(true));
    drawn.modify(Columns::one(1), TrimStrategy::Horizontal);
    match drawn.to_string() {
        none if none.is_empty() => none,
        text => text + "\n",
    }
}

/// A paragraph.
fn paragraph(text: String, surface: &TextSurface) -> String {
    beside(0, [[String::new(), text]], surface.width)
}

/// The narrowest that a column of names is wrapped to.
const NARROWEST_NAME: usize = 12;

/// As wide a gap between columns as fits; then without the columns that can be spared; then long
/// names on several lines; then blocks.
fn table_text(table: &Table, surface: &TextSurface) -> String {
    for gap in [2, 1] {
        let drawn = drawn(table, gap, surface);
        if drawn.total_width() <= surface.width {
            return drawn.to_string() + "\n";
        }
    }
    if let Some(slimmer) = table.slimmer() {
        return table_text(&slimmer, surface);
    }
    let mut drawn = drawn(table, 1, surface);
    let over = drawn.total_width() - surface.width;
    let names = (table.columns.iter().enumerate())
        .filter(|(_, column)| column.align == Align::Left)
        .map(|(index, _)| (widest(table, index), index))
        .max();
    match names {
        Some((widest, index)) if widest >= NARROWEST_NAME + over => {
            let width = Width::wrap(widest - over).keep_words(true);
            drawn.modify(Columns::one(index), width);
            drawn.modify(Columns::one(index), TrimStrategy::Horizontal);
            drawn.to_string() + "\n"
        }
        _ => stacked(table, surface),
    }
}

fn widest(table: &Table, column: usize) -> usize {
    let cells = table.rows.iter();
    let cells = cells.map(|row| clean(&row[column].shown).width());
    cells
        .chain([table.columns[column].head.width()])
        .max()
        .unwrap_or(0)
}

fn drawn(table: &Table, gap: usize, surface: &TextSurface) -> Drawn {
    let mut builder = Builder::default();
    let heads = table.columns.iter();
    builder.push_record(heads.map(|column| paint(&column.head, Tone::Faint, surface)));
    for row in &table.rows {
        builder
            .push_record((row.iter()).map(|cell| paint(&clean(&cell.shown), cell.tone, surface)));
    }
    let mut drawn = builder.build();
    drawn.with(Style::empty().horizontals([(1, HorizontalLine::new('─'))]));
    for (index, column) in table.columns.iter().enumerate() {
        let align = match column.align {
            Align::Left => Alignment::left(),
            Align::Right => Alignment::right(),
        };
        let last = index + 1 == table.columns.len();
        drawn.modify(Columns::one(index), align);
        drawn.modify(
            Columns::one(index),
            Padding::new(0, if last { 0 } else { gap }, 0, 0),
        );
    }
    drawn
}

/// One block a row: its first cells as a title, the others named.
fn stacked(table: &Table, surface: &TextSurface) -> String {
    let mut out = String::new();
    for row in &table.rows {
        let lead = (table.columns.iter())
            .position(|column| column.align == Align::Left)
            .unwrap_or(0);
        let title: Vec<&str> = row[..=lead]
            .iter()
            .map(|cell| cell.shown.as_str())
            .collect();
        let title = paint(&clean(&title.join(" ")), Tone::Strong, surface);
        out += &paragraph(title, surface);
        let pairs: Vec<String> = table.columns[lead + 1..]
            .iter()
            .zip(&row[lead + 1..])
            .filter(|(_, cell): &(_, &Cell)| !cell.shown.is_empty())
            .map(|(column, cell)| format!("{} {}", column.head, clean(&cell.shown)))
            .collect();
        out += &beside(3, [[String::new(), pairs.join(" · ")]], surface.width);
    }
    out
}

fn paint(text: &str, tone: Tone, surface: &TextSurface) -> String {
    let code = match tone {
        _ if !surface.colour || text.is_empty() => return text.to_owned(),
        Tone::Plain => return text.to_owned(),
        Tone::Strong => "1",
        Tone::Faint => "2",
        Tone::Good => "32",
        Tone::Warning => "33",
        Tone::Bad => "1;31",
    };
    format!("\u{1b}[{code}m{text}\u{1b}[0m")
}

/// Names come from files: nothing in them may steer the terminal or turn the line around.
fn clean(text: &str) -> String {
    text.chars()
        .filter(|c| !turns(*c))
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect()
}
