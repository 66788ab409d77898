//! The text of a `stations.csv` from a pasted table.

use csv::WriterBuilder;

use crate::inputs::stations_csv::{CutoffOn, StationKind};

use super::rows::PastedStation;
use super::{ColumnMeaning, PastedTable, Unread};

/// The text, with what was not taken over as comments above its row.
pub(super) fn stations_csv(table: &PastedTable) -> String {
    let (columns, stations) = (&table.columns, &table.stations);
    let mut text = String::from(
        "# One row a visit, in course order, from the organiser's table. Compare it with the race rules.\n",
    );
    let unused = columns
        .iter()
        .filter(|c| c.meaning == ColumnMeaning::NotUsed && !c.heading.is_empty());
    let unused: Vec<&str> = unused.map(|column| column.heading.as_str()).collect();
    if !unused.is_empty() {
        let unused = unused.join(", ");
        text.push_str(&comment(&format!("Columns not used: {unused}")));
    }
    for assumed in &table.assumed {
        text.push_str(&comment(&format!("Assumed: {assumed}")));
    }
    let miles = columns
        .iter()
        .any(|c| matches!(c.meaning, ColumnMeaning::Miles | ColumnMeaning::MilesSince));
    let mut sorted: Vec<&Unread> = table.unread.iter().collect();
    sorted.sort_by_key(|cell| cell.line);
    let head = head(stations, miles);
    let first = stations.iter().map(|s| s.line).min().unwrap_or(usize::MAX);
    let above = |cell: &Unread| cell.line < first;
    sorted
        .iter()
        .filter(|cell| above(cell))
        .for_each(|cell| text.push_str(&told(cell)));
    text.push_str(&row(&head));
    for station in stations {
        let own = sorted.iter().filter(|cell| cell.line == station.line);
        own.for_each(|cell| text.push_str(&told(cell)));
        let cells: Vec<String> = head.iter().map(|column| cell(station, column)).collect();
        text.push_str(&row(&cells));
    }
    let has_row = |cell: &Unread| stations.iter().any(|station| station.line == cell.line);
    let rest = sorted.iter().filter(|cell| !above(cell) && !has_row(cell));
    rest.for_each(|cell| text.push_str(&told(cell)));
    text
}

fn told(cell: &Unread) -> String {
    let column = cell
        .column
        .map_or(String::new(), |at| format!(", column {at}"));
    comment(&format!(
        "Not read: line {}{column}: \"{}\": {}",
        cell.line, cell.text, cell.reason
    ))
}

fn comment(text: &str) -> String {
    format!("# {}\n", text.replace(char::is_control, " "))
}

/// The columns that are needed.
fn head(stations: &[PastedStation], miles: bool) -> Vec<String> {
    let any = |holds: fn(&PastedStation) -> bool| stations.iter().any(holds);
    let distance = if miles { "distance_mi" } else { "distance_km" };
    [
        ("name", true),
        ("place", any(|s| s.place.is_some())),
        (
            distance,
            any(|s| s.distance_m.is_some()) || stations.is_empty(),
        ),
        ("lat", any(|s| s.position.is_some())),
        ("lon", any(|s| s.position.is_some())),
        ("kind", true),
        ("cutoff", true),
        ("cutoff_on", any(|s| s.cutoff_on.is_some())),
        ("crew", true),
        ("drop_bag", true),
        ("pacer", any(|s| s.pacer)),
        ("stop_min", any(|s| s.stop_min.is_some())),
        ("offers", true),
    ]
    .into_iter()
    .filter(|(_, needed)| *needed)
    .map(|(column, _)| column.to_owned())
    .collect()
}

fn cell(station: &PastedStation, column: &str) -> String {
    let yes = |is: bool| if is { "yes".to_owned() } else { String::new() };
    let rounded = |number: f64| format!("{}", (number * 1000.0).round() / 1000.0);
    let distance = |unit_m: f64| {
        station
            .distance_m
            .map_or_else(String::new, |m| rounded(m / unit_m))
    };
    let degrees = |angle: Option<f64>| angle.map_or_else(String::new, |a| a.to_string());
    match column {
        "name" => station.name.clone(),
        "place" => station.place.clone().unwrap_or_default(),
        "distance_km" => distance(1000.0),
        "distance_mi" => distance(crate::units::M_PER_MILE),
        "lat" => degrees(station.position.map(|p| p.0)),
        "lon" => degrees(station.position.map(|p| p.1)),
        "kind" => word(station.kind.map(StationKind::name)),
        "cutoff" => match (&station.cutoff, &station.cutoff_unread) {
            (Some(cutoff), _) => cutoff.clone(),
            (None, Some(text)) => format!("? {}", text.trim_start_matches(['?', ' '])),
            (None, None) => String::new(),
        },
        "cutoff_on" => word(station.cutoff_on.map(CutoffOn::name)),
        "crew" => yes(station.crew),
        "drop_bag" => yes(station.drop_bag),
        "pacer" => yes(station.pacer),
        "stop_min" => station.stop_min.map_or_else(String::new, rounded),
        _ => station.offers.join("; "),
    }
}

fn word(name: Option<&'static str>) -> String {
    name.unwrap_or_default().to_owned()
}

fn row<S: AsRef<str>>(cells: &[S]) -> String {
    let mut writer = WriterBuilder::new().from_writer(Vec::new());
    // Writing to memory cannot fail, and every row is written by itself.
    let written = writer.write_record(cells.iter().map(AsRef::as_ref));
    let bytes = written
        .ok()
        .and_then(|()| writer.into_inner().ok())
        .unwrap_or_default();
    let line = String::from_utf8_lossy(&bytes).into_owned();
    // a name that begins with # would make a comment of its row
    if line.starts_with('#') {
        format!("\"{}", line.replacen(',', "\",", 1))
    } else {
        line
    }
}
