//! `weather.csv`: the forecast, a row a time, per place or per height.

use chrono::NaiveDateTime;

use crate::diagnostics::{Diagnostic, FileId, Notes, SourceFile, Span};

use super::headings::{KnownColumn, Shape};
use super::limits;
use super::table::{CellTable, TableRow};
use super::values::{self, quoted, with_hint};

/// The forecast for one time; between two rows it changes evenly. Where neither `place` nor `elevation_m` is given, the row is for
/// the start; temperatures elsewhere follow the height.
#[derive(Clone, Debug, PartialEq)]
pub struct WeatherRow {
    /// `time`: local, such as `2026-10-24T14:00`.
    pub time: NaiveDateTime,
    /// `place`: a place of the course.
    pub place: Option<String>,
    /// `elevation_m` (or `_ft`): the height the row is for.
    pub elevation_m: Option<f64>,
    /// `temp_c` (or `temp_f`)
    pub temp_c: f64,
    /// `humidity_pct`
    pub humidity_pct: Option<f64>,
    /// `wind_kmh` (or `wind_mph`), at 10 m.
    pub wind_kmh: Option<f64>,
    /// `rain_mm`: in the hour; 0 by default.
    pub rain_mm_per_h: f64,
    /// `thunder`: `yes` where storms are forecast.
    pub thunder: bool,
    /// The row.
    pub span: Option<Span>,
}

const SHAPE: Shape = Shape {
    columns: &[
        KnownColumn::text("time").required(),
        KnownColumn::text("place"),
        KnownColumn::number(&limits::WEATHER_HEIGHT),
        KnownColumn::number(&limits::TEMPERATURE).required(),
        KnownColumn::number(&limits::HUMIDITY),
        KnownColumn::number(&limits::WIND),
        KnownColumn::number(&limits::RAIN),
        KnownColumn::text("thunder"),
    ],
    most_rows: limits::WEATHER_ROWS,
};

/// Reads `weather.csv`.
pub fn read(file: &SourceFile, id: FileId, notes: &mut Notes) -> Vec<WeatherRow> {
    CellTable::read(file, id, &SHAPE, notes).records(notes, hour)
}

fn hour(row: &TableRow, notes: &mut Notes) -> Option<WeatherRow> {
    let time = time(row, notes);
    let temp_c = row.needed(&limits::TEMPERATURE, notes);
    let humidity = row.number(&limits::HUMIDITY, notes);
    let wind = row.number(&limits::WIND, notes);
    let rain = row.number(&limits::RAIN, notes);
    let height = row.number(&limits::WEATHER_HEIGHT, notes);
    let place = row.text("place", notes);
    let thunder = row.yes("thunder", notes).unwrap_or(false);
    Some(WeatherRow {
        time: time?,
        place: place.map(|place| place.value),
        elevation_m: height.map(|height| height.value),
        temp_c: temp_c?,
        humidity_pct: humidity.map(|v| v.value),
        wind_kmh: wind.map(|v| v.value),
        rain_mm_per_h: rain.map_or(0.0, |v| v.value),
        thunder,
        span: Some(row.span),
    })
}

fn time(row: &TableRow, notes: &mut Notes) -> Option<NaiveDateTime> {
    row.miss("time", notes);
    let cell = row.cell("time")?;
    let time = values::local_time(&cell.text);
    if time.is_none() {
        let hint = values::offset_time(&cell.text)
            .map(|_| "leave out the offset: times are local to the course".to_owned());
        let problem = Diagnostic::error(format!("`time` is {}", quoted(&cell.text))).at(
            cell.span,
            "expected a local date and time, such as `2026-10-24T14:00`",
        );
        notes.push(with_hint(problem, hint));
    }
    time
}
