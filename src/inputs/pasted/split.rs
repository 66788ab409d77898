//! Lines and cells: the separator that makes a table of the text.

use csv::ReaderBuilder;

use super::super::{limits, moments};
use super::senses;

/// One line of the pasted text that is not blank.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct PastedLine {
    /// Its number in the text, from 1.
    pub(super) number: usize,
    pub(super) cells: Vec<String>,
}

impl PastedLine {
    /// The cells that hold something.
    pub(super) fn filled(&self) -> impl Iterator<Item = &str> {
        self.cells
            .iter()
            .map(String::as_str)
            .filter(|c| !c.is_empty())
    }
}

/// The share of lines that must have the same number of cells for a separator to be believed.
const ALIKE: f64 = 0.55;

/// A text with the line ends and blanks that tables are read by.
pub(super) fn plain(text: &str) -> String {
    text.trim_start_matches('\u{feff}')
        .replace("\r\n", "\n")
        .replace('\r', "\n")
        .chars()
        .map(|c| match c {
            '\u{a0}' | '\u{2007}' | '\u{202f}' => ' ',
            other => other,
        })
        .filter(|c| !c.is_control() || matches!(c, '\n' | '\t'))
        .collect()
}

/// The lines of a plain text as cells.
pub(super) fn lines(plain: &str) -> Vec<PastedLine> {
    let ways: [fn(&str) -> Vec<PastedLine>; 5] = [
        |text| filled_up(separated(text, b'\t')),
        |text| filled_up(separated(text, b';')),
        piped,
        spaced,
        |text| separated(text, b','),
    ];
    let mut best: Option<(f64, Vec<PastedLine>)> = None;
    for way in ways {
        let lines = way(plain);
        let quality = quality(&lines);
        if quality >= ALIKE && best.as_ref().is_none_or(|(most, _)| quality > *most) {
            best = Some((quality, lines));
        }
    }
    best.map_or_else(|| worded(plain), |(_, lines)| lines)
}

/// Rows of which the last cells were left out, as long as the others.
fn filled_up(mut lines: Vec<PastedLine>) -> Vec<PastedLine> {
    let usual = usual_cells(&lines).map_or(0, |(cells, _)| cells);
    for line in lines.iter_mut().filter(|line| line.cells.len() > 1) {
        let cells = line.cells.len().max(usual);
        line.cells.resize(cells, String::new());
    }
    lines
}

/// The number of cells that most lines have, and how many lines; `None` where none has two.
fn usual_cells(lines: &[PastedLine]) -> Option<(usize, usize)> {
    let mut counts = vec![0_usize; limits::COLUMNS + 1];
    for line in lines {
        if let Some(count) = counts.get_mut(line.cells.len()) {
            *count += 1;
        }
    }
    let counted = counts.into_iter().enumerate().skip(2);
    counted
        .max_by_key(|(_, lines)| *lines)
        .filter(|(_, lines)| *lines > 0)
}

/// Its likeness to a table: the share of lines with as many cells as most, and a point for a
/// line of column names.
fn quality(lines: &[PastedLine]) -> f64 {
    let most = usual_cells(lines).map_or(0, |(_, lines)| lines);
    let alike = most as f64 / lines.len().max(1) as f64;
    let above = lines.iter().take(senses::LINES_ABOVE);
    let headed = above.into_iter().any(|line| senses::is_head(line.filled()));
    alike + if headed && most > 0 { 1.0 } else { 0.0 }
}

fn separated(text: &str, separator: u8) -> Vec<PastedLine> {
    // An odd number of quotes is a stray one, which would swallow the rest of the text.
    let quoted = text.matches('"').count().is_multiple_of(2);
    let mut reader = ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .quoting(quoted)
        .delimiter(separator)
        .from_reader(text.as_bytes());
    let mut lines = Vec::new();
    for record in reader.records().flatten() {
        let number = record.position().map_or(0, |p| line_at(text, p.byte()));
        let cells = record.iter().map(cleaned).collect();
        lines.extend(line(number, cells));
    }
    lines
}

/// The number of the first line at or after a byte that is not blank, as the `csv` crate reads.
fn line_at(text: &str, byte: u64) -> usize {
    let at = usize::try_from(byte).unwrap_or(usize::MAX).min(text.len());
    let blank = text[at..].bytes().take_while(|b| *b == b'\n').count();
    text[..at + blank].bytes().filter(|b| *b == b'\n').count() + 1
}

/// Cells between upright bars, with or without bars at the ends.
fn piped(text: &str) -> Vec<PastedLine> {
    if !text.contains('|') {
        return Vec::new();
    }
    let rows = text.lines().enumerate().filter_map(|(at, written)| {
        let inner = written.trim();
        let inner = inner.strip_prefix('|').unwrap_or(inner);
        let inner = inner.strip_suffix('|').unwrap_or(inner);
        line(at + 1, inner.split('|').map(cleaned).collect())
    });
    rows.collect()
}

/// A cell with the columns of characters it stands in.
struct PlacedCell {
    from: usize,
    to: usize,
    text: String,
}

/// Cells with two or more blanks between them, put under those of the fullest line.
fn spaced(text: &str) -> Vec<PastedLine> {
    let placed: Vec<(usize, Vec<PlacedCell>)> = text
        .lines()
        .enumerate()
        .map(|(at, line)| (at + 1, gaps(line)))
        .filter(|(_, cells)| !cells.is_empty())
        .collect();
    // the first of the fullest lines, which is that of the column names where there is one
    let fullest = placed.iter().rev().max_by_key(|(_, cells)| cells.len());
    let Some((_, anchors)) = fullest else {
        return Vec::new();
    };
    let rows = placed.iter().filter_map(|(number, cells)| {
        let texts = if cells.len() == anchors.len() || cells.len() == 1 {
            cells.iter().map(|cell| cell.text.clone()).collect()
        } else {
            under(cells, anchors)
        };
        line(*number, texts)
    });
    rows.collect()
}

