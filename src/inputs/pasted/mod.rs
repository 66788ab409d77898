//! Organisers' station tables as they are pasted: any separator, columns in any order, with
//! column names or without. A guess at each column's meaning, which the caller may overrule, the
//! stations that were understood, every cell that was not, and the text of a `stations.csv`.

mod cells;
mod columns;
mod rows;
mod senses;
mod sentences;
mod services;
mod split;
mod write;

use chrono::NaiveDateTime;

use super::{Food, limits};

pub use columns::PastedColumn;
pub use rows::PastedStation;

/// The meanings a column of a pasted table may have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ColumnMeaning {
    /// Nothing that a plan uses.
    NotUsed,
    /// The station's name.
    Name,
    /// The spot, where it is passed more than once.
    Place,
    /// Kilometres from the start.
    Kilometres,
    /// Miles from the start.
    Miles,
    /// Metres from the start.
    Metres,
    /// Kilometres since the station before.
    KilometresSince,
    /// Miles since the station before.
    MilesSince,
    /// Degrees north.
    Latitude,
    /// Degrees east.
    Longitude,
    /// Cutoff on arrival, on the clock.
    CutoffClock,
    /// Cutoff on arrival, in hours since the start.
    CutoffElapsed,
    /// Cutoff on departure, on the clock.
    LeaveByClock,
    /// Cutoff on departure, in hours since the start.
    LeaveByElapsed,
    /// True where the crew may come.
    Crew,
    /// True where drop bags are brought.
    DropBag,
    /// True where a pacer may join.
    Pacer,
    /// True where there is water.
    Water,
    /// True where there is food.
    Food,
    /// Services in words: aid or water, food by name, crew, drop bags.
    Offers,
    /// Minutes planned there.
    Stop,
}

impl ColumnMeaning {
    /// Every meaning with its label, which also names it in forms and options.
    pub const LABELS: [(&'static str, ColumnMeaning); 21] = [
        ("not used", ColumnMeaning::NotUsed),
        ("name", ColumnMeaning::Name),
        ("place", ColumnMeaning::Place),
        ("km", ColumnMeaning::Kilometres),
        ("miles", ColumnMeaning::Miles),
        ("metres", ColumnMeaning::Metres),
        ("km since the last", ColumnMeaning::KilometresSince),
        ("miles since the last", ColumnMeaning::MilesSince),
        ("latitude", ColumnMeaning::Latitude),
        ("longitude", ColumnMeaning::Longitude),
        ("cutoff, clock", ColumnMeaning::CutoffClock),
        ("cutoff, race time", ColumnMeaning::CutoffElapsed),
        ("leave by, clock", ColumnMeaning::LeaveByClock),
        ("leave by, race time", ColumnMeaning::LeaveByElapsed),
        ("crew", ColumnMeaning::Crew),
        ("drop bag", ColumnMeaning::DropBag),
        ("pacer", ColumnMeaning::Pacer),
        ("water", ColumnMeaning::Water),
        ("food", ColumnMeaning::Food),
        ("what is there", ColumnMeaning::Offers),
        ("stop in minutes", ColumnMeaning::Stop),
    ];

    /// The label.
    #[must_use]
    pub fn label(self) -> &'static str {
        let found = Self::LABELS.iter().find(|(_, meaning)| *meaning == self);
        found.map_or("", |(label, _)| label)
    }

    /// The meaning with a label.
    #[must_use]
    pub fn labelled(label: &str) -> Option<ColumnMeaning> {
        let found = Self::LABELS.iter().find(|(known, _)| *known == label);
        found.map(|(_, meaning)| *meaning)
    }
}

/// Facts known besides the pasted text.
#[derive(Clone, Debug, Default)]
pub struct PasteContext {
    /// Meanings that the user chose, by column from the left; `None` leaves it to the guess.
    pub columns: Vec<Option<ColumnMeaning>>,
    /// The route's length, which tells kilometres from miles where nothing says.
    pub route_m: Option<f64>,
    /// The official start on the wall there, which gives `day 2` and short dates their date.
    pub start: Option<NaiveDateTime>,
    /// The pantry: other foods at stations are listed as unread, and where the table says no more
    /// than that there is food, it is what the pantry has as food of stations.
    pub pantry: Vec<Food>,
}

/// A pasted table, understood as far as it goes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PastedTable {
    /// The columns from the left.
    pub columns: Vec<PastedColumn>,
    /// The stations in course order.
    pub stations: Vec<PastedStation>,
    /// Lines not taken over, from the top.
    pub unread: Vec<Unread>,
    /// Assumptions, as sentences without their full stop.
    pub assumed: Vec<String>,
    /// The text of a `stations.csv`, with what was not taken over as comments above its row.
    pub csv: String,
}

/// A cell or a line that was not taken over, or only in part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unread {
    /// The line in the pasted text, from 1.
    pub line: usize,
    /// The column from the left, from 1; `None` for a whole line.
    pub column: Option<usize>,
    /// The text that stands there.
    pub text: String,
    /// The reason, as a sentence without its full stop.
    pub reason: String,
}

/// Reads a pasted table.
///
/// ```
/// use sutler::inputs::pasted::{ColumnMeaning, PasteContext, read};
/// let table = read("Aid station\tMile\tCutoff\nMill\t7,8\t10:30 AM\n", &PasteContext::default());
/// assert_eq!(table.columns[1].meaning, ColumnMeaning::Miles);
/// assert_eq!(table.stations[0].cutoff.as_deref(), Some("10:30"));
/// assert!(table.unread.is_empty());
/// ```
#[must_use]
pub fn read(text: &str, known: &PasteContext) -> PastedTable {
    if text.len() > limits::TABLE_BYTES {
        return refused(format!("longer than {} bytes", limits::TABLE_BYTES));
    }
    let plain = split::plain(text);
    let lines = sentences::lines(&plain).unwrap_or_else(|| split::lines(&plain));
    if lines.len() > limits::STATION_ROWS * 2 {
        return refused(format!("more than {} lines", limits::STATION_ROWS * 2));
    }
    let found = columns::find(&lines, known);
    let (stations, unread) = rows::read(&lines, &found, known);
    let mut table = PastedTable {
        assumed: rows::assumed(&stations),
        columns: found.columns,
        stations,
        unread,
        csv: String::new(),
    };
    table.csv = write::stations_csv(&table);
    table
}

fn refused(reason: String) -> PastedTable {
    let unread = vec![Unread {
        line: 1,
        column: None,
        text: String::new(),
        reason,
    }];
    let mut table = PastedTable {
        unread,
        ..PastedTable::default()
    };
    table.csv = write::stations_csv(&table);
    table
}
