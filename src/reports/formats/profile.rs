//! The course profile drawn with characters: hills in blocks, night in a lighter shade, stations
//! numbered below as in the tables.

use crate::reports::document::Skyline;

/// Rows of the hill itself.
const ROWS: usize = 8;
/// Columns left of it, for heights.
const MARGIN: usize = 9;
/// Eighths of a row, from the bottom up.
const EIGHTHS: [char; 9] = [' ', '▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
/// The body of a hill that is passed in the dark.
const NIGHT: char = '▒';
/// A hill lower than this is drawn as if it were so high, metres.
const LEAST_SPAN_M: f64 = 20.0;

/// Draws a course, with its nights where it is known when it is run.
pub(super) fn draw(profile: &Skyline, width: usize) -> Vec<String> {
    let columns = width.clamp(40, 120) - MARGIN;
    let ground = &profile.ground;
    let samples = &ground.elevation_m;
    if samples.len() < 2 {
        return Vec::new();
    }
    let heights = column_heights(samples, columns);
    let (low, high) = (ground.lowest.value, ground.highest.value);
    let span = (high - low).max(LEAST_SPAN_M);
    // the lowest point still shows an eighth, so that the ground is never missing
    let eighths: Vec<usize> = heights
        .iter()
        .map(|h| 1 + ((h - low).max(0.0) / span * (ROWS * 8 - 1) as f64).round() as usize)
        .collect();
    let nights: Vec<bool> = (0..columns)
        .map(|column| {
            let middle = (2 * column + 1) * (samples.len() - 1) / (2 * columns);
            ground.dark.get(middle).copied().unwrap_or(false)
        })
        .collect();
    let mut lines = Vec::new();
    for row in (0..ROWS).rev() {
        let label = match row {
            0 => ground.lowest.text.as_str(),
            r if r == ROWS - 1 && high - low >= LEAST_SPAN_M => ground.highest.text.as_str(),
            _ => "",
        };
        let body: String = eighths
            .iter()
            .zip(&nights)
            .map(|(e, night)| match e.saturating_sub(row * 8).min(8) {
                8 if *night => NIGHT,
                filled => EIGHTHS[filled],
            })
            .collect();
        lines.push(format!("{label:>7} │{body}").trim_end().to_owned());
    }
    lines.extend(station_rows(profile, columns));
    if nights.contains(&true) {
        lines.push(format!("{:MARGIN$}{NIGHT}{NIGHT} in the dark", ""));
    }
    lines
}

/// The highest point under each column, so that no summit falls between two.
fn column_heights(elevation_m: &[f64], columns: usize) -> Vec<f64> {
    let last = elevation_m.len() - 1;
    (0..columns)
        .map(|c| {
            let from = c * last / columns;
            let to = ((c + 1) * last / columns).max(from);
            elevation_m[from..=to]
                .iter()
                .copied()
                .fold(f64::NEG_INFINITY, f64::max)
        })
        .collect()
}

/// An axis with a tick for every station, and their numbers in as few rows as keep them apart.
fn station_rows(profile: &Skyline, columns: usize) -> Vec<String> {
    let length_m = profile.ground.step_m * (profile.ground.elevation_m.len() - 1) as f64;
    let column =
        |distance_m: f64| ((distance_m / length_m * columns as f64) as usize).min(columns - 1);
    let mut axis = vec!['─'; columns];
    let mut rows: Vec<Vec<char>> = Vec::new();
    for (label, distance_m) in &profile.stations {
        let at = column(*distance_m);
        axis[at] = '┴';
        let start = at.min(columns - label.len());
        // a free column either side keeps two numbers from reading as one
        let free = |row: &Vec<char>| {
            let from = start.saturating_sub(1);
            row[from..(start + label.len() + 1).min(columns)]
                .iter()
                .all(|c| *c == ' ')
        };
        let row = rows.iter().position(free).unwrap_or_else(|| {
            rows.push(vec![' '; columns]);
            rows.len() - 1
        });
        for (offset, c) in label.chars().enumerate() {
            rows[row][start + offset] = c;
        }
    }
    let text = |chars: &[char]| chars.iter().collect::<String>();
    let mut lines = vec![format!("{:>7} └{}", "", text(&axis))];
    lines.extend(
        rows.iter()
            .map(|row| format!("{:MARGIN$}{}", "", text(row)).trim_end().to_owned()),
    );
    lines
}
