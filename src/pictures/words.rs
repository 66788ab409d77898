//! Words in pictures: what they may hold, how wide they are, how they are cut to fit.

use unicode_width::UnicodeWidthChar;

/// Advances of the characters from space to tilde in thousandths of the font's size, in a wide
/// sans serif face: in any narrower one words take less room than is kept for them.
const ADVANCES: [u16; 95] = [
    318, 401, 460, 838, 636, 950, 780, 275, 390, 390, 500, 838, 318, 361, 318, 337, 636, 636, 636,
    636, 636, 636, 636, 636, 636, 636, 337, 337, 838, 838, 838, 531, 1000, 684, 686, 698, 770, 632,
    575, 775, 752, 295, 295, 656, 557, 863, 748, 787, 603, 787, 695, 635, 611, 732, 684, 989, 685,
    611, 685, 390, 337, 390, 838, 500, 500, 613, 635, 550, 635, 615, 352, 635, 634, 278, 278, 579,
    278, 974, 634, 612, 635, 635, 411, 521, 392, 634, 592, 818, 592, 592, 525, 636, 337, 636, 838,
];
/// Any other character of one column, in ems: capitals of most alphabets fit.
const OTHER_EM: f64 = 0.8;
/// A letter of a script that runs from right to left (Hebrew, Arabic and their neighbours in
/// Unicode): they are narrower.
const LEFTWARD_EM: f64 = 0.62;
/// A character of two columns, emoji among them.
const WIDE_EM: f64 = 1.35;
/// The factor by which bold letters are wider.
const BOLD: f64 = 1.11;
/// The most marks on one letter: more would climb over the lines around.
const MOST_MARKS: usize = 2;

/// Width of words in a font size, by letters that most fonts do not exceed.
pub(super) fn width(text: &str, size: f64, bold: bool) -> f64 {
    let em: f64 = text.chars().map(advance_em).sum();
    em * size * if bold { BOLD } else { 1.0 }
}

fn advance_em(c: char) -> f64 {
    let ascii = (c as usize)
        .checked_sub(32)
        .and_then(|index| ADVANCES.get(index));
    match (ascii, c) {
        (Some(thousandths), _) => f64::from(*thousandths) / 1000.0,
        (None, '·' | '¹' | '²') => 0.41,
        (None, '–') => 0.5,
        (None, '…') => 1.0,
        _ => match c.width() {
            Some(2) => WIDE_EM,
            Some(1) if runs_left(c) => LEFTWARD_EM,
            Some(1) => OTHER_EM,
            _ => 0.0,
        },
    }
}

/// Words cut with `…` to fit into a room; nothing where not even that fits.
pub(super) fn fitted(text: &str, size: f64, bold: bool, room: f64) -> String {
    if width(text, size, bold) <= room {
        return text.to_owned();
    }
    let mut kept: Vec<char> = text.chars().collect();
    loop {
        if kept.pop().is_none() {
            return String::new();
        }
        // neither a space nor half of a joined emoji before the dots
        while kept
            .last()
            .is_some_and(|c| c.is_whitespace() || *c == '\u{200d}')
        {
            kept.pop();
        }
        // the dots stand where the reader's line ends
        let leftward = kept.last().is_some_and(|c| runs_left(*c));
        let dots = if leftward { "…\u{200f}" } else { "…" };
        let cut: String = kept.iter().copied().chain(dots.chars()).collect();
        if width(&cut, size, bold) <= room {
            return if kept.is_empty() { String::new() } else { cut };
        }
    }
}

/// Words in lines that fit into a room.
pub(super) fn wrapped(text: &str, size: f64, room: f64) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let line = lines.last().map_or("", String::as_str);
        let longer = if line.is_empty() {
            word.to_owned()
        } else {
            format!("{line} {word}")
        };
        if line.is_empty() || width(&longer, size, false) <= room {
            lines.pop();
            lines.push(longer);
        } else {
            lines.push(word.to_owned());
        }
    }
    lines
}

/// A name as it may stand in a picture: on one line, without what turns the text around it, and
/// without towers of marks.
pub(crate) fn clean(name: &str) -> String {
    let mut marks = 0;
    let mut cleaned = String::new();
    for c in name.chars() {
        let c = if c.is_whitespace() { ' ' } else { c };
        if turns(c) || !is_xml(c) {
            continue;
        }
        marks = match c.width() {
            Some(0) => marks + 1,
            _ => 0,
        };
        let after_space = c == ' ' && (cleaned.is_empty() || cleaned.ends_with(' '));
        if marks <= MOST_MARKS && !after_space {
            cleaned.push(c);
        }
    }
    cleaned.trim_end().to_owned()
}

/// True if a letter belongs to a script that runs from right to left.
fn runs_left(c: char) -> bool {
    matches!(c, '\u{590}'..='\u{8ff}' | '\u{fb1d}'..='\u{fdff}' | '\u{fe70}'..='\u{feff}')
}

/// True if a character only changes the direction of the text around it.
fn turns(c: char) -> bool {
    matches!(c, '\u{61c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// True if XML may hold a character (XML 1.0, production 2, less the controls it discourages).
fn is_xml(c: char) -> bool {
    !c.is_control() && !matches!(u32::from(c) & 0xffff, 0xfffe | 0xffff)
}

/// Text that XML and HTML read as itself, in content and in quoted attributes.
pub(crate) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars().filter(|c| is_xml(*c) || *c == '\n') {
        match c {
            '&' => out += "&amp;",
            '<' => out += "&lt;",
            '>' => out += "&gt;",
            '"' => out += "&quot;",
            '\'' => out += "&#39;",
            c => out.push(c),
        }
    }
    out
}
