//! Plain text for a terminal or a printer: tables that fit the width, or blocks where they cannot.

use tabled::builder::Builder;
use tabled::settings::object::Columns;
use tabled::settings::style::HorizontalLine;
use tabled::settings::{Alignment, Padding, Style};
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

use super::{Format, Page, profile, turns};
use crate::reports::document::{Align, Block, Cell, Document, Item, Table, Tone, Verdict};

pub(super) const FORMAT: Format = Format {
    name: "table",
    about: "tables for a terminal or a printer",
    write,
};

fn write(document: &Document, page: &Page) -> String {
    let mut out = paint(&clean(&document.title), Tone::Strong, page) + "\n";
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
        out += &block(part, page);
        above = Some(part);
    }
    out.lines()
        .flat_map(|line| [line.trim_end(), "\n"])
        .collect()
}

fn block(block: &Block, page: &Page) -> String {
    match block {
        Block::Heading(name) => paint(&clean(name), Tone::Strong, page) + "\n",
        Block::Paragraph(text) => wrap(&clean(text), "", page.width),
        Block::Facts(facts) => facts_text(facts, page),
        Block::Table(table) => table_text(table, page),
        Block::Drawing(lines) => lines.iter().map(|line| line.clone() + "\n").collect(),
        Block::Profile(profile) => (profile::draw(profile, page.width).iter())
            .map(|line| line.clone() + "\n")
            .collect(),
        Block::Verdict(verdict) => verdict_text(verdict, page),
        Block::List(items) => items.iter().map(|i| item(i, page)).collect(),
        Block::Data(_) => String::new(),
    }
}

/// The verdict stands out by word, mark and weight; what follows is indented below its mark.
fn verdict_text(verdict: &Verdict, page: &Page) -> String {
    let (mark, tone) = if verdict.holds {
        ("", Tone::Strong)
    } else {
        ("!! ", Tone::Bad)
    };
    let lines = verdict.lines.iter().enumerate();
    lines
        .map(|(index, line)| {
            let (mark, tone) = if index == 0 {
                (mark, tone)
            } else {
                ("", Tone::Plain)
            };
            let text = wrap(&format!("{mark}{}", clean(line)), "", page.width);
            let painted = text.lines().map(|line| paint(line, tone, page) + "\n");
            painted.collect::<String>()
        })
        .collect()
}

fn item(item: &Item, page: &Page) -> String {
    let mark = match item.tone {
        Tone::Bad => "!!",
        Tone::Warning => " !",
        _ => " ·",
    };
    let indent = " ".repeat(mark.chars().count() + 1);
    let text = wrap(
        &format!("{indent}{}", clean(&item.text)),
        &indent,
        page.width,
    );
    let head = format!("{} {}", paint(mark, item.tone, page), text.trim_start());
    let under: String = item
        .under
        .iter()
        .map(|line| wrap(&format!("   → {}", clean(line)), "     ", page.width))
        .collect();
    head + &under
}

fn facts_text(facts: &[(String, String)], page: &Page) -> String {
    let widest = facts
        .iter()
        .map(|(name, _)| name.width())
        .max()
        .unwrap_or(0);
    facts
        .iter()
        .map(|(name, value)| {
            let indent = " ".repeat(widest + 2);
            let text = wrap(&format!("{indent}{}", clean(value)), &indent, page.width);
            let gap = " ".repeat(widest + 2 - name.width());
            format!(
                "{}{gap}{}",
                paint(name, Tone::Faint, page),
                text.trim_start()
            )
        })
        .collect()
}

/// The narrowest that a column of names is cut to.
const NARROWEST_NAME: usize = 12;

fn table_text(table: &Table, page: &Page) -> String {
    let mut widths: Vec<usize> = (0..table.columns.len())
        .map(|c| {
            let cells = table.rows.iter().map(|row| clean(&row[c].shown).width());
            cells
                .chain([table.columns[c].head.width()])
                .max()
                .unwrap_or(0)
        })
        .collect();
    let Some(gap) = fit(&mut widths, table, page.width) else {
        return stacked(table, page);
    };
    let mut builder = Builder::default();
    builder.push_record(
        table
            .columns
            .iter()
            .zip(&widths)
            .map(|(c, w)| paint(&cut(&c.head, *w), Tone::Faint, page)),
    );
    for row in &table.rows {
        builder.push_record(
            row.iter()
                .zip(&widths)
                .map(|(cell, w)| paint(&cut(&clean(&cell.shown), *w), cell.tone, page)),
        );
    }
    let mut drawn = builder.build();
    drawn.with(Style::empty().horizontals([(1, HorizontalLine::new('─'))]));
    for (index, column) in table.columns.iter().enumerate() {
        let align = match column.align {
            Align::Left => Alignment::left(),
            Align::Right => Alignment::right(),
        };
        let right = if index + 1 == table.columns.len() {
            0
        } else {
            gap
        };
        drawn.modify(Columns::one(index), align);
        drawn.modify(Columns::one(index), Padding::new(0, right, 0, 0));
    }
    drawn.to_string() + "\n"
}

