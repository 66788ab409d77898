//! `stations.csv`: one row a visit, in course order.

use crate::diagnostics::{Diagnostic, FileId, Notes, SourceFile, Span, Spanned};

use super::cutoff;
use super::headings::{KnownColumn, Shape};
use super::limits;
use super::table::{CellTable, TableRow};
use super::values::quoted;
use crate::words::{named, same_name};

pub use super::cutoff::Cutoff;

/// One visit to a place, as the organiser lists it.
///
/// Columns by name, in any order; only `name` and one of a distance or `lat`,`lon` are needed.
#[derive(Clone, Debug, PartialEq)]
pub struct StationRow {
    /// `name`: the station's name.
    pub name: Spanned<String>,
    /// `place`: the spot's name where it is visited more than once; the station's name otherwise.
    pub place: String,
    /// `distance_km`, `distance_mi` or `distance_m`: the organiser's distance from the start.
    pub distance_m: Option<Spanned<f64>>,
    /// `lat`, `lon`: degrees, WGS84.
    pub position: Option<Spanned<(f64, f64)>>,
    /// `kind`
    pub kind: StationKind,
    /// `cutoff`, and on what it applies where `cutoff_on` says so.
    pub cutoff: Option<Spanned<Cutoff>>,
    /// `cutoff_on`: `arrival` or `departure`; the course's own rule where empty.
    pub cutoff_on: Option<CutoffOn>,
    /// `crew`: `yes` where the crew may meet the runner.
    pub crew: bool,
    /// `drop_bag`: `yes` where the organiser brings a bag.
    pub drop_bag: bool,
    /// `pacer`: `yes` where a pacer may join.
    pub pacer: bool,
    /// `stop_min`: minutes planned here, where the row says.
    pub stop_s: Option<Spanned<f64>>,
    /// `offers`: foods and drinks, separated by semicolons, each a name in `pantry.csv`; `water`
    /// needs no entry there.
    pub offers: Vec<Spanned<String>>,
    /// The row.
    pub span: Option<Span>,
}

named! {
    /// The kind of a station.
    #[derive(Default)]
    pub enum StationKind {
        /// `aid`: food, drink and people.
        #[default]
        Aid = "aid",
        /// `water`: water only.
        Water = "water",
        /// `checkpoint`: times are taken, nothing is offered.
        Checkpoint = "checkpoint",
        /// `crew-only`: the organiser has nothing here, the crew may.
        CrewOnly = "crew-only",
    }

    /// The event that a cutoff limits.
    #[derive(Default)]
    pub enum CutoffOn {
        /// The runner must have come in.
        #[default]
        Arrival = "arrival",
        /// The runner must have left.
        Departure = "departure",
    }
}

const SHAPE: Shape = Shape {
    columns: &[
        KnownColumn::text("name").required(),
        KnownColumn::text("place"),
        KnownColumn::number(&limits::STATION_DISTANCE),
        KnownColumn::number(&limits::LATITUDE),
        KnownColumn::number(&limits::LONGITUDE),
        KnownColumn::text("kind"),
        KnownColumn::text("cutoff"),
        KnownColumn::text("cutoff_on"),
        KnownColumn::text("crew"),
        KnownColumn::text("drop_bag"),
        KnownColumn::text("pacer"),
        KnownColumn::number(&limits::STOP),
        KnownColumn::text("offers"),
    ],
    most_rows: limits::STATION_ROWS,
};

/// True where an offer is plain water, which needs no entry in the pantry.
#[must_use]
pub fn is_water(offer: &str) -> bool {
    same_name(offer, "water")
}

/// Words for a finish, as lists name their last row.
const FINISH_WORDS: [&str; 6] = ["finish", "ziel", "arrivée", "arrivo", "meta", "llegada"];

/// True of a word for a finish.
pub(crate) fn is_finish_word(word: &str) -> bool {
    FINISH_WORDS.contains(&word.trim().to_lowercase().as_str())
}

/// Reads `stations.csv`.
pub fn read(file: &SourceFile, id: FileId, notes: &mut Notes) -> Vec<StationRow> {
    let table = CellTable::read(file, id, &SHAPE, notes);
    let placed = table.has("distance") || (table.has("lat") && table.has("lon"));
    if let Some(header) = table
        .header
        .filter(|_| table.has("name") && table.all_known && !placed)
    {
        notes.push(
            Diagnostic::error("no column says where the stations are").at(
                header,
                "expected `distance_km`, `distance_mi`, `distance_m`, or `lat` and `lon`",
            ),
        );
    }
    table.records(notes, |row, notes| station(row, placed, notes))
}

fn station(row: &TableRow, placed: bool, notes: &mut Notes) -> Option<StationRow> {
    let name = row.name("name", notes);
    let place = row.text("place", notes);
    let distance_m = row.number(&limits::STATION_DISTANCE, notes);
    let position = position(row, notes);
    let written = ["distance", "lat", "lon"].map(|column| row.cell(column));
    if placed && !row.ragged && written.iter().all(Option::is_none) {
        let name = name.as_ref().map_or("", |name| &name.value);
        notes.push(
            Diagnostic::error(format!(
                "station {} has no distance and no position",
                quoted(name)
            ))
            .at(row.span, "expected a distance, or `lat` and `lon`"),
        );
    }
    let row_read = StationRow {
        place: String::new(),
        distance_m,
        position,
        kind: row
            .choice("kind", &StationKind::NAMES, notes)
            .unwrap_or_default(),
        cutoff: cutoff::read(row, notes),
        cutoff_on: row.choice("cutoff_on", &CutoffOn::NAMES, notes),
        crew: row.yes("crew", notes).unwrap_or(false),
        drop_bag: row.yes("drop_bag", notes).unwrap_or(false),
        pacer: row.yes("pacer", notes).unwrap_or(false),
        stop_s: row.number(&limits::STOP, notes),
        offers: row.list("offers", notes),
        span: Some(row.span),
        name: name?,
    };
    Some(StationRow {
        place: place.map_or_else(|| row_read.name.value.clone(), |place| place.value),
        ..row_read
    })
}

fn position(row: &TableRow, notes: &mut Notes) -> Option<Spanned<(f64, f64)>> {
    let lat = row.number(&limits::LATITUDE, notes);
    let lon = row.number(&limits::LONGITUDE, notes);
    for (here, there) in [("lat", "lon"), ("lon", "lat")] {
        if let (Some(cell), None) = (row.cell(here), row.cell(there)) {
            notes.push(
                Diagnostic::error(format!("the row has `{here}` and no `{there}`"))
                    .at(cell.span, "expected both or neither"),
            );
        }
    }
    let (lat, lon) = (lat?, lon?);
    let span = lat.span?;
    Some(Spanned::at((lat.value, lon.value), span))
}