fn gaps(line: &str) -> Vec<PlacedCell> {
    let mut cells: Vec<PlacedCell> = Vec::new();
    let mut blanks = 2;
    for (at, c) in line.chars().enumerate() {
        if c == ' ' || c == '\t' {
            blanks += if c == '\t' { 2 } else { 1 };
            continue;
        }
        match cells.last_mut().filter(|_| blanks < 2) {
            Some(cell) => {
                cell.text.extend(std::iter::repeat_n(' ', blanks));
                cell.text.push(c);
                cell.to = at + 1;
            }
            None => cells.push(PlacedCell {
                from: at,
                to: at + 1,
                text: c.to_string(),
            }),
        }
        blanks = 0;
    }
    cells
}

/// Each cell under the nearest of the anchors right of the one before.
fn under(cells: &[PlacedCell], anchors: &[PlacedCell]) -> Vec<String> {
    let mut texts = vec![String::new(); anchors.len()];
    let mut next = 0;
    for (at, cell) in cells.iter().enumerate() {
        let left = cells.len() - 1 - at;
        let last = anchors.len().saturating_sub(left).max(next + 1);
        let gap = |anchor: &PlacedCell| {
            let right = anchor.from.saturating_sub(cell.to);
            right.max(cell.from.saturating_sub(anchor.to))
        };
        let free = (next..last.min(anchors.len())).min_by_key(|at| gap(&anchors[*at]));
        if let Some(at) = free {
            texts[at].clone_from(&cell.text);
            next = at + 1;
        } else if let Some(text) = texts.last_mut() {
            text.push(' ');
            text.push_str(&cell.text);
        }
    }
    texts
}

/// Cells with one blank between them: words that follow each other are one cell.
fn worded(text: &str) -> Vec<PastedLine> {
    let rows = text.lines().enumerate().filter_map(|(at, written)| {
        let tokens: Vec<&str> = written.split_whitespace().collect();
        let cells = if senses::is_head(tokens.iter().copied()) {
            tokens.iter().map(|token| cleaned(token)).collect()
        } else {
            joined(&tokens)
        };
        line(at + 1, cells)
    });
    rows.collect()
}

fn joined(tokens: &[&str]) -> Vec<String> {
    let mut cells: Vec<String> = Vec::new();
    let mut before = Token::Value;
    for (at, token) in tokens.iter().enumerate() {
        let last = at.checked_sub(1).and_then(|at| tokens.get(at));
        let sort = Token::of(token).beside(token, last, tokens.get(at + 1));
        let joins = matches!(
            (before, sort),
            (Token::Word, Token::Word | Token::Half)
                | (Token::Day, Token::Value | Token::Day)
                | (Token::Value, Token::Half)
        );
        match cells.last_mut().filter(|_| joins) {
            Some(cell) => {
                cell.push(' ');
                cell.push_str(token);
            }
            None => cells.push(cleaned(token)),
        }
        before = sort;
    }
    cells
}

/// The sorts of words in a line, as far as they tell where a cell ends.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Token {
    /// A number, a time, yes or no.
    Value,
    /// Text that belongs to the number before it.
    Half,
    /// A day, which belongs to the time after it.
    Day,
    Word,
}

impl Token {
    /// The sort of a word of time, such as `bis` before a number or `(out)` after a time.
    fn beside(self, token: &str, last: Option<&&str>, next: Option<&&str>) -> Token {
        let figured = |token: &&&str| token.starts_with(|c: char| c.is_ascii_digit());
        let timed = |token: &&&str| figured(token) && token.contains([':', 'h']);
        let word = token.trim_matches(['(', ')', '.', ',']).to_lowercase();
        match self {
            Token::Word if moments::leads(&word) && next.filter(figured).is_some() => Token::Day,
            Token::Word if moments::is_event(&word) && last.filter(timed).is_some() => Token::Half,
            own => own,
        }
    }

    fn of(token: &str) -> Token {
        let lower = token.to_lowercase();
        if matches!(
            lower.as_str(),
            "am" | "pm" | "a.m." | "p.m." | "uhr" | "km" | "mi" | "miles" | "h" | "min"
        ) {
            Token::Half
        } else if super::super::values::day_named(&lower).is_some() {
            Token::Day
        } else if super::cells::yes_no(token).is_some()
            || (token.chars().any(|c| c.is_ascii_digit())
                && token
                    .chars()
                    .next()
                    .is_some_and(|c| c.is_ascii_digit() || c == '+'))
        {
            Token::Value
        } else {
            Token::Word
        }
    }
}

/// A line, unless it is blank or a ruling.
fn line(number: usize, cells: Vec<String>) -> Option<PastedLine> {
    let ruling = |text: &String| {
        text.chars()
            .all(|c| matches!(c, '-' | '=' | '+' | ':' | '_' | ' '))
    };
    let long = cells.iter().any(|text| text.len() > 2);
    let blank = cells.iter().all(String::is_empty);
    let ruled = long && cells.iter().all(ruling);
    (!blank && !ruled).then_some(PastedLine { number, cells })
}

/// A cell's text on one line, without marks of emphasis and footnotes.
fn cleaned(text: &str) -> String {
    let one_line: Vec<&str> = text.split_whitespace().collect();
    one_line.join(" ").trim_matches('*').trim().to_owned()
}