/// The gap between columns that fits the width, names cut short if need be; `None` if none does.
fn fit(widths: &mut [usize], table: &Table, width: usize) -> Option<usize> {
    let gaps = widths.len().saturating_sub(1);
    let total = |widths: &[usize], gap: usize| widths.iter().sum::<usize>() + gap * gaps;
    if let Some(gap) = [2, 1].into_iter().find(|gap| total(widths, *gap) <= width) {
        return Some(gap);
    }
    let over = total(widths, 1) - width;
    let (index, widest) = table
        .columns
        .iter()
        .enumerate()
        .filter(|(_, column)| column.align == Align::Left)
        .map(|(index, _)| (index, widths[index]))
        .max_by_key(|(_, w)| *w)?;
    if widest < NARROWEST_NAME + over {
        return None;
    }
    widths[index] -= over;
    Some(1)
}

/// One block a row: its first cells as a title, the others named.
fn stacked(table: &Table, page: &Page) -> String {
    let mut out = String::new();
    for row in &table.rows {
        let lead = table
            .columns
            .iter()
            .position(|c| c.align == Align::Left)
            .unwrap_or(0);
        let title: Vec<&str> = row[..=lead]
            .iter()
            .map(|cell| cell.shown.as_str())
            .collect();
        out += &(paint(&clean(&title.join(" ")), Tone::Strong, page) + "\n");
        let pairs: Vec<String> = table.columns[lead + 1..]
            .iter()
            .zip(&row[lead + 1..])
            .filter(|(_, cell): &(_, &Cell)| !cell.shown.is_empty())
            .map(|(column, cell)| format!("{} {}", column.head, clean(&cell.shown)))
            .collect();
        out += &wrap(&format!("   {}", pairs.join(" · ")), "   ", page.width);
    }
    out
}

fn paint(text: &str, tone: Tone, page: &Page) -> String {
    let code = match tone {
        _ if !page.colour || text.is_empty() => return text.to_owned(),
        Tone::Plain => return text.to_owned(),
        Tone::Strong => "1",
        Tone::Faint => "2",
        Tone::Good => "32",
        Tone::Warning => "33",
        Tone::Bad => "1;31",
    };
    format!("\u{1b}[{code}m{text}\u{1b}[0m")
}

/// Breaks a text between words, and words that no line can hold; `indent` goes before every line
/// but the first.
fn wrap(text: &str, indent: &str, width: usize) -> String {
    let width = width.max(20);
    let lead: String = text.chars().take_while(|c| *c == ' ').collect();
    let room = width - indent.width().max(lead.width()).min(width / 2);
    let (mut out, mut line) = (String::new(), lead);
    let mut empty = true;
    for word in text.split_whitespace().flat_map(|word| pieces(word, room)) {
        if !empty && line.width() + 1 + word.width() > width {
            out += line.trim_end();
            out.push('\n');
            line = indent.to_owned();
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line += &word;
        empty = false;
    }
    out + line.trim_end() + "\n"
}

/// A word in pieces that fit so many columns: nearly always the word itself.
fn pieces(word: &str, width: usize) -> Vec<String> {
    let mut pieces = vec![String::new()];
    for c in word.chars() {
        if let Some(last) = pieces.last_mut()
            && last.width() + c.width().unwrap_or(0) <= width
        {
            last.push(c);
        } else {
            pieces.push(c.to_string());
        }
    }
    pieces
}

/// A text no wider than so many columns, cut in its middle: what tells two visits to a place
/// apart stands at the end of their names.
fn cut(text: &str, width: usize) -> String {
    if text.width() <= width {
        return text.to_owned();
    }
    let room = width.saturating_sub(1);
    let tail = take(text.chars().rev(), room / 3);
    let head = take(text.chars(), room - tail.iter().collect::<String>().width());
    head.iter().chain(&['…']).chain(tail.iter().rev()).collect()
}

/// The first characters that fit so many columns.
fn take(chars: impl Iterator<Item = char>, width: usize) -> Vec<char> {
    let mut used = 0;
    chars
        .take_while(|c| {
            used += c.width().unwrap_or(0);
            used <= width
        })
        .collect()
}

/// Names come from files: nothing in them may steer the terminal or turn the line around.
fn clean(text: &str) -> String {
    text.chars()
        .filter(|c| !turns(*c))
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect()
}
