//! The course profile drawn with characters: hills in blocks, night in a lighter shade, stations
//! numbered below as in the tables.

use crate::conditions::Conditions;
use crate::course::Course;
use crate::pacing::Pacing;
use crate::units::Units;

/// Rows of the hill itself.
const ROWS: usize = 8;
/// Columns left of it, for heights.
const MARGIN: usize = 9;
/// Eighths of a row, from the bottom up.
const EIGHTHS: [char; 9] = [' ', '▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
/// The body of a hill that is passed in the dark.
const NIGHT: char = '▒';

/// Draws a course, with its nights where it is known when it is run.
pub(super) fn draw(
    course: &Course,
    run: Option<(&Pacing, &Conditions)>,
    units: Units,
    width: usize,
) -> Vec<String> {
    let columns = width.clamp(40, 120) - MARGIN;
    let profile = &course.profile;
    let length_m = profile.length_m();
    let heights = column_heights(&profile.elevation_m, columns);
    let low = heights.iter().copied().fold(f64::INFINITY, f64::min);
    let high = heights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let span = (high - low).max(20.0);
    // the lowest point still shows an eighth, so that the ground is never missing
    let eighths: Vec<usize> = heights
        .iter()
        .map(|h| 1 + ((h - low) / span * (ROWS * 8 - 1) as f64).round() as usize)
        .collect();
    let nights: Vec<bool> = (0..columns)
        .map(|c| {
            let at_m = (c as f64 + 0.5) / columns as f64 * length_m;
            run.is_some_and(|(pacing, conditions)| {
                conditions.is_dark(at_m, pacing.elapsed_at_s(course, at_m))
            })
        })
        .collect();
    let mut lines = Vec::new();
    for row in (0..ROWS).rev() {
        let label = match row {
            r if r == ROWS - 1 => format!(
                "{} {}",
                units.height_number(low + span),
                units.height_symbol()
            ),
            0 => format!("{} {}", units.height_number(low), units.height_symbol()),
            _ => String::new(),
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
    lines.extend(station_rows(course, columns, length_m));
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
fn station_rows(course: &Course, columns: usize, length_m: f64) -> Vec<String> {
    let column =
        |distance_m: f64| ((distance_m / length_m * columns as f64) as usize).min(columns - 1);
    let mut axis = vec!['─'; columns];
    let mut rows: Vec<Vec<char>> = Vec::new();
    let last = course.stations.len() - 1;
    for (index, station) in course.stations.iter().enumerate() {
        let at = column(station.distance_m);
        axis[at] = '┴';
        let label = match index {
            0 => "S".to_owned(),
            i if i == last => "F".to_owned(),
            i => i.to_string(),
        };
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
