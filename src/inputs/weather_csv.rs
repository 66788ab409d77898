//! `weather.csv`: the forecast, hour by hour, per place or per height.

use chrono::NaiveDateTime;

use crate::diagnostics::{FileId, Notes, SourceFile, Span};

/// The forecast for one hour. Where neither `place` nor `elevation_m` is given, the row is for
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
    /// `humidity_pct`; 50 by default.
    pub humidity_pct: f64,
    /// `wind_kmh` (or `wind_mph`), at 10 m; 5 by default.
    pub wind_kmh: f64,
    /// `rain_mm`: in the hour; 0 by default.
    pub rain_mm_per_h: f64,
    /// `thunder`: `yes` where storms are forecast.
    pub thunder: bool,
    /// The row.
    pub span: Option<Span>,
}

/// Reads `weather.csv`.
pub fn read(_file: &SourceFile, _id: FileId, _notes: &mut Notes) -> Vec<WeatherRow> {
    Vec::new()
}
