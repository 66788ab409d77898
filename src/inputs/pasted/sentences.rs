//! Stations told in sentences, one a line: `Moosgatter is at 42 km, closes 18:30, crew allowed`.
//!
//! A line is read only where it is plain: one distance from the start with its unit, and the name
//! before it. What else it says goes to the cells of a table, whose reader lists what it does not
//! know.

use crate::inputs::moments;

use super::cells::DistanceUnit;
use super::split::PastedLine;

/// Words between a name and its distance.
const LINKS: &str = "is at lies sits located comes";
/// Words that tell of a cutoff.
const CLOSES: &str =
    "closes close closed closing cutoff cut-off cut off leave out deadline until by limit";
/// Words that tell of another time than a cutoff.
const OPENS: &str = "opens open opening first leader leaders from";
/// Words that make a distance one from elsewhere than the start.
const ELSEWHERE: &str =
    "after since from before further later past beyond left remaining to next last";
const FROM_THE_START: [&str; 5] = [
    "from the start",
    "from start",
    "after the start",
    "into the race",
    "after start",
];
/// The share of lines with figures that must tell of a distance in words.
const TOLD: f64 = 0.5;

/// The lines as a table under column names; `None` where most are no such sentences.
pub(super) fn lines(text: &str) -> Option<Vec<PastedLine>> {
    if text.contains(['\t', '|']) {
        return None;
    }
    let filled = || (text.lines().enumerate()).filter(|(_, line)| !line.trim().is_empty());
    let told = filled().filter(|(_, line)| is_prose(line)).count();
    let figured = |line: &str| line.contains(|c: char| c.is_ascii_digit());
    let figures = filled().filter(|(_, line)| figured(line)).count();
    if told == 0 || (told as f64) < TOLD * figures as f64 {
        return None;
    }
    let head = ["Station", "Distance", "Cutoff", "Services"].map(str::to_owned);
    let rows = filled().map(|(at, line)| PastedLine {
        number: at + 1,
        cells: cells(line).unwrap_or_else(|| vec![line.trim().to_owned()]),
    });
    let head = PastedLine {
        number: 0,
        cells: head.to_vec(),
    };
    Some(std::iter::once(head).chain(rows).collect())
}

/// True where a line has a distance with its unit right behind a word that links it to a name.
fn is_prose(line: &str) -> bool {
    let lower = line.to_lowercase();
    let ends = |word: &str| word.trim_end_matches([',', ':', '.', ';']).to_owned();
    let words: Vec<String> = lower.split_whitespace().map(ends).collect();
    let placed = |word: &str| figure(word) || DistanceUnit::named(word).is_some();
    let linked = |pair: &[String]| moments::is_one(&pair[0], LINKS) && placed(&pair[1]);
    cells(line).is_some() && words.windows(2).any(linked)
}

fn figure(word: &str) -> bool {
    word.starts_with(|c: char| c.is_ascii_digit())
}

/// Name, distance, cutoff and the rest; `None` where the line is not plain.
fn cells(line: &str) -> Option<Vec<String>> {
    let line = line.trim().trim_start_matches(['-', '*', '•', ' ']);
    let mut clauses = clauses(line).into_iter();
    let (name, distance, after) = placed(&clauses.next()?)?;
    let mut cutoff = String::new();
    let mut rest: Vec<String> = Vec::new();
    for clause in after.into_iter().chain(clauses) {
        if cutoff.is_empty() && is_cutoff(&clause) {
            let lower = clause.to_lowercase();
            cutoff = lower
                .replace("cut-off", "cutoff")
                .replace("cut off", "cutoff");
        } else {
            rest.push(clause);
        }
    }
    Some(vec![name, distance, cutoff, rest.join("; ")])
}

/// The parts of a sentence between its commas and stops; those within numbers and abbreviations
/// divide nothing.
fn clauses(line: &str) -> Vec<String> {
    let mut clauses = vec![String::new()];
    let mut chars = line.chars().peekable();
    while let Some(c) = chars.next() {
        let ends = match c {
            ';' | '(' | ')' | '–' | '—' => true,
            ',' | ':' => chars.peek().is_none_or(|next| next.is_whitespace()),
            '.' => {
                // `6 p.m. and on` goes on, `18:30. Crew` does not
                let rest: String = chars.clone().take(2).collect();
                rest.is_empty() || rest.starts_with(' ') && rest.ends_with(char::is_uppercase)
            }
            _ => false,
        };
        match (ends, clauses.last_mut()) {
            (true, _) => clauses.push(String::new()),
            (false, Some(last)) => last.push(c),
            (false, None) => {}
        }
    }
    let trimmed = clauses.iter().map(|clause| clause.trim());
    let trimmed = trimmed.map(|clause| clause.strip_prefix("and ").unwrap_or(clause).to_owned());
    trimmed.filter(|clause| !clause.is_empty()).collect()
}

/// The name before a distance, the distance, and what follows it.
fn placed(clause: &str) -> Option<(String, String, Option<String>)> {
    let words: Vec<&str> = clause.split_whitespace().collect();
    let lower: Vec<String> = words.iter().map(|word| word.to_lowercase()).collect();
    let unit = |at: usize| (lower.get(at)).and_then(|word| DistanceUnit::named(word));
    // `42 km`, `42km`, `km 42`
    let spans = (0..words.len()).filter_map(|at| {
        let split = lower[at].find(|c: char| c.is_alphabetic());
        let joined = split.filter(|_| figure(&lower[at]));
        if joined.is_some_and(|to| DistanceUnit::named(&lower[at][to..]).is_some()) {
            return Some((at, at + 1));
        }
        let pair = at + 1 < words.len();
        (pair
            && (figure(&lower[at]) && joined.is_none() && unit(at + 1).is_some()
                || unit(at).is_some() && figure(&lower[at + 1])))
        .then_some((at, at + 2))
    });
    let spans: Vec<(usize, usize)> = spans.collect();
    let (from, to) = *spans.first()?;
    // `km 42 km` is one distance, two apart are none that is plain
    if spans.iter().any(|(other, _)| *other >= to) {
        return None;
    }
    let mut after = lower[to..].join(" ");
    for start in FROM_THE_START {
        after = after.replace(start, "");
    }
    let elsewhere = |word: &str| moments::is_one(word, ELSEWHERE);
    if after.split_whitespace().next().is_some_and(elsewhere) {
        return None;
    }
    let linked = |at: &usize| moments::is_one(&lower[*at], LINKS);
    let named = (0..from).rev().skip_while(linked).count();
    let name = words[..named].join(" ");
    let name = name.trim_end_matches([':', ',']).trim();
    let rest = (!after.trim().is_empty()).then(|| words[to..].join(" "));
    let rest = rest.map(|rest| rest.strip_prefix("and ").unwrap_or(&rest).to_owned());
    let is_name = name.chars().any(char::is_alphabetic);
    is_name.then(|| (name.to_owned(), words[from..to].join(" "), rest))
}

/// True where a clause tells of a time by which to be there or gone.
fn is_cutoff(clause: &str) -> bool {
    let lower = clause.to_lowercase();
    let has = |of: &str| {
        (lower.split(|c: char| !c.is_alphanumeric() && c != '-'))
            .any(|word| moments::is_one(word, of))
    };
    let timed = lower.contains(|c: char| c.is_ascii_digit());
    timed && has(CLOSES) && !has(OPENS)
}
